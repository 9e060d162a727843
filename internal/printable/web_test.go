package printable

import (
	"math"
	"testing"

	"feint/internal/geom"
	"feint/internal/mesh"
)

// A plate with two straight grooves of the given depth and a wall between: its thickness,
// height and that it runs on are known from the drawing.
func TestWebBetweenGrooves(t *testing.T) {
	for _, c := range []struct{ wall, deep float64 }{{0.7, 2}, {1.6, 3}, {3, 4}} {
		m := build(t, cutOff(brick(-20, 20, -12, 12, -14, 0),
			brick(-30, 30, c.wall/2, c.wall/2+3, -c.deep, 1), brick(-30, 30, -c.wall/2-3, -c.wall/2, -c.deep, 1)), 0.002)
		p := Piece{Mesh: m, Up: geom.Identity()}
		p.Slides = sides(c.deep, c.wall/2, -1, 1)
		if ws := webs(&p, mesh.NewTree(m), 2); len(ws) != 0 {
			t.Errorf("a slide on one side alone: %+v", ws)
		}
		p.Slides = append(p.Slides, sides(c.deep, -c.wall/2, 1, 2)...)
		ws := webs(&p, mesh.NewTree(m), 2)
		if len(ws) == 0 {
			t.Fatalf("%+v: no web", c)
		}
		w := ws[0]
		near(t, "thickness", w.Thickness, c.wall, 0.01)
		near(t, "height", w.Height, c.deep, 0.05)
		if w.Lift.Z < 0.99 || w.Length < 10 || w.Others[0]+w.Others[1] != 3 {
			t.Errorf("%+v: %+v", c, w)
		}
	}
}

// sides are samples 1.5 mm apart of the wall at y that looks along sign y.
func sides(deep, y, sign float64, other int) []Slide {
	var out []Slide
	for x := -15.0; x <= 15; x += 1.5 {
		for z := -deep + 0.4; z < 0; z += 1.5 {
			out = append(out, Slide{At: geom.Vec{X: x, Y: y, Z: z}, Normal: geom.Vec{Y: -sign}, Area: 2, Gap: 0.25, Other: other})
		}
	}
	return out
}

// A short wall between two pockets is as long as it is drawn.
func TestWebLength(t *testing.T) {
	const wall, deep = 1.2, 3.0
	m := build(t, join(cutOff(brick(-20, 20, -12, 12, -6, 0), brick(-30, 30, -4, 4, -deep, 1)), brick(-3, 3, -wall/2, wall/2, -deep-1, 0)), 0.002)
	p := Piece{Mesh: m, Up: geom.Identity()}
	for x := -2.5; x <= 2.5; x++ {
		p.Slides = append(p.Slides, Slide{At: geom.Vec{X: x, Y: wall / 2, Z: -1}, Normal: geom.Vec{Y: 1}, Other: 1}, Slide{At: geom.Vec{X: x, Y: -wall / 2, Z: -1}, Normal: geom.Vec{Y: -1}, Other: 1})
	}
	ws := webs(&p, mesh.NewTree(m), 1)
	if len(ws) != 1 || math.Abs(ws[0].Length-6) > 0.2 || math.Abs(ws[0].Height-deep) > 0.2 {
		t.Errorf("%+v", ws)
	}
}
