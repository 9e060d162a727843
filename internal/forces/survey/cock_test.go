package survey

import (
	"math"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
)

// gate is a bar of 8 by 8 in a post of the given height, with an arm to one side.
func gate(height, reach float64) (*mechanism.Mechanism, []*mesh.Tree) {
	pla := mechanism.Material{Name: "PLA", Density: 1.25}
	m := &mechanism.Mechanism{
		Parts: []mechanism.Part{
			{Name: "post", Frame: true, Carrier: -1, Material: pla},
			{Name: "bar", Travels: []int{0}, Material: pla},
		},
		Travels: []mechanism.Travel{{Name: "lift", Part: 1, Kind: mechanism.Slide, Axis: geom.Line{Dir: geom.Vec{Z: 1}}, Hi: 8}},
		Start:   []float64{0},
	}
	join := func(ms ...*mesh.Mesh) *mesh.Tree {
		o := &mesh.Mesh{}
		for _, k := range ms {
			n := int32(len(o.V))
			o.V = append(o.V, k.V...)
			for _, t := range k.T {
				o.T = append(o.T, [3]int32{t[0] + n, t[1] + n, t[2] + n})
			}
		}
		return mesh.NewTree(o)
	}
	post := join(
		block(geom.Vec{X: -9, Y: -9}, geom.Vec{X: -4.3, Y: 9, Z: height}), block(geom.Vec{X: 4.3, Y: -9}, geom.Vec{X: 9, Y: 9, Z: height}),
		block(geom.Vec{X: -4.3, Y: -9}, geom.Vec{X: 4.3, Y: -4.3, Z: height}), block(geom.Vec{X: -4.3, Y: 4.3}, geom.Vec{X: 4.3, Y: 9, Z: height}))
	bar := join(block(geom.Vec{X: -4, Y: -4, Z: -2}, geom.Vec{X: 4, Y: 4, Z: height + 12}), block(geom.Vec{X: 4, Y: -4, Z: height + 8}, geom.Vec{X: reach, Y: 4, Z: height + 12}))
	return m, []*mesh.Tree{post, bar}
}

// By the drawing: guided over the height of the post, 8 mm wide, pushed at the end of the
// arm. Places are the middles of pieces of 2 mm at most, the guide is told to 2 mm.
func TestCock(t *testing.T) {
	for _, c := range [][2]float64{{10, 24}, {16, 24}, {10, 40}} {
		m, trees := gate(c[0], c[1])
		k, ok := CockOf(m, trees, 0)
		if !ok || math.Abs(k.Length-c[0]) > 2 || math.Abs(k.Offset-math.Hypot(c[1], 4)) > 2 || math.Abs(k.At.X-c[1]) > 2 {
			t.Errorf("post of %g, arm of %g: %v %+v", c[0], c[1], ok, k)
		}
	}
	m, trees := gate(10, 24)
	m.Travels[0].Moved = mechanism.ByGravity
	if _, ok := CockOf(m, trees, 0); ok {
		t.Error("what falls is pushed")
	}
	// behind a wall 3 mm off no finger comes
	m, trees = gate(10, 24)
	m.Parts = append(m.Parts, mechanism.Part{Name: "wall", Carrier: 0})
	shut := mesh.NewTree(block(geom.Vec{X: -30, Y: -30, Z: 25}, geom.Vec{X: 30, Y: 30, Z: 27}))
	if k, ok := CockOf(m, append(trees, shut), 0); ok && k.At.Z > 21 {
		t.Errorf("a finger within 3 mm: %+v", k)
	}
}

// Second computation, by brute force over the friction that both ends can give: with the
// couple F e borne by N = F e/L at either end, F is in balance with friction of mu N each
// from the offset at which 2 mu N >= F on.
func TestJams(t *testing.T) {
	const mu, length, push = 0.3, 14.0, 5.0
	for e := 0.0; e < 60; e += 0.1 {
		n := push * e / length
		if sticks, told := 2*mu*n >= push, e >= Jams(length, mu); sticks != told {
			t.Errorf("%g mm off: sticks %v, told %v", e, sticks, told)
		}
	}
}

// Brute force: a block of length L and width w turned by small angles in a slot of w + s.
func TestWedges(t *testing.T) {
	for _, c := range [][3]float64{{3, 60, 0.6}, {3, 6, 0.6}, {10, 8, 0.6}, {2, 40, 0.1}, {2, 40, 0.04}} {
		widest := 0.0
		for a := 0.0; a < math.Pi/2; a += 1e-4 {
			widest = max(widest, c[1]*math.Cos(a)+c[0]*math.Sin(a))
		}
		if got := Wedges(c[0], c[1], c[2]); got != (widest > c[1]+c[2]) {
			t.Errorf("%v: %v, widest %g", c, got, widest)
		}
	}
}
