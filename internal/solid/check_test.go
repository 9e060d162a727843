package solid

import (
	"math"
	"math/rand/v2"
	"testing"

	"feint/internal/field"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// The contract at the default tolerance: 0.005 mm and 0.03 % of the volume.
const (
	withinMM  = 0.005
	withinVol = 3e-4
)

func leaf(p mechanism.Primitive) *mechanism.Shape {
	return &mechanism.Shape{Op: mechanism.Leaf, Prim: p}
}

func op(o mechanism.Op, args ...*mechanism.Shape) *mechanism.Shape {
	return &mechanism.Shape{Op: o, Args: args}
}

func placed(s *mechanism.Shape, m geom.Motion) *mechanism.Shape {
	return &mechanism.Shape{Op: mechanism.Place, Args: []*mechanism.Shape{s}, Move: m}
}

func at(x, y, z float64, s *mechanism.Shape) *mechanism.Shape {
	return placed(s, geom.Translation(geom.Vec{X: x, Y: y, Z: z}))
}

// built is the mesh of s, known to bound a solid.
func built(t testing.TB, s *mechanism.Shape) *mesh.Mesh {
	t.Helper()
	m, err := Build(s, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range mesh.Check(m) {
		t.Errorf("the mesh has a defect: %s", d)
	}
	return m
}

func sameVolume(t testing.TB, m *mesh.Mesh, want float64) {
	t.Helper()
	if got := m.Volume(); math.Abs(got-want) > withinVol*want {
		t.Errorf("volume %.6g mm3, want %.6g: off by %.4f %%", got, want, 100*(got/want-1))
	}
}

// agree compares mesh and field: the mesh's points lie on the field's surface,
// the field's on the mesh, and both agree on what is inside.
func agree(t testing.TB, s *mechanism.Shape, m *mesh.Mesh) {
	t.Helper()
	f, err := Field(s)
	if err != nil {
		t.Fatal(err)
	}
	worst, where := onField(m, f)
	if worst > withinMM {
		t.Errorf("the mesh stands %.5f mm off the drawing at %.5g", worst, where)
	}
	r := rand.New(rand.NewPCG(7, 11))
	tree, b := mesh.NewTree(m), m.Bounds()
	at := func() geom.Vec {
		p := func(lo, hi float64) float64 { return lo - 0.3 + r.Float64()*(hi-lo+0.6) }
		return geom.Vec{X: p(b.Lo.X, b.Hi.X), Y: p(b.Lo.Y, b.Hi.Y), Z: p(b.Lo.Z, b.Hi.Z)}
	}
	var in, out []geom.Vec
	for range 4000 {
		p := at()
		d := f(p)
		if d < 0 {
			in = append(in, p)
		} else {
			out = append(out, p)
		}
		if math.Abs(d) > withinMM && tree.Inside(p) != (d < 0) {
			t.Fatalf("at %.6g the field is %.5f but the mesh says inside = %v", p, d, tree.Inside(p))
		}
	}
	for i := range min(len(in), 300) {
		p := onSurface(f, in[i], out[r.IntN(len(out))])
		if d, _, near := tree.Signed(p); math.Abs(d) > withinMM {
			t.Fatalf("the drawing stands %.5f mm off the mesh at %.6g (nearest %.6g)", d, p, near)
		}
	}
}

// onField is the largest value of the field on a grid of points of some 1500
// triangles of m.
func onField(m *mesh.Mesh, f field.Field) (worst float64, where geom.Vec) {
	for i := 0; i < len(m.T); i += 1 + len(m.T)/1500 {
		t := m.Triangle(i)
		const n = 3
		for a := range n + 1 {
			for b := range n + 1 - a {
				u, v := float64(a)/n, float64(b)/n
				p := r3.Add(t[0], r3.Add(r3.Scale(u, r3.Sub(t[1], t[0])), r3.Scale(v, r3.Sub(t[2], t[0]))))
				if d := math.Abs(f(p)); d > worst {
					worst, where = d, p
				}
			}
		}
	}
	return worst, where
}

// onSurface halves the way from p, inside, to q, outside.
func onSurface(f field.Field, p, q geom.Vec) geom.Vec {
	for range 50 {
		m := r3.Scale(0.5, r3.Add(p, q))
		if f(m) < 0 {
			p = m
		} else {
			q = m
		}
	}
	return p
}

// full builds s, and checks the mesh, its volume where it is known, and field.
func full(t *testing.T, s *mechanism.Shape, volume float64) *mesh.Mesh {
	t.Helper()
	m := built(t, s)
	if volume > 0 {
		sameVolume(t, m, volume)
	}
	agree(t, s, m)
	return m
}
