package mating

import (
	"fmt"
	"math"
	"testing"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// A keel in a channel, under a roof: it stands as deep as it is drawn; the other
// way the floor would have to go.
func TestDepthOfKeel(t *testing.T) {
	for _, deep := range []float64{1, 2.2} {
		m, trees := drawn(t, fmt.Sprintf(`
frame = part("frame", frame = True, solid = block((-20, 20), (-12, 12), (-6, 9)) - block((-21, 21), (-8, 8), (0, 6)) - block((-21, 21), (-1.75, 1.75), (-%g, 1)))
ferry = part("ferry", solid = block((-18, -4), (-5, 5), (0.3, 5.2)) + block((-18, -4), (-1.5, 1.5), (-%g, 1)), travels = [slide(x, 0, 20)])
start({})
goal("over", {ferry.slide: (18, None)})
`, deep+0.4, deep))
		seen := false
		r := find(t, m, trees)
		for i := range r.Fits {
			f := &r.Fits[i]
			if math.Abs(f.Wide-3.5) > 0.01 {
				continue
			}
			seen = true
			ds := f.Depths(m, trees[f.Outer], trees[f.Inner])
			if len(ds) == 0 || r3.Norm(r3.Sub(ds[0].Out, geom.Vec{Z: 1})) > 1e-6 {
				t.Fatalf("%g deep: %+v", deep, ds)
			}
			near(t, "depth", ds[0].Far, deep, 0.03)
		}
		if !seen {
			t.Errorf("%g deep: no fit of the keel: %+v", deep, r.Fits)
		}
	}
}

// A radial pin of a bolt in a groove round a bush stands in it from the bore to its tip
// (radii of the drawing), and leaves inwards.
func TestDepthOfPin(t *testing.T) {
	m, trees := drawn(t, `
bush = part("bush", frame = True, solid = cylinder(r = 14, h = 20) - cylinder(r = 8.3, h = 20) - (cylinder(r = 10.3, h = 3.5) - cylinder(r = 8, h = 3.5)).at(z = 8))
bolt = part("bolt", solid = cylinder(r = 8, h = 20) + cylinder(d = 3, h = 10).along(x).at(z = 9.75), travels = [turn(z)])
start({})
goal("round", {bolt.turn: (80, 100)})
`)
	seen := false
	r := find(t, m, trees)
	for i := range r.Fits {
		f := &r.Fits[i]
		if f.Round || math.Abs(f.Wide-3.5) > 0.05 {
			continue
		}
		for _, d := range f.Depths(m, trees[f.Outer], trees[f.Inner]) {
			seen = true
			if d.Out.X < 0 { // inwards
				near(t, "depth", d.Far, 10-8.3, 0.1) // the edge of the bore is round
			}
		}
	}
	if !seen {
		t.Errorf("no depth of the pin: %+v", r.Fits)
	}
}
