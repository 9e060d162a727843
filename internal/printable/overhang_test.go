package printable

import (
	"math"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"

	"gonum.org/v1/gonum/spatial/r3"
)

// Closed forms. Sphere: the cap whose normals lie within 90 - a of straight down
// has the area 2 pi R^2 (1 - cos(90 - a)) (Archimedes). Cone on its tip end: all
// of its side is as steep as it is drawn, pi (r + R) times the slant.
func TestOverhangAreas(t *testing.T) {
	ball := Piece{Mesh: build(t, leaf(mechanism.Sphere{R: 10}), 0.0005), Up: geom.Identity()}
	for _, a := range []float64{30, 45, 60, 75} {
		// a ring of facets is 1.4 degrees wide: the border is off by half of it
		tol := deg(0.7) * math.Cos(deg(a)) / (1 - math.Sin(deg(a)))
		near(t, "sphere", OverhangArea(ball, deg(a)), 2*math.Pi*100*(1-math.Sin(deg(a))), tol)
	}
	for _, steep := range []float64{30, 45, 60} {
		top := 2 + 10*math.Tan(deg(steep))
		p := piece(t, leaf(mechanism.Cone{R0: 2, R1: top, H: 10}))
		side := math.Pi * (2 + top) * math.Hypot(10, top-2)
		near(t, "cone, just milder than drawn", OverhangArea(p, deg(steep-0.5)), side, 1e-3)
		if a := OverhangArea(p, deg(steep+0.5)); a != 0 {
			t.Errorf("a cone of %g degrees has %g mm2 steeper than that", steep, a)
		}
	}
}

// Closed forms of the room below: a cylinder less a frustum; below the cap of a
// ball of radius R out to a = R sin 45, pi R a^2 - 2/3 pi (R^3 - (R^2-a^2)^(3/2)).
func TestSupportVolumes(t *testing.T) {
	s := Default()
	p := piece(t, leaf(mechanism.Cone{R0: 2, R1: 12, H: 10 / math.Sqrt(3)}))
	h := 10 / math.Sqrt(3)
	w := wayUp(&p, "", geom.Identity(), neighbours(p.Mesh), fine, &s)
	near(t, "cone", w.Support, math.Pi*144*h-math.Pi*h/3*(4+24+144), 3e-3)
	ball := Piece{Mesh: build(t, leaf(mechanism.Sphere{R: 10}), 0.0005), Up: geom.Identity()}
	a := 10 * math.Sin(deg(45))
	want := math.Pi*10*a*a - 2.0/3*math.Pi*(1000-math.Pow(100-a*a, 1.5))
	w = wayUp(&ball, "", geom.Identity(), neighbours(ball.Mesh), fine, &s)
	near(t, "ball", w.Support, want, 0.07) // the area goes with the square of the border, 1.4 degrees wide
}

// A ledge over a step stands its support on the part, not on the plate: 10 wide,
// 6 deep, from 4 to 12 mm.
func TestSupportOnThePart(t *testing.T) {
	s := Default()
	p := piece(t, join(brick(0, 20, 0, 10, 0, 4), brick(0, 14, 0, 10, 4, 12), brick(0, 20, 0, 10, 12, 15)))
	w := wayUp(&p, "", geom.Identity(), neighbours(p.Mesh), fine, &s)
	near(t, "room above the step", w.Support, 6*10*8, 1e-6)
	if len(w.Patches) != 1 || !w.Patches[0].Supported || w.Patches[0].Bridge != nil {
		t.Errorf("a ledge held at one end: %+v", w.Patches)
	}
}

// A gate on two posts, 14 mm apart: the lines of its lintel are 14 mm long.
func TestBridge(t *testing.T) {
	s := Default()
	gate := cutOff(brick(0, 30, 0, 25, 0, 12), brick(8, 22, -1, 26, -1, 8))
	p := piece(t, gate)
	for _, c := range []struct {
		span    float64
		support float64
	}{{20, 0}, {14.001, 0}, {13.9, 14 * 25 * 8}} {
		s.BridgeSpan = c.span
		w := wayUp(&p, "", geom.Identity(), neighbours(p.Mesh), fine, &s)
		if len(w.Patches) != 1 || w.Patches[0].Bridge == nil {
			t.Fatalf("patches %+v", w.Patches)
		}
		near(t, "span", w.Patches[0].Bridge.Span, 14, 1e-9)
		near(t, "along x", math.Abs(w.Patches[0].Bridge.Dir.X), 1, 1e-9)
		if math.Abs(w.Support-c.support) > 1e-6 {
			t.Errorf("bridges up to %g mm: support %g, want %g", c.span, w.Support, c.support)
		}
	}
	// a blind recess in a wall is held on three sides: lines run between the two
	// that face each other, however deep it is.
	p = piece(t, cutOff(brick(0, 30, 0, 25, 0, 12), brick(8, 22, -1, 20, -1, 8)))
	s.BridgeSpan = 15
	if w := wayUp(&p, "", geom.Identity(), neighbours(p.Mesh), fine, &s); w.Support != 0 || math.Abs(w.LongSpan-14) > 1e-9 {
		t.Errorf("recess: support %g, span %g", w.Support, w.LongSpan)
	}
}

// The ceiling of a stepped hole has nothing to rest on at its inner edge.
func TestSteppedHoleIsNoBridge(t *testing.T) {
	s := Default()
	p := piece(t, cutOff(brick(-15, 15, -15, 15, 0, 12),
		at(leaf(mechanism.Cylinder{R: 4, H: 20}), 0, 0, -1), at(leaf(mechanism.Cylinder{R: 8, H: 6}), 0, 0, -1)))
	w := wayUp(&p, "", geom.Identity(), neighbours(p.Mesh), fine, &s)
	near(t, "support", w.Support, math.Pi*(64-16)*5, 2e-3)
}

// A ledge narrower than a line prints by itself; one a little wider does not.
func TestNarrowLedge(t *testing.T) {
	s := Default()
	for _, c := range []struct {
		wide float64
		held bool
	}{{0.4, false}, {0.6, true}} {
		p := piece(t, join(brick(0, 20, 0, 30, 0, 10), brick(0, 20+c.wide, 0, 30, 5, 10)))
		w := wayUp(&p, "", geom.Identity(), neighbours(p.Mesh), fine, &s)
		if len(w.Patches) != 1 || w.Patches[0].Supported != c.held {
			t.Errorf("ledge of %g mm: %+v", c.wide, w.Patches)
		}
	}
}

// What slides is seen on both ends of a support: 14 x 25 below the lintel.
func TestSupportInSlide(t *testing.T) {
	s := Default()
	s.BridgeSpan = 5
	p := piece(t, cutOff(brick(0, 30, 0, 25, 0, 12), brick(8, 22, -1, 26, 2, 8)))
	for i := range p.Mesh.T {
		tr := p.Mesh.Triangle(i)
		n := tr.Normal()
		if math.Abs(n.Z) < 0.9 || tr[0].Z < 1 || tr[0].Z > 9 {
			continue
		}
		for _, q := range tr.Divided(1.5) {
			c := r3.Scale(1.0/3, r3.Add(q[0], r3.Add(q[1], q[2])))
			p.Slides = append(p.Slides, Slide{Triangle: i, At: c, Normal: n, Area: 1, Gap: 0.3})
		}
	}
	w := wayUp(&p, "", geom.Identity(), neighbours(p.Mesh), fine, &s)
	near(t, "in the slide", w.InSlide, 2*14*25, 1e-6)
	near(t, "support", w.Support, 14*25*6, 1e-6)
}
