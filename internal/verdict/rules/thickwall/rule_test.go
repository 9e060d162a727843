package thickwall

import (
	"strings"
	"testing"

	"feint/internal/geom"
	"feint/internal/printable"
	"feint/internal/verdict/sample"
)

func TestThick(t *testing.T) {
	k := sample.Case()
	s := sample.Survey()
	k.Evidence.Printing = s
	s.Reports[sample.Tower] = &printable.Report{}
	if got := check(k); len(got) != 0 {
		t.Fatalf("nothing to spare: %q", got[0].Message)
	}
	s.Reports[sample.Tower].Spare = []printable.Spare{{Grams: 1.26, Minutes: 7.4, Open: "from below"}}
	if got := check(k); len(got) != 1 || !strings.Contains(got[0].Message, "open from below, could leave out 1.3 g and 7 minutes and keep 2.40 mm") {
		t.Errorf("got %+v", got)
	}
	s.Reports[sample.Tower].Spare = []printable.Spare{{Grams: 11.5, Minutes: 25, Open: "at the outside", Sides: []printable.Side{{Out: geom.Vec{X: -1}, Depth: 17.6}, {Out: geom.Vec{Z: 1}, Depth: 2}}}}
	if got := check(k); len(got) != 1 || !strings.Contains(got[0].Message, "17.60 mm") || !strings.Contains(got[0].Message, "11.5 g and 25 minutes") {
		t.Errorf("got %+v", got)
	}
}
