package solid

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

type draw struct{ *rapid.T }

func (d draw) num(lo, hi float64) float64 {
	return rapid.Float64Range(lo, hi).Draw(d.T, "x")
}

func (d draw) pick(n int) int { return rapid.IntRange(0, n-1).Draw(d.T, "k") }

func (d draw) vec(r float64) geom.Vec {
	return geom.Vec{X: d.num(-r, r), Y: d.num(-r, r), Z: d.num(-r, r)}
}

func (d draw) edge() mechanism.Edge {
	switch d.pick(3) {
	case 0:
		return mechanism.Edge{Round: d.num(0.3, 1)}
	case 1:
		return mechanism.Edge{Chamfer: d.num(0.3, 1)}
	}
	return mechanism.Edge{}
}

func (d draw) surface() mechanism.Surface { return mechanism.Surface(d.pick(3)) }

// path has runs of at least least mm, along, around and oblique.
func (d draw) path(on mechanism.Surface, r, least float64) []mechanism.PathPoint {
	k := 1.0
	if on != mechanism.Flat {
		k = 1 / r
	}
	p := []mechanism.PathPoint{{U: 0, V: 0}}
	for range 1 + d.pick(4) {
		u, v := d.num(least, 8)*float64(1-2*d.pick(2)), d.num(least, 8)*float64(1-2*d.pick(2))
		switch d.pick(3) {
		case 0:
			u = 0
		case 1:
			v = 0
		}
		q := p[len(p)-1]
		p = append(p, mechanism.PathPoint{U: q.U + u*k, V: q.V + v})
	}
	return p
}

func (d draw) primitive() mechanism.Primitive {
	switch d.pick(9) {
	case 0:
		e := d.edge()
		b := mechanism.Block{Hi: geom.Vec{X: d.num(3, 10), Y: d.num(3, 10), Z: d.num(3, 10)}, Edge: e}
		if e != (mechanism.Edge{}) {
			b.Edges = []string{"vertical", "top", "bottom", "all", "top, vertical"}[d.pick(5)]
		}
		return b
	case 1:
		return mechanism.Cylinder{R: d.num(2, 6), H: d.num(3, 12), Top: d.edge(), Bottom: d.edge()}
	case 2:
		return mechanism.Cone{R0: d.num(1, 5), R1: d.num(0, 5), H: d.num(2, 9)}
	case 3:
		return mechanism.Sphere{R: d.num(1, 6)}
	case 4:
		a := d.num(3, 8)
		loop := []mechanism.ProfilePoint{{Round: 0.5}, {X: a, Bulge: d.num(-0.3, 0.5)}, {X: a, Y: a}, {X: a / 2, Y: a / 2}, {Y: a, Round: 0.3}}
		return mechanism.Extrusion{Profile: mechanism.Profile{Loops: [][]mechanism.ProfilePoint{loop}}, H: d.num(2, 8)}
	case 5:
		x := d.num(2, 5)
		return mechanism.Revolution{Profile: mechanism.Profile{Loops: [][]mechanism.ProfilePoint{ringLoop(x, 0, d.num(0.5, x-0.5))}}, Angle: d.num(0.3, 2*math.Pi)}
	case 6:
		on := d.surface()
		g := mechanism.Groove{On: on, R: d.num(6, 9), Width: d.num(1, 3), Depth: d.num(1, 2), RoundEnds: true, Section: mechanism.Section(d.pick(2))}
		g.Path = d.path(on, g.R, 0.3)
		if g.Section == mechanism.Square && d.pick(2) == 0 {
			g.RoundEnds, g.Path = false, d.path(on, g.R, 4)
		}
		return g
	case 7:
		on := d.surface()
		s := mechanism.Stroke{On: on, R: d.num(6, 9), Width: d.num(0.6, 3), Height: d.num(0.3, 1)}
		s.Path = d.path(on, s.R, 4)
		return s
	}
	r := d.num(3, 5)
	return mechanism.Thread{Root: r, Crest: r + d.num(0.5, 1.5), RootWidth: d.num(1, 2), CrestWidth: d.num(0.2, 2), H: d.num(4, 8), Lead: d.num(4.2, 7) * float64(1-2*d.pick(2)), Starts: 1 + d.pick(2)}
}

func (d draw) shape() *mechanism.Shape {
	n := 1 + d.pick(4)
	var s *mechanism.Shape
	for i := range n {
		l := leaf(d.primitive())
		if axis := d.vec(1); i > 0 && r3.Norm(axis) > 0.1 {
			m := geom.Rotation(geom.Line{Dir: r3.Unit(axis)}, d.num(-3, 3))
			m.T = r3.Add(m.T, d.vec(5))
			l = placed(l, m)
		}
		switch { //nolint:staticcheck // the cases read better as comparisons
		case s == nil:
			s = l
		default:
			s = op([]mechanism.Op{mechanism.Join, mechanism.Cut, mechanism.Common}[d.pick(3)], s, l)
		}
	}
	return s
}

// Random drawings: the mesh bounds a solid and agrees with the field at points
// away from the surface. A drawing that cannot be resolved must say so.
func TestRandomShapes(t *testing.T) {
	tried, unresolved := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		s := draw{t}.shape()
		tried++
		m, err := Build(s, Options{})
		var u *mesh.Unresolved
		if errors.As(err, &u) {
			unresolved++
			t.Skip(err)
		}
		f, ferr := Field(s)
		if ferr != nil {
			t.Skip(ferr)
		}
		r := rand.New(rand.NewPCG(1, 2))
		box := 14.0
		points := make([]geom.Vec, 400)
		for i := range points {
			points[i] = geom.Vec{X: box * (2*r.Float64() - 1), Y: box * (2*r.Float64() - 1), Z: box * (2*r.Float64() - 1)}
		}
		if err != nil { // nothing left
			for _, p := range points {
				if f(p) < -0.02 {
					t.Fatalf("%v, but the drawing holds %v", err, p)
				}
			}
			return
		}
		for _, d := range mesh.Check(m) {
			t.Fatalf("defect: %s", d)
		}
		tree := mesh.NewTree(m)
		for _, p := range points {
			if d := f(p); math.Abs(d) > 0.01 && tree.Inside(p) != (d < 0) {
				t.Fatalf("at %v the field is %g, the mesh says inside = %v", p, d, tree.Inside(p))
			}
		}
	})
	t.Logf("%d drawings, %d unresolved", tried, unresolved)
	if unresolved*50 > tried {
		t.Errorf("%d of %d drawings unresolved", unresolved, tried)
	}
}
