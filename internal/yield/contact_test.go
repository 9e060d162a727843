package yield

import (
	"math"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/printed"
)

// tube is a prism of n flats between two radii, from z = 0 to h; inner 0 makes a
// rod. Its corners lie on the circles.
func tube(n int, inner, outer, h float64) *mesh.Mesh {
	m := &mesh.Mesh{}
	at := func(r, z float64, i int) int32 {
		a := 2 * math.Pi * float64(i%n) / float64(n)
		m.V = append(m.V, geom.Vec{X: r * math.Cos(a), Y: r * math.Sin(a), Z: z})
		return int32(len(m.V) - 1)
	}
	ring := func(r, z float64) []int32 {
		var out []int32
		for i := range n {
			out = append(out, at(r, z, i))
		}
		return out
	}
	band := func(a, b []int32) { // outside to the right of a going round, b above
		for i := range n {
			j := (i + 1) % n
			m.T = append(m.T, [3]int32{a[i], a[j], b[j]}, [3]int32{a[i], b[j], b[i]})
		}
	}
	ol, oh := ring(outer, 0), ring(outer, h)
	band(ol, oh)
	if inner == 0 {
		for i := 1; i < n-1; i++ {
			m.T = append(m.T, [3]int32{ol[0], ol[i+1], ol[i]}, [3]int32{oh[0], oh[i], oh[i+1]})
		}
		return m
	}
	il, ih := ring(inner, 0), ring(inner, h)
	band(ih, il)
	band(oh, ih)
	band(il, ol)
	return m
}

// A rod of 6 mm radius in a bore of 6.25: the wall of the one is a peg of 12 mm,
// of the other a hole of 12.5, arms plus and minus the radius (closed form). Flats
// lie inside their circle by r(1 - cos(pi/n)), the chord error, which is how much
// nearer to the axis the arms of sampled flats may be.
func TestRodInBore(t *testing.T) {
	const n, r, bore = 48, 6.0, 6.25
	m := &mechanism.Mechanism{
		Parts: []mechanism.Part{
			{Name: "ring", Frame: true, Carrier: -1, Print: geom.Identity()},
			{Name: "rod", Travels: []int{0}, Print: geom.Identity(), Material: mechanism.Material{Name: "PLA"}},
		},
		Travels: []mechanism.Travel{{Part: 1, Axis: geom.Line{Dir: geom.Vec{Z: 1}}, Hi: 10}},
		Start:   []float64{0},
	}
	trees := []*mesh.Tree{mesh.NewTree(tube(n, bore, 10, 20)), mesh.NewTree(tube(n, 0, r, 20))}
	cs := Contacts(m, trees, [][]float64{{0}, {5}}, [][2]int{{0, 1}})
	if len(cs) != 1 || !cs[0].Met {
		t.Fatalf("%+v", cs)
	}
	for s, want := range []struct {
		curve    printed.Curve
		diameter float64
	}{{printed.Hole, 2 * bore}, {printed.Pin, 2 * r}} {
		side := &cs[0].Sides[s]
		p, w := side.Places[0], side.Weights[0]
		if p.Curve != want.curve || math.Abs(p.Diameter-want.diameter) > 0.01 || math.Abs(p.Rise) > 1e-9 {
			t.Errorf("side %d: %+v", s, p)
		}
		sign := 1.0
		if want.curve == printed.Hole {
			sign = -1
		}
		chord := want.diameter / 2 * (1 - math.Cos(math.Pi/n))
		if d := want.diameter/2 - sign*p.Arm; d < chord-0.01 || d > chord+0.05 {
			t.Errorf("side %d: arm %.4f, want %.4f less the chord error %.4f", s, p.Arm, sign*want.diameter/2, chord)
		}
		if w < 0.5 {
			t.Errorf("side %d: the wall has weight %.2f", s, w)
		}
	}
	// laid on its side, the wall has all directions and is neither hole nor peg
	m.Parts[1].Print = geom.Rotation(geom.Line{Dir: geom.Vec{X: 1}}, math.Pi/2)
	cs = Contacts(m, trees, [][]float64{{0}}, [][2]int{{0, 1}})
	lo, hi := 1.0, 0.0
	for _, p := range cs[0].Sides[1].Places {
		lo, hi = min(lo, math.Abs(p.Rise)), max(hi, math.Abs(p.Rise))
		if p.Curve != printed.Straight {
			t.Errorf("%+v", p)
		}
	}
	if lo > 0.2 || hi < 0.9 {
		t.Errorf("rises from %.2f to %.2f", lo, hi)
	}
}

// A square tube has neither holes nor pegs, and rounds of few flats are still
// found (a circle of 9 turns by 40 degrees).
func TestRounds(t *testing.T) {
	for _, c := range []struct {
		n    int
		want bool
	}{{4, false}, {9, true}, {64, true}} {
		m := tube(c.n, 5, 8, 3)
		seen := map[printed.Curve]float64{}
		for _, r := range rounds(m, geom.Identity()) {
			seen[r.curve] = r.diameter
		}
		_, hole := seen[printed.Hole]
		_, pin := seen[printed.Pin]
		if hole != c.want || pin != c.want {
			t.Errorf("%d flats: %v", c.n, seen)
		}
		if c.want && (math.Abs(seen[printed.Hole]-10) > 1e-9 || math.Abs(seen[printed.Pin]-16) > 1e-9) {
			t.Errorf("%d flats: %v", c.n, seen)
		}
	}
}

// Print scale: a gap c at scale s is s c; with growth g a side the box binds below
// s = 2 g / c (closed forms).
func TestScales(t *testing.T) {
	in := newCorridor(0.25).input(t, printed.Amount{Mean: 0.1}, 1)
	b, err := NewBench(t.Context(), in, Learnt{})
	if err != nil {
		t.Fatal(err)
	}
	s, err := b.Scales()
	if err != nil || !s.Works || s.Below != Binds || math.Abs(s.Lo-0.8) > 0.01 || !s.EndHi {
		t.Errorf("%v %+v, want from 0.8", err, s)
	}
	// one face of steel 3 mm from the middle: s c + (s-1) r >= g
	in = newCorridor(0.25).input(t, printed.Amount{Mean: 0.1}, 1)
	in.Contacts[0].Sides[1] = Side{Places: []printed.Place{{Bought: true, Arm: 3}}, Weights: []float64{1}, Middle: 3}
	if b, err = NewBench(t.Context(), in, Learnt{}); err != nil {
		t.Fatal(err)
	}
	if s, err = b.Scales(); err != nil || math.Abs(s.Lo-3.1/3.25) > 0.002 {
		t.Errorf("%v %+v, want from %.4f", err, s, 3.1/3.25)
	}
	// a gate that must stay shut leaks above s = 2 g / leak
	in = newGate(0.3, 0.15).input(t, printed.Amount{Mean: 0.1}, 1)
	if b, err = NewBench(t.Context(), in, Learnt{}); err != nil {
		t.Fatal(err)
	}
	if s, err = b.Scales(); err != nil || math.Abs(s.Hi-0.2/0.15) > 0.04 || math.Abs(s.Lo-0.2/0.3) > 0.02 {
		t.Errorf("%v %+v, want %.3f to %.3f", err, s, 0.2/0.3, 0.2/0.15)
	}
}
