package mesh

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Coordinates whose exponents lie farther and farther apart: the sign is that of
// math/big's rationals, by which every float is exact.
func TestExactSignOfWideRanges(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	for span := range 260 {
		for range 20 {
			point := func() []float64 {
				p := make([]float64, 3)
				for k := range p {
					p[k] = math.Ldexp(float64(r.Int64N(1<<53)-1<<52), r.IntN(span+1)-span)
				}
				return p
			}
			a, b, c, d := point(), point(), point(), point()
			if r.IntN(3) == 0 { // in one plane, as exactly as floats can be
				for k := range d {
					d[k] = b[k]
				}
			}
			if got, want := exactSign(det3, a, b, c, d), bigSign(a, [][]float64{b, c, d}); got != want {
				t.Fatalf("span %d: sign %d of %v %v %v %v, want %d", span, got, a, b, c, d, want)
			}
			if got, want := exactSign(det2, a[:2], b[:2], c[:2]), bigSign(a[:2], [][]float64{b[:2], c[:2]}); got != want {
				t.Fatalf("span %d: sign %d in the plane of %v %v %v, want %d", span, got, a[:2], b[:2], c[:2], want)
			}
		}
	}
}
