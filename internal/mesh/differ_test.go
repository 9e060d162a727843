package mesh_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

func brick(lo, hi geom.Vec) *mesh.Mesh {
	at := func(i int) geom.Vec {
		v := lo
		if i&1 != 0 {
			v.X = hi.X
		}
		if i&2 != 0 {
			v.Y = hi.Y
		}
		if i&4 != 0 {
			v.Z = hi.Z
		}
		return v
	}
	m := &mesh.Mesh{}
	for i := range 8 {
		m.V = append(m.V, at(i))
	}
	for _, q := range [][4]int32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		m.T = append(m.T, [3]int32{q[0], q[1], q[2]}, [3]int32{q[0], q[2], q[3]})
	}
	return m
}

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
	a := brick(geom.Vec{}, geom.Vec{X: 10, Y: 4, Z: 3})
	b := brick(geom.Vec{}, geom.Vec{X: 12, Y: 4, Z: 3})
	for _, c := range []struct {
		name string
		of   *mesh.Mesh
		than *mesh.Mesh
		want float64
	}{
		{"the same", a, a, 0},
		{"longer", b, a, 4*3 + 2*(2*4+2*3)},
		{"shorter", a, b, 4 * 3},
	} {
		got := area(mesh.Changed(c.of, mesh.NewTree(c.than)))
		if math.Abs(got-c.want) > 1e-6 {
			t.Errorf("%s: %g mm2 changed, want %g", c.name, got, c.want)
		}
	}
}

// A face that faces the other way is not the same face, wherever it lies.
func TestChangedFlipped(t *testing.T) {
	a := brick(geom.Vec{}, geom.Vec{X: 1, Y: 1, Z: 1})
	b := brick(geom.Vec{X: 1}, geom.Vec{X: 2, Y: 1, Z: 1})
	if got := area(mesh.Changed(b, mesh.NewTree(a))); math.Abs(got-6) > 1e-9 {
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
		a := brick(lo, geom.Vec{X: lo.X + 1 + whole(), Y: lo.Y + 1 + whole(), Z: lo.Z + 1 + whole()})
		lo = geom.Vec{X: whole(), Y: whole(), Z: whole()}
		b := brick(lo, geom.Vec{X: lo.X + 1 + whole(), Y: lo.Y + 1 + whole(), Z: lo.Z + 1 + whole()})
		old := mesh.NewTree(a)
		changed := mesh.Changed(b, old)
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
			if d > 2*mesh.SamePlace+1e-12 {
				t.Fatalf("%v of %v is %g mm from all that is known of %v", p, b.V, d, a.V)
			}
		}
	}
}
