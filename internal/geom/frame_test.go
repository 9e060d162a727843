package geom_test

import (
	"math"
	"testing"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// Law of a right-handed frame, held to gonum's cross product: x times y is n.
func TestAcross(t *testing.T) {
	for i := range 200 {
		s, c := math.Sincos(float64(i))
		n := r3.Unit(geom.Vec{X: c, Y: s, Z: math.Sin(3 * float64(i))})
		if i < 6 {
			n = geom.Vec{}
			*[]*float64{&n.X, &n.Y, &n.Z}[i/2] = float64(1 - 2*(i%2))
		}
		x, y := geom.Across(n)
		if d := r3.Norm(r3.Sub(r3.Cross(x, y), n)); d > 1e-12 || math.Abs(r3.Norm(x)-1) > 1e-12 {
			t.Errorf("across %v: %v and %v", n, x, y)
		}
		if l := geom.LeastAxis(n); math.Abs(r3.Dot(l, n)) > 1/math.Sqrt(3)+1e-12 {
			t.Errorf("the axis least along %v is not %v", n, l)
		}
	}
}
