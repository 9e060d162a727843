package boreundersize

import (
	"testing"

	"feint/internal/geom"
	"feint/internal/mating"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

func TestBore(t *testing.T) {
	for _, c := range []struct {
		gap   float64
		round bool
		found int
		fault bool
	}{{0.151, true, 0, false}, {0.149, true, 1, false}, {0.1, true, 1, true}, {0.1, false, 0, false}} {
		got := check(sample.Fitted(mating.Fit{Gap: c.gap, Round: c.round, Wide: 12}))
		if len(got) != c.found || (c.found > 0 && (got[0].Severity == finding.Fault) != c.fault) {
			t.Errorf("gap %g, round %v: %+v", c.gap, c.round, got)
		}
	}
	k := sample.Fitted(mating.Fit{Gap: 0.1, Round: true, Wide: 12})
	k.Evidence.Printing.Pieces[sample.Gallery].Up = geom.Rotation(geom.Line{Dir: geom.Vec{X: 1}}, 1.5)
	if got := check(k); len(got) != 0 {
		t.Errorf("lying: %q", got[0].Message)
	}
}
