package clearance

import (
	"context"
	"fmt"
	"math"
	"math/rand"
	"testing"
)

// A map asked along a line alone holds against brute force, is decided or as fine as it
// can be there, and tells when there is nothing left to divide.
func TestRefineWhereAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewSource(5))
	for _, s := range scenes(r) {
		mp := mapOf(t, s.mech, s.a, s.b)
		coords := mp.Coords()
		if len(coords) < 3 {
			continue
		}
		var at [MaxCoords]float64 // the first coordinate runs, the others stand
		for i := range coords {
			at[i] = coords[i].Lo + (coords[i].Hi-coords[i].Lo)*r.Float64()
		}
		onLine := func(lo, hi *[MaxCoords]float64) bool {
			for i := 1; i < len(coords); i++ {
				if at[i] < lo[i] || at[i] > hi[i] {
					return false
				}
			}
			return true
		}
		for _, need := range []float64{0.1, -0.1} {
			t.Run(fmt.Sprintf("%s %g", s.name, need), func(t *testing.T) {
				for n, calls := 1, 0; n > 0; calls++ {
					var err error
					if n, err = mp.RefineWhere(context.Background(), need, s.width, onLine); err != nil {
						t.Fatal(err)
					}
					if calls > 3 {
						t.Fatal("there is always something left to divide")
					}
				}
				hold(t, &s, mp, 7, []float64{need}, 12, 0.06, false)
				long, decided := 0.0, 0
				for c := range mp.Cells() {
					switch {
					case !onLine(&c.Lo, &c.Hi):
					case c.At(need) == Undecided:
						long = max(long, c.Hi[0]-c.Lo[0])
					default:
						decided++
					}
				}
				if decided == 0 || long > 4*s.width+2*longest {
					t.Errorf("%d cells decided, open ones up to %g long", decided, long)
				}
			})
		}
	}
	mp := mapOf(t, scenes(r)[3].mech, block(0, 1, 0, 1, 0, 1), block(0, 1, 0, 1, 0, 1))
	if _, err := mp.RefineWhere(context.Background(), math.NaN(), 1, nil); err == nil {
		t.Error("a threshold that is no number is taken")
	}
}
