package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

func near(a, b Vec, tol float64) bool { return r3.Norm(r3.Sub(a, b)) <= tol }

// Second implementation: gonum's rotations.
func TestRotationAgainstGonum(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		l := Line{Point: random(r), Dir: r3.Unit(random(r))}
		angle := 20 * (r.Float64() - 0.5)
		m, g := Rotation(l, angle), r3.NewRotation(angle, l.Dir)
		p := r3.Scale(10, random(r))
		want := r3.Add(l.Point, g.Rotate(r3.Sub(p, l.Point)))
		if got := m.Apply(p); !near(got, want, 1e-13) {
			t.Fatalf("%v by %g about %v: %v, want %v", p, angle, l, got, want)
		}
		if got := m.Turn(p); !near(got, g.Rotate(p), 1e-13) {
			t.Fatalf("direction %v by %g about %v: %v, want %v", p, angle, l, got, g.Rotate(p))
		}
	}
}

// Closed form: a quarter turn of a screw of 4 mm lead; a whole one goes straight.
func TestScrew(t *testing.T) {
	l := Line{Point: Vec{X: 1}, Dir: Vec{Z: 1}}
	m := Screw(l, math.Pi/2, 4)
	if got := m.Apply(Vec{X: 3, Y: 0, Z: 5}); !near(got, Vec{X: 1, Y: 2, Z: 6}, 1e-15) {
		t.Errorf("a quarter turn: %v", got)
	}
	m = Screw(l, -2*math.Pi, 4)
	if got := m.Apply(Vec{X: 3, Y: 2, Z: 5}); !near(got, Vec{X: 3, Y: 2, Z: 1}, 1e-14) {
		t.Errorf("a turn back: %v", got)
	}
}

// Laws: a motion and its inverse cancel; "m, then n" is n after m.
func TestMotionAlgebra(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 200 {
		m := Screw(Line{Point: random(r), Dir: r3.Unit(random(r))}, 9*r.Float64(), 3)
		n := Rotation(Line{Point: random(r), Dir: r3.Unit(random(r))}, 9*r.Float64())
		p := r3.Scale(10, random(r))
		c := m.Then(n)
		if got, want := c.Apply(p), n.Apply(m.Apply(p)); !near(got, want, 1e-12) {
			t.Fatalf("then: %v, want %v", got, want)
		}
		inv := c.Inverse()
		if got := inv.Apply(c.Apply(p)); !near(got, p, 1e-12) {
			t.Fatalf("there and back: %v, want %v", got, p)
		}
	}
}

// Closed forms: boxes apart along one, two and three axes, and meeting.
func TestBoxDistance(t *testing.T) {
	box := func(x, y, z float64) Box {
		return Box{Lo: Vec{X: x, Y: y, Z: z}, Hi: Vec{X: x + 1, Y: y + 1, Z: z + 1}}
	}
	for _, c := range []struct {
		b    Box
		want float64
	}{{box(3, 0, 0), 2}, {box(0.5, 4, 5), 5}, {box(-2, 3, 3), 3}, {box(0.5, 0.5, 0.5), 0}, {box(1, 0, 0), 0}} {
		if d := box(0, 0, 0).Distance(c.b); math.Abs(d-c.want) > 1e-15 {
			t.Errorf("%v: %g, want %g", c.b, d, c.want)
		}
	}
	if b := EmptyBox().Add(Vec{X: 1}).Union(box(2, 2, 2)); b != (Box{Lo: Vec{X: 1}, Hi: Vec{X: 3, Y: 3, Z: 3}}) {
		t.Errorf("union: %v", b)
	}
}
