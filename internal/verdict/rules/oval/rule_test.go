package oval

import (
	"testing"

	"feint/internal/mating"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

// 0.2 per cent of 75 mm is 0.15 mm across, 0.075 in radius: a third of 0.225.
func TestOval(t *testing.T) {
	for _, c := range []struct {
		gap   float64
		turns bool
		found int
	}{{0.23, true, 0}, {0.22, true, 1}, {0.22, false, 0}} {
		got := check(sample.Fitted(mating.Fit{Gap: c.gap, Round: true, Turns: c.turns, Wide: 75}))
		if len(got) != c.found || (c.found > 0 && got[0].Severity != finding.Warning) {
			t.Errorf("%+v: %+v", c, got)
		}
	}
	if got := check(sample.Fitted(mating.Fit{Gap: 0.07, Round: true, Turns: true, Wide: 75})); len(got) != 1 || got[0].Severity != finding.Fault {
		t.Errorf("nothing left: %+v", got)
	}
}
