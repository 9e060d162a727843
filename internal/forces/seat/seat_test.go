package seat

import (
	"math"
	"testing"

	"feint/internal/geom"
	"feint/internal/mesh"
)

// ring adds a ring of n points.
func ring(m *mesh.Mesh, n int, r, z float64) int32 {
	from := int32(len(m.V))
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		m.V = append(m.V, geom.Vec{X: r * c, Y: r * s, Z: z})
	}
	return from
}

func band(m *mesh.Mesh, n int, a, b int32) {
	for i := range int32(n) {
		j := (i + 1) % int32(n)
		m.T = append(m.T, [3]int32{a + i, a + j, b + j}, [3]int32{a + i, b + j, b + i})
	}
}

func lid(m *mesh.Mesh, n int, a int32, up bool) {
	for i := range int32(n) - 2 {
		t := [3]int32{a, a + i + 1, a + i + 2}
		if !up {
			t[1], t[2] = t[2], t[1]
		}
		m.T = append(m.T, t)
	}
}

// cup is a round body of radius 10 from z = 0 to top with a pocket of radius r from z = 2 to
// hi: open where hi is top, else closed all round.
func cup(n int, r, hi, top float64) *mesh.Mesh {
	m := &mesh.Mesh{}
	a, b := ring(m, n, 10, 0), ring(m, n, 10, top)
	lid(m, n, a, false)
	band(m, n, a, b)
	c, d := ring(m, n, r, hi), ring(m, n, r, 2)
	if hi == top {
		band(m, n, b, c)
	} else {
		lid(m, n, b, true)
		lid(m, n, c, false)
	}
	band(m, n, c, d)
	lid(m, n, d, true)
	return m
}

// Closed forms: a prism's pocket is across twice its radius, or, on the flats of n = 48, that
// times cos(pi/48); its ends and its rim are where they were drawn.
func TestOf(t *testing.T) {
	near := func(what string, got, want float64) {
		t.Helper()
		if math.IsInf(want, 1) != math.IsInf(got, 1) || math.Abs(got-want) > 1e-9 {
			t.Errorf("%s: %g, want %g", what, got, want)
		}
	}
	open := cup(48, 3.1, 6, 6)
	if v := open.Volume(); v < 0 {
		t.Fatalf("inside out: %g", v)
	}
	at := geom.Vec{Z: 3.5} // a magnet of 6 x 3 on the floor, its face at 5
	s, ok := Of(open, at, geom.Vec{Z: 1}, 6, 3)
	if !ok {
		t.Fatal("it lies in the pocket")
	}
	if w := 2 * 3.1 * math.Cos(math.Pi/48); s.Across < w-1e-9 || s.Across > 6.2+1e-9 {
		t.Errorf("across %g, want %g to 6.2", s.Across, w)
	}
	near("floor", s.Ends[0], 1.5)
	near("open", s.Ends[1], math.Inf(1))
	near("rim", s.Mouth[1], 2.5)
	near("no rim below", s.Mouth[0], math.Inf(1))
	turned, _ := Of(open, at, geom.Vec{Z: -1}, 6, 3)
	near("turned, floor", turned.Ends[1], 1.5)
	near("turned, rim", turned.Mouth[0], 2.5)
	shut, ok := Of(cup(48, 3.1, 5.4, 8), at, geom.Vec{Z: 1}, 6, 3)
	if !ok {
		t.Fatal("it lies in the hollow")
	}
	near("roof", shut.Ends[1], 1.9)
	near("no mouth", shut.Mouth[1], math.Inf(1))
	if _, ok := Of(open, geom.Vec{X: 7, Z: 3}, geom.Vec{Z: 1}, 6, 3); ok {
		t.Error("within plastic")
	}
	if _, ok := Of(cup(48, 2.9, 6, 6), geom.Vec{X: 2, Z: 3.5}, geom.Vec{Z: 1}, 6, 3); !ok {
		t.Error("beside the middle of its pocket, but in air")
	}
}
