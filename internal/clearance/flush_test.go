package clearance

import (
	"context"
	"math"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
)

// Panels of one thickness on one bed: every corner lies in the plane of a face of
// the other. Such a corner is on the other's surface and never deep in it. Every
// witness is held to the closed form of a point and a block.
func TestFlushPanels(t *testing.T) {
	m := &mechanism.Mechanism{
		Parts: []mechanism.Part{{Name: "bed", Frame: true, Carrier: -1}, {Name: "ramp", Carrier: 0, Travels: []int{0}}, {Name: "line", Carrier: 0, Travels: []int{1}}},
		Travels: []mechanism.Travel{
			{Name: "out", Part: 1, Axis: geom.Line{Dir: geom.Vec{X: 1}}, Lo: 0, Hi: 25},
			{Name: "haul", Part: 2, Axis: geom.Line{Dir: geom.Vec{Y: 1}}, Lo: 0, Hi: 9},
		},
		Start: []float64{0, 0},
	}
	box := [2][6]float64{{-20, -12.3, 5, 9, 0, 5}, {-4, 4, 3.3, 30, 0, 5}}
	var bodies [2]*Body
	for i, b := range box {
		var err error
		if bodies[i], err = NewBody(block(b[0], b[1], b[2], b[3], b[4], b[5])); err != nil {
			t.Fatal(err)
		}
	}
	mp, err := New(m, 1, 2, bodies[0], bodies[1])
	if err != nil {
		t.Fatal(err)
	}
	for _, need := range []float64{0, 0.1, -0.1, -0.2} {
		for _, width := range []float64{0.32, 0.08, 0.02} {
			if err := mp.Refine(context.Background(), []float64{need}, width); err != nil {
				t.Fatal(err)
			}
		}
		for c, w := range mp.Witnesses(need) {
			x, y := (c.Lo[0]+c.Hi[0])/2, (c.Lo[1]+c.Hi[1])/2
			p, b := w.Point, box[0]
			if w.OnA {
				p, b = geom.Vec{X: p.X + x, Y: p.Y - y, Z: p.Z}, box[1]
			} else {
				p = geom.Vec{X: p.X - x, Y: p.Y + y, Z: p.Z}
			}
			d := max(b[0]-p.X, p.X-b[1], b[2]-p.Y, p.Y-b[3], b[4]-p.Z, p.Z-b[5])
			if d > c.Upper+1e-5 && !(d > 0 && math.Abs(d-c.Upper) < 1) {
				t.Fatalf("need %g, cell %v to %v: the witness %+v is at %g, the bound is %g", need, c.Lo[:2], c.Hi[:2], w, d, c.Upper)
			}
		}
	}
}
