package printable

import (
	"math"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
)

// Closed forms: between parallel faces the ball is as wide as the wall, in a rod as
// wide as the rod; in the hollow of a tube (seen from outside the plastic) as wide
// as the bore; at a corner it touches no second wall.
func TestThickness(t *testing.T) {
	slab := mesh.NewTree(build(t, brick(0, 20, 0, 20, 0, 0.7), 0.01))
	d, _, wall := Thickness(slab, geom.Vec{X: 9, Y: 8}, geom.Vec{Z: -1}, 3, false)
	near(t, "slab", d, 0.7, 1e-4)
	if !wall {
		t.Error("a slab is no wall")
	}
	if d, _, wall := Thickness(slab, geom.Vec{X: 9, Y: 8}, geom.Vec{Z: -1}, 0.6, false); wall || d != 0.6 {
		t.Errorf("up to 0.6 mm: %g, %v", d, wall)
	}
	if _, _, wall := Thickness(slab, geom.Vec{X: 0, Y: 10, Z: 0.35}, geom.Vec{X: -1}, 3, false); wall {
		t.Error("the edge of a slab is a wall")
	}
	rod := mesh.NewTree(build(t, leaf(mechanism.Cylinder{R: 1.5, H: 20}), 0.001))
	n := geom.Vec{X: math.Cos(0.3), Y: math.Sin(0.3)}
	_, _, p := rod.Near(geom.Vec{X: 1.5 * n.X, Y: 1.5 * n.Y, Z: 11}, 1)
	d, _, wall = Thickness(rod, p, n, 5, false)
	near(t, "rod", d, 3, 0.01)
	if !wall {
		t.Error("a rod is no wall")
	}
}

func thinOf(t *testing.T, s *mechanism.Shape) []Thin {
	t.Helper()
	p := piece(t, s)
	set := Default()
	return thins(places(p.Mesh), mesh.NewTree(p.Mesh), lay(p.Mesh, p.Up, nil), &set, 2)
}

// Every place of a rod's side says the same, whichever facet it lies on.
func TestThicknessOfFacets(t *testing.T) {
	m := build(t, leaf(mechanism.Cylinder{R: 0.4, H: 20}), 0.004)
	tree := mesh.NewTree(m)
	n := 0
	for _, p := range places(m) {
		if p.at.Z < 2 || p.at.Z > 18 {
			continue
		}
		n++
		if d, _, wall := Thickness(tree, p.at, p.n, 2, false); !wall || math.Abs(d-0.8) > 0.03 {
			t.Fatalf("at %v: %g, wall %v", p.at, d, wall)
		}
	}
	if n < 100 {
		t.Errorf("only %d places", n)
	}
}

// A web between two slots, just below two lines (0.9 mm) and just above.
func TestThinWeb(t *testing.T) {
	web := func(w float64) *mechanism.Shape {
		return cutOff(brick(0, 30, 0, 20, 0, 10), brick(5, 12, 3, 17, 3, 11), brick(12+w, 20, 3, 17, 3, 11))
	}
	if got := thinOf(t, web(0.91)); len(got) != 0 {
		t.Errorf("0.91 mm: %+v", got)
	}
	got := thinOf(t, web(0.8))
	if len(got) != 1 {
		t.Fatalf("0.8 mm: %+v", got)
	}
	near(t, "thickness", got[0].Thickness, 0.8, 1e-4)
	near(t, "both faces of it, less what lies within a ball of the edges", got[0].Area, 2*14*7, 0.15)
	if got[0].Slit || got[0].Level || got[0].Least != 0.9 {
		t.Errorf("%+v", got[0])
	}
}

// A floor of one layer and a half; a slit of 0.4 mm closes, one of 0.5 does not.
func TestThinFloorAndSlit(t *testing.T) {
	got := thinOf(t, cutOff(brick(0, 30, 0, 30, 0, 10), brick(5, 25, 5, 25, 0.3, 11)))
	if len(got) != 1 || !got[0].Level || got[0].Slit || math.Abs(got[0].Thickness-0.3) > 1e-4 {
		t.Errorf("floor: %+v", got)
	}
	slit := func(w float64) *mechanism.Shape {
		return cutOff(brick(0, 30, 0, 20, 0, 10), brick(10, 10+w, -1, 15, 2, 11))
	}
	if got := thinOf(t, slit(0.5)); len(got) != 0 {
		t.Errorf("slit of 0.5: %+v", got)
	}
	if got := thinOf(t, slit(0.4)); len(got) != 1 || !got[0].Slit || math.Abs(got[0].Thickness-0.4) > 1e-4 {
		t.Errorf("slit of 0.4: %+v", got)
	}
}

// A solid block of 40 mm, 2.4 mm to be kept: a pocket of 35.2 x 35.2 x 37.6 mm
// saves its plastic; with sparse infill the walls round it cost more than it held.
func TestSpare(t *testing.T) {
	s := Default()
	p := piece(t, brick(0, 40, 0, 40, 0, 40))
	tree, l := mesh.NewTree(p.Mesh), lay(p.Mesh, p.Up, nil)
	s.Infill = 1
	got := spares(&p, tree, l, &s, 2)
	if len(got) != 1 || got[0].Open != "from above" {
		t.Fatalf("%+v", got)
	}
	near(t, "volume", got[0].Volume, 35.2*35.2*37.6, 0.06) // cells of 1.2 mm
	near(t, "grams", got[0].Grams, got[0].Volume*1.24e-3, 1e-9)
	if !(got[0].Minutes > 0) {
		t.Errorf("saves %g minutes", got[0].Minutes)
	}
	s.Infill = 0.1 // 0.1 x 46 600 mm3 of infill against 5 300 mm2 x 1.35 x 0.9 of walls
	if got := spares(&p, tree, l, &s, 2); len(got) != 0 {
		t.Errorf("sparse infill: %+v", got)
	}
	// what slides on the top keeps the pocket from opening there
	s.Infill = 1
	for i := range p.Mesh.T {
		tr := p.Mesh.Triangle(i)
		if n := tr.Normal(); n.Z > 0.9 {
			for x := 1.0; x < 40; x += 2 {
				for y := 1.0; y < 40; y += 2 {
					p.Slides = append(p.Slides, Slide{Triangle: i, At: geom.Vec{X: x, Y: y, Z: 40}, Normal: n})
				}
			}
		}
	}
	s.BridgeSpan = 50
	if got := spares(&p, tree, l, &s, 2); len(got) != 1 || got[0].Open != "from below" {
		t.Errorf("with a sliding top: %+v", got)
	}
}
