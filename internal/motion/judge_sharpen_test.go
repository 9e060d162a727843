package motion

import (
	"math"
	"testing"
)

// What is blocked is asked at overlaps that are no smaller than the one meant, so that
// what it says holds there, and at few of them.
func TestRung(t *testing.T) {
	seen := map[float64]bool{}
	for need := -0.001; need > -1; need -= 0.0137 {
		r := rung(need)
		if r > need || need-r > rungStep+1e-12 {
			t.Errorf("%g is asked at %g", need, r)
		}
		seen[math.Round(r*1e6)] = true
	}
	if len(seen) != 10 || rung(-7) != lastRung {
		t.Errorf("%d overlaps, the last %g", len(seen), rung(-7))
	}
}
