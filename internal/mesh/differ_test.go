package mesh

import (
	"math"
	"math/rand/v2"
	"testing"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

func area(ts []geom.Triangle) float64 {
	sum := 0.0
	for i := range ts {
		sum += r3.Norm(r3.Cross(r3.Sub(ts[i][1], ts[i][0]), r3.Sub(ts[i][2], ts[i][0]))) / 2
	}
	return sum
}

// The faces that change when a brick grows longer: its new end, and of each of the
// four sides the strip that was added (areas of rectangles, by hand).
func TestChangedBrick(t *testing.T) {
	a := boxMesh(geom.Vec{}, geom.Vec{X: 10, Y: 4, Z: 3})
	b := boxMesh(geom.Vec{}, geom.Vec{X: 12, Y: 4, Z: 3})
	for _, c := range []struct {
		name string
		of   *Mesh
		than *Mesh
		want float64
	}{
		{"the same", a, a, 0},
		{"longer", b, a, 4*3 + 2*(2*4+2*3)},
		{"shorter", a, b, 4 * 3},
	} {
		got := area(Changed(c.of, NewTree(c.than)))
		if math.Abs(got-c.want) > 1e-6 {
			t.Errorf("%s: %g mm2 changed, want %g", c.name, got, c.want)
		}
	}
}

// A face that faces the other way is not the same face, wherever it lies.
func TestChangedFlipped(t *testing.T) {
	a := boxMesh(geom.Vec{}, geom.Vec{X: 1, Y: 1, Z: 1})
	b := boxMesh(geom.Vec{X: 1}, geom.Vec{X: 2, Y: 1, Z: 1})
	if got := area(Changed(b, NewTree(a))); math.Abs(got-6) > 1e-9 {
		t.Errorf("%g mm2 changed, want all 6", got)
	}
}

// Every point of the new surface is in a triangle listed, or near the old surface:
// the contract, at random points of bricks that overlap anyhow.
func TestChangedCovers(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	whole := func() float64 { return float64(rng.IntN(5)) }
	for range 300 {
		lo := geom.Vec{X: whole(), Y: whole(), Z: whole()}
		a := boxMesh(lo, geom.Vec{X: lo.X + 1 + whole(), Y: lo.Y + 1 + whole(), Z: lo.Z + 1 + whole()})
		lo = geom.Vec{X: whole(), Y: whole(), Z: whole()}
		b := boxMesh(lo, geom.Vec{X: lo.X + 1 + whole(), Y: lo.Y + 1 + whole(), Z: lo.Z + 1 + whole()})
		old := NewTree(a)
		changed := Changed(b, old)
		for range 40 {
			x := b.Triangle(rng.IntN(len(b.T)))
			u, v := rng.Float64(), rng.Float64()
			if u+v > 1 {
				u, v = 1-u, 1-v
			}
			p := geom.Vec{
				X: x[0].X + u*(x[1].X-x[0].X) + v*(x[2].X-x[0].X),
				Y: x[0].Y + u*(x[1].Y-x[0].Y) + v*(x[2].Y-x[0].Y),
				Z: x[0].Z + u*(x[1].Z-x[0].Z) + v*(x[2].Z-x[0].Z),
			}
			d, _, _ := old.Near(p, 1)
			for i := range changed {
				q, _ := changed[i].Closest(p)
				d = min(d, math.Hypot(math.Hypot(q.X-p.X, q.Y-p.Y), q.Z-p.Z))
			}
			if d > 2*SamePlace+1e-12 {
				t.Fatalf("%v of %v is %g mm from all that is known of %v", p, b.V, d, a.V)
			}
		}
	}
}
