package bed

import (
	"strings"
	"testing"

	"feint/internal/geom"
	"feint/internal/printable"
	"feint/internal/verdict/sample"
)

func TestBed(t *testing.T) {
	k := sample.Case()
	s := sample.Survey()
	k.Evidence.Printing = s
	r := &printable.Report{Given: printable.WayUp{Fits: true, Size: geom.Vec{X: 220, Y: 220, Z: 250}}}
	s.Reports[sample.Tower] = r
	if got := check(k); len(got) != 0 {
		t.Fatalf("just fits: %q", got[0].Message)
	}
	r.Given.Fits, r.Given.Over, r.Given.Size.X = false, 0.5, 220.5
	r.Ways = []printable.WayUp{{Name: "a"}, {Name: "-x down", Fits: true}}
	if got := check(k); len(got) != 1 || got[0].Margin != -0.5 || !strings.Contains(got[0].Message, "needs 220.5 x 220.0 x 250.0 mm") || !strings.Contains(got[0].Change, "-x down") {
		t.Errorf("got %+v", got)
	}
}
