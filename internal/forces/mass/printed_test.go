package mass

import (
	"math"
	"testing"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Closed form: a block a b c with walls t and infill f weighs rho (a b c - (1 - f)
// (a - 2t)(b - 2t)(c - 2t)), with moments likewise.
func TestPrintedBlock(t *testing.T) {
	b := block(geom.Vec{X: 1}, geom.Vec{X: 41, Y: 25, Z: 13})
	p, m, err := Printed(mesh.NewTree(b), 1.25, Fill{Wall: 1.2, Infill: 0.15})
	if err != nil {
		t.Fatal(err)
	}
	in := 37.6 * 22.6 * 10.6
	want := 1.25e-6 * (40*25*13 - 0.85*in)
	if !m.Has(want) || m.Width() > 0.02*want {
		t.Errorf("%v, want %g", m, want)
	}
	near(t, "mass", p.Mass, want, 5e-3)
	iz := 1.25e-6 / 12 * (40*25*13*(40*40+25*25.0) - 0.85*in*(37.6*37.6+22.6*22.6))
	near(t, "inertia", p.Inertia.ZZ, iz, 5e-3)
	if d := r3.Norm(r3.Sub(p.Centre, geom.Vec{X: 21, Y: 12.5, Z: 6.5})); d > 1e-6 {
		t.Errorf("centre off by %g", d)
	}
}

// Closed form: the core of a prism of many sides is a prism of an apothem less by the wall.
func TestPrintedPrism(t *testing.T) {
	const n, r, h, wall = 60, 12.0, 40.0, 2.0
	_, m, err := Printed(mesh.NewTree(prism(n, r, h)), 1, Fill{Wall: wall})
	if err != nil {
		t.Fatal(err)
	}
	in := r - wall/math.Cos(math.Pi/n)
	area := func(r float64) float64 { return float64(n) / 2 * math.Sin(2*math.Pi/n) * r * r }
	want := 1e-6 * (area(r)*h - area(in)*(h-2*wall))
	if !m.Has(want) || m.Width() > 0.1*want {
		t.Errorf("%v, want %g", m, want)
	}
}

// Laws: walls thicker than half the part, or whole infill, are a solid; bad settings err.
func TestPrintedLimits(t *testing.T) {
	tree := mesh.NewTree(block(geom.Vec{}, geom.Vec{X: 9, Y: 9, Z: 9}))
	for _, f := range []Fill{{Wall: 5}, {Wall: 1, Infill: 1}} {
		p, _, err := Printed(tree, 1, f)
		if err != nil || math.Abs(p.Mass-729e-6) > 1e-12 {
			t.Errorf("%+v: %g, %v", f, p.Mass, err)
		}
	}
	for _, f := range []Fill{{Wall: -1}, {Infill: 1.1}, {Wall: math.NaN()}} {
		if _, _, err := Printed(tree, 1, f); err == nil {
			t.Errorf("%+v: no error", f)
		}
	}
}

func BenchmarkPrinted(b *testing.B) {
	tree := mesh.NewTree(prism(60, 12, 40))
	for b.Loop() {
		if _, _, err := Printed(tree, 1, Fill{Wall: 1.2, Infill: 0.15}); err != nil {
			b.Fatal(err)
		}
	}
}
