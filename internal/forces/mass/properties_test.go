package mass

import (
	"math"
	"testing"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

func block(lo, hi geom.Vec) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range 8 {
		pick := func(bit int, a, b float64) float64 {
			if i>>bit&1 == 1 {
				return b
			}
			return a
		}
		m.V = append(m.V, geom.Vec{X: pick(0, lo.X, hi.X), Y: pick(1, lo.Y, hi.Y), Z: pick(2, lo.Z, hi.Z)})
	}
	m.T = [][3]int32{{0, 2, 3}, {0, 3, 1}, {4, 5, 7}, {4, 7, 6}, {0, 1, 5}, {0, 5, 4}, {2, 6, 7}, {2, 7, 3}, {0, 4, 6}, {0, 6, 2}, {1, 3, 7}, {1, 7, 5}}
	return m
}

// prism is a regular prism of n sides about z.
func prism(n int, r, h float64) *mesh.Mesh {
	m := &mesh.Mesh{V: []geom.Vec{{}, {Z: h}}}
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		m.V = append(m.V, geom.Vec{X: r * c, Y: r * s}, geom.Vec{X: r * c, Y: r * s, Z: h})
	}
	for i := range int32(n) {
		a, b := 2+2*i, 2+2*((i+1)%int32(n))
		m.T = append(m.T, [3]int32{0, b, a}, [3]int32{1, a + 1, b + 1}, [3]int32{a, b, b + 1}, [3]int32{a, b + 1, a + 1})
	}
	return m
}

func near(t *testing.T, what string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*max(math.Abs(want), 1e-300)) {
		t.Errorf("%s: %.12g, want %.12g", what, got, want)
	}
}

// Closed form: a block's mass a b c rho, inertia m (b2 + c2)/12 about its centre
// and, by Steiner, m (b2 + c2)/3 about an edge.
func TestBlock(t *testing.T) {
	p := Solid(block(geom.Vec{X: 1, Y: -2, Z: 5}, geom.Vec{X: 11, Y: 18, Z: 35}), 1.25)
	near(t, "mass", p.Mass, 6000*1.25e-6, 1e-13)
	if d := r3.Norm(r3.Sub(p.Centre, geom.Vec{X: 6, Y: 8, Z: 20})); d > 1e-13 {
		t.Errorf("centre %v", p.Centre)
	}
	near(t, "inertia about x", p.Inertia.XX, p.Mass*(400+900)/12, 1e-12)
	near(t, "inertia about z", p.Inertia.ZZ, p.Mass*(100+400)/12, 1e-12)
	near(t, "about an edge", p.About(geom.Line{Point: geom.Vec{X: 1, Y: -2}, Dir: geom.Vec{Z: 1}}), p.Mass*(100+400)/3, 1e-12)
	if d := math.Abs(p.Inertia.XY) + math.Abs(p.Inertia.XZ) + math.Abs(p.Inertia.YZ); d > 1e-14 {
		t.Errorf("products of a block about its own axes: %g", d)
	}
}

// Closed form: regular prism of n sides, area n/2 r2 sin(2 pi/n), moment about
// its axis m r2 (2 + cos(2 pi/n))/6: n triangles about their common corner.
func TestPrism(t *testing.T) {
	const n, r, h = 7, 6.0, 11.0
	a := 2 * math.Pi / n
	p := Solid(prism(n, r, h), 1)
	m := float64(n) / 2 * r * r * math.Sin(a) * h * 1e-6
	near(t, "mass", p.Mass, m, 1e-12)
	near(t, "about the axis", p.Inertia.ZZ, m*r*r*(2+math.Cos(a))/6, 1e-12)
	near(t, "across", p.Inertia.XX, m*(r*r*(2+math.Cos(a))/12+h*h/12), 1e-12)
}

// Closed form: a corner tetrahedron of legs a: volume a3/6, centre a/4,
// integral of x y about the corner a5/120.
func TestProducts(t *testing.T) {
	const a = 8.0
	m := &mesh.Mesh{V: []geom.Vec{{}, {X: a}, {Y: a}, {Z: a}}, T: [][3]int32{{0, 2, 1}, {0, 1, 3}, {0, 3, 2}, {1, 2, 3}}}
	p := Solid(m, 1)
	near(t, "mass", p.Mass, a*a*a/6*1e-6, 1e-13)
	near(t, "centre", p.Centre.Y, a/4, 1e-13)
	near(t, "product", p.Inertia.XY, -(math.Pow(a, 5)/120*1e-6 - p.Mass*a*a/16), 1e-11)
}

// Law: a body moved has the moments of its mesh moved; halves together are the whole.
func TestMovedAndTogether(t *testing.T) {
	g := geom.Screw(geom.Line{Point: geom.Vec{X: 3, Y: 1}, Dir: r3.Unit(geom.Vec{X: 1, Y: 2, Z: -1})}, 1.1, 7)
	b := block(geom.Vec{X: 1, Y: 2, Z: 3}, geom.Vec{X: 4, Y: 9, Z: 5})
	got, want := Solid(b, 1.1).Moved(g), Solid(b.Moved(g), 1.1)
	for _, d := range []geom.Vec{{X: 1}, {Y: 1}, {Z: 1}, {X: 0.6, Y: 0.8}} {
		l := geom.Line{Dir: d}
		near(t, "about a line", got.About(l), want.About(l), 1e-12)
	}
	whole := Together(Solid(block(geom.Vec{}, geom.Vec{X: 1, Y: 1, Z: 2}), 1), Solid(block(geom.Vec{Z: 2}, geom.Vec{X: 1, Y: 1, Z: 7}), 1))
	want = Solid(block(geom.Vec{}, geom.Vec{X: 1, Y: 1, Z: 7}), 1)
	near(t, "joined", whole.Inertia.XX, want.Inertia.XX, 1e-12)
	near(t, "joined centre", whole.Centre.Z, 3.5, 1e-12)
	if Together() != (Properties{}) || Solid(&mesh.Mesh{}, 1) != (Properties{}) {
		t.Error("nothing has mass")
	}
}

// Closed form against the polygon's: a prism of many sides is nearly a rod (its area is
// less by 2 pi2/(3 n2)), askew too.
func TestRod(t *testing.T) {
	g := geom.Rotation(geom.Line{Dir: r3.Unit(geom.Vec{X: 1, Y: 3, Z: -2})}, 0.7)
	want := Solid(prism(2000, 4, 10).Moved(g), 7.5)
	got := Rod(g.Apply(geom.Vec{Z: 5}), g.Turn(geom.Vec{Z: 1}), 8, 10, 7.5)
	near(t, "mass", got.Mass, want.Mass, 1e-5)
	for _, d := range []geom.Vec{{X: 1}, {Y: 1}, {Z: 1}, {Y: 0.6, Z: 0.8}} {
		l := geom.Line{Point: geom.Vec{X: 2}, Dir: d}
		near(t, "about a line", got.About(l), want.About(l), 1e-5)
	}
}
