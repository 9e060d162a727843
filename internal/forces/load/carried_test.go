package load

import (
	"testing"

	"feint/internal/forces"
	"feint/internal/geom"
	"feint/internal/mechanism"
)

// Closed forms: a block on a slope runs where the slope is steeper than its friction, a
// spring runs against a detent that is weaker, a latch draws from within its reach.
func TestCarried(t *testing.T) {
	up := geom.Vec{Z: 1}
	for _, c := range []struct {
		name        string
		tr          mechanism.Travel
		v           float64
		up          geom.Vec
		forth, back bool
	}{
		{"a weight, level", mechanism.Travel{Moved: mechanism.ByGravity}, 5, up, false, false},
		{"on a slope of 0.29", mechanism.Travel{Moved: mechanism.ByGravity}, 5, geom.Vec{X: 0.29, Z: 1}, false, false},
		{"of 0.31 one way", mechanism.Travel{Moved: mechanism.ByGravity}, 5, geom.Vec{X: 0.31, Z: 1}, false, true},
		{"the other way", mechanism.Travel{Moved: mechanism.ByGravity}, 5, geom.Vec{X: -0.31, Z: 1}, true, false},
		{"what only contact moves", mechanism.Travel{Moved: mechanism.ByContact}, 5, geom.Vec{X: 1}, false, false},
		{"a spring", mechanism.Travel{Spring: &mechanism.Spring{Toward: 1, Preload: 1}}, 5, up, true, false},
		{"back", mechanism.Travel{Spring: &mechanism.Spring{Toward: -1, Preload: 1}}, 5, up, false, true},
		{"a spring in a detent", mechanism.Travel{Spring: &mechanism.Spring{Toward: 1, Preload: 1}, Detents: []mechanism.Detent{{At: 5, Width: 1, Force: 1.5}}}, 5.4, up, false, false},
		{"beside it", mechanism.Travel{Spring: &mechanism.Spring{Toward: 1, Preload: 1}, Detents: []mechanism.Detent{{At: 5, Width: 1, Force: 1.5}}}, 5.6, up, true, false},
		{"a stronger one", mechanism.Travel{Spring: &mechanism.Spring{Toward: 1, Preload: 1, Rate: 0.2}, Detents: []mechanism.Detent{{At: 5, Width: 1, Force: 1.5}}}, 5.4, up, true, false},
		{"a latch", mechanism.Travel{Latches: []mechanism.Latch{{At: 5, Reach: 3, Force: 1}}}, 3, up, true, false},
		{"from beyond", mechanism.Travel{Latches: []mechanism.Latch{{At: 5, Reach: 3, Force: 1}}}, 7.9, up, false, true},
		{"out of reach", mechanism.Travel{Latches: []mechanism.Latch{{At: 5, Reach: 3, Force: 1}}}, 8.1, up, false, false},
		{"at it", mechanism.Travel{Latches: []mechanism.Latch{{At: 5, Reach: 3, Force: 1}}}, 5.2, up, false, false},
	} {
		m, meshes := sleeve()
		m.Parts, m.Start = m.Parts[:2], m.Start[:1]
		c.tr.Part, c.tr.Axis, c.tr.Hi = 1, geom.Line{Dir: geom.Vec{X: 1}}, 10
		m.Parts[1].Travels = []int{0}
		m.Travels = []mechanism.Travel{c.tr}
		b := NewBox(m, meshes[:2])
		b.Friction[0], b.Guide[0] = forces.Exact(0.3), Guide{}
		if f, g := b.Carried(0, []float64{c.v}, c.up); f != c.forth || g != c.back {
			t.Errorf("%s: forwards %v, backwards %v", c.name, f, g)
		}
	}
}
