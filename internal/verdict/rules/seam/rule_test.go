package seam

import (
	"strings"
	"testing"

	"feint/internal/geom"
	"feint/internal/mating"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

func TestSeam(t *testing.T) {
	for _, c := range []struct {
		gap   float64
		found int
		fault bool
	}{{0.151, 0, false}, {0.149, 1, false}, {0.1, 1, true}} {
		got := check(sample.Fitted(mating.Fit{Gap: c.gap, Round: true, Wide: 12}))
		if len(got) != c.found || (c.found > 0 && (got[0].Severity == finding.Fault) != c.fault) {
			t.Errorf("gap %g: %+v", c.gap, got)
		}
	}
	k := sample.Fitted(mating.Fit{Gap: 0.12, Round: true, Wide: 12})
	k.Evidence.Printing.Pieces[sample.Gallery].Up = geom.Rotation(geom.Line{Dir: geom.Vec{X: 1}}, 1.5)
	if got := check(k); len(got) != 1 || !strings.Contains(got[0].Message, "wall of key rod slides") {
		t.Errorf("only the rod stands: %+v", got)
	}
}
