package gauge

import (
	"math"
	"slices"
	"strings"
	"testing"

	"feint/internal/geom"
)

// A peg in a track that goes right through a bar, of which only two walls are left when
// it is cut out: a plate holds them. Measured on the mesh from wall to wall, above the
// plate, they are the peg's size and twice the label apart; and below there is the plate
// all across.
func TestFloored(t *testing.T) {
	const peg, floorAt = 5.0, 3.0
	parts, fits := drawn(t, `
frame = part("hut", frame = True, solid = block((-30, 30), (-20, 20), (0, 5)) - block((-31, 31), (-2.8, 2.8), (-1, 6)))
roof = part("roof", solid = block((-10, 10), (-10, 10), (5.3, 9)) + block((-4, 4), (-2.5, 2.5), (0.5, 6)), travels = [slide(x, 0, 15)])
start({})
goal("off", {roof.slide: (14, None)})
`)
	gs := cut(t, parts, fits, settings())
	var g *Gauge
	for i := range gs {
		if len(gs[i].Notes) > 0 && strings.Contains(gs[i].Notes[0], "right through") {
			g = &gs[i]
		}
	}
	if g == nil {
		t.Fatalf("no gauge with a plate: %+v", fits)
	}
	sound(t, g)
	m := g.Pieces[0].Mesh
	var want, got []float64
	for _, p := range g.Places {
		want = append(want, peg+2*p.Gap)
	}
	slices.Sort(want)
	turned := m.Moved(geom.Rotation(geom.Line{Dir: geom.Vec{Z: 1}}, math.Pi/2))
	for _, k := range []float64{floorAt, floorAt + 0.7} {
		for _, w := range [][]float64{spans(m, k, peg-0.5), spans(turned, k, peg-0.5)} {
			if len(w) == len(want) {
				got = w
			}
		}
	}
	slices.Sort(got)
	if len(got) != len(want) {
		t.Fatalf("rooms %v, want %v", got, want)
	}
	for i := range want {
		if math.Abs(got[i]-want[i]) > 0.05 {
			t.Errorf("%.3f mm from wall to wall, want %.3f", got[i], want[i])
		}
	}
	if low := spans(m, floor/2, peg-0.5); len(low) > 0 {
		t.Errorf("rooms %v within the plate", low)
	}
}
