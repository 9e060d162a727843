package layerstep

import (
	"testing"

	"feint/internal/printable"
	"feint/internal/verdict/sample"
)

func TestLayerStep(t *testing.T) {
	k := sample.Case()
	s := sample.Survey()
	k.Evidence.Printing = s
	for _, c := range []struct {
		off, gap float64
		down     bool
		found    int
	}{{0.049, 0.25, false, 0}, {0.06, 0.25, false, 1}, {-0.06, 0.25, false, 0}, {-0.06, 0.25, true, 1}, {0.06, 0.25, true, 0}} {
		s.Reports[sample.Tower] = &printable.Report{Levels: []printable.Level{{Z: 5.07, Off: c.off, Gap: c.gap, Down: c.down, Other: sample.Rod}}}
		if got := check(k); len(got) != c.found {
			t.Errorf("%+v: %+v", c, got)
		}
	}
	s.Reports[sample.Tower].Levels[0].Other = -1
	if got := check(k); len(got) != 0 {
		t.Error("nothing slides there")
	}
}
