package calibrate

import (
	"slices"
	"testing"
)

// The ticks are round numbers within the ends, told by hand.
func TestTicks(t *testing.T) {
	for _, k := range []struct {
		lo, hi float64
		want   []float64
	}{
		{-0.01, 0.5, []float64{0, 0.1, 0.2, 0.3, 0.4, 0.5}},
		{0, 61, []float64{0, 20, 40, 60}},
		{-0.05, 0.05, []float64{-0.04, -0.02, 0, 0.02, 0.04}},
		{0, 1.05, []float64{0, 0.2, 0.4, 0.6, 0.8, 1}},
	} {
		if got := ticks(k.lo, k.hi, 6); !slices.Equal(got, k.want) {
			t.Errorf("%g to %g: %v", k.lo, k.hi, got)
		}
	}
}
