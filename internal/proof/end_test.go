package proof_test

import (
	"context"
	"errors"
	"math"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/proof"
)

// askew is a motion that leaves nothing parallel to an axis.
func askew() geom.Motion {
	g := geom.Rotation(geom.Line{Dir: geom.Vec{X: 0.6, Y: 0.48, Z: 0.64}}, 1.1)
	g.T = geom.Vec{X: 3, Y: -7, Z: 11}
	return g
}

// wedge is a bar along z whose sharp edge is the line x = 0, y = tip, and whose
// body lies beyond it in y.
func wedge(tip float64) *mesh.Mesh {
	m := &mesh.Mesh{}
	for _, z := range []float64{-1, 1} {
		m.V = append(m.V, geom.Vec{Y: tip, Z: z}, geom.Vec{X: 0.2, Y: tip + 3, Z: z}, geom.Vec{X: -0.2, Y: tip + 3, Z: z})
	}
	m.T = [][3]int32{{0, 2, 1}, {3, 4, 5}, {0, 1, 4}, {0, 4, 3}, {1, 2, 5}, {1, 5, 4}, {2, 0, 3}, {2, 3, 5}}
	return m
}

// Closed forms: a way that is clear in the middle of every interval and fails
// only at its very end, for every kind of travel and for flat, sharp, large and
// small parts on either side, in a frame where no box is tight.
func TestWalkFailsAtTheEnd(t *testing.T) {
	slide := mechanism.Travel{Name: "t", Axis: xAxis, Hi: 20}
	turn := mechanism.Travel{Name: "t", Kind: mechanism.Turn, Axis: zAxis, Lo: -3, Hi: 3}
	helix := mechanism.Travel{Name: "t", Kind: mechanism.Helix, Axis: zAxis, Lead: 4, Hi: 9}
	wall := block(geom.Vec{X: 10, Y: -30, Z: -30}, geom.Vec{X: 12, Y: 30, Z: 30})
	plate := block(geom.Vec{X: 1, Y: -30, Z: -30}, geom.Vec{X: 2, Y: 30, Z: 30})
	cube := block(geom.Vec{X: -2, Y: -2, Z: -2}, geom.Vec{X: 2, Y: 2, Z: 2})
	peg := block(geom.Vec{X: 10, Y: -0.1, Z: -0.1}, geom.Vec{X: 11, Y: 0.1, Z: 0.1})
	floor := func(y float64) *mesh.Mesh {
		return block(geom.Vec{X: -30, Y: y - 2, Z: -5}, geom.Vec{X: 30, Y: y, Z: 5})
	}
	ceiling := block(geom.Vec{X: -9, Y: -9, Z: 5}, geom.Vec{X: 9, Y: 9, Z: 6})
	for _, c := range []struct {
		name        string
		travel      mechanism.Travel
		rests, goes *mesh.Mesh
		from, limit float64
	}{
		{"cube to wall", slide, wall, cube, 0, 8},
		{"plate to peg", slide, peg, plate, 0, 8},
		{"plate to wall", slide, wall, plate, 0, 8},
		{"edge to wall", slide, wall, wedge(-2).Moved(geom.Rotation(zAxis, math.Pi/2)), 0, 8},
		// the edge stands 10 above the axis and sinks as the cosine
		{"edge round to the floor", turn, floor(10 * math.Cos(0.3)), wedge(10), -0.25, 0.3},
		// the edge of the floor's frame is carried by the other part
		{"floor round to the edge", turn, wedge(10), floor(10 * math.Cos(0.3)), 0.25, -0.3},
		// the cube's side turns onto the floor: its corner is first there
		{"corner round to the floor", turn, floor(-2 * math.Sqrt2 * math.Sin(math.Pi/4+0.3)), cube, 0, 0.3},
		{"screw to the ceiling", helix, ceiling, cube, 0, 3 * math.Pi / 2},
	} {
		for _, g := range []geom.Motion{geom.Identity(), askew()} {
			tr := c.travel
			tr.Axis = geom.Line{Point: g.Apply(tr.Axis.Point), Dir: g.Turn(tr.Axis.Dir)}
			m := two(tr)
			m.Start[0] = c.from
			if c.from < 0 {
				m.Travels[0].Lo = -3
			}
			way := 1e-3
			if c.limit < c.from {
				way = -way
			}
			for _, end := range []struct {
				to   float64
				want error
			}{{c.limit - way, nil}, {c.limit + way, proof.ErrRefused}} {
				_, err := proof.Walk(context.Background(), m, trees(c.rests.Moved(g), c.goes.Moved(g)), 0, m.Start,
					[]proof.Stroke{{Part: 1, From: c.from, To: end.to}}, mechanism.Region{})
				if !errors.Is(err, end.want) {
					t.Errorf("%s to %g of %g: %v, want %v", c.name, end.to, c.limit, err, end.want)
				}
			}
		}
	}
}

// Closed forms of a depth that is passed only at the end: a block pushed into a
// wall, and a sheet at the height of a ledge's top pushed into what rises behind
// it: all of the sheet is near the plane of the ledge, but not near the ledge.
func TestWalkDeepAtTheEnd(t *testing.T) {
	m := two(mechanism.Travel{Name: "slide", Axis: xAxis, Hi: 20})
	m.PressFits = []mechanism.PressFit{{A: 0, B: 1, Depth: 0.3}}
	wall := block(geom.Vec{X: 10, Y: -9, Z: -9}, geom.Vec{X: 14, Y: 9, Z: 9})
	cube := block(geom.Vec{X: -2, Y: -2, Z: -2}, geom.Vec{X: 2, Y: 2, Z: 2})
	// flush on all sides: no side crosses a face
	face := block(geom.Vec{X: 10, Y: -9, Z: -9}, geom.Vec{X: 20, Y: 9, Z: 9})
	plate := block(geom.Vec{X: -2, Y: -9, Z: -9}, geom.Vec{X: 2, Y: 9, Z: 9})
	ledge := together(block(geom.Vec{X: -9, Y: -9, Z: -4}, geom.Vec{X: 13, Y: 9, Z: 0}), wall)
	sheet := block(geom.Vec{X: -2, Y: -2, Z: -0.1}, geom.Vec{X: 2, Y: 2, Z: 0.1})
	// a dart: only its tip goes in, and the middles of its faces stay far behind
	dart := &mesh.Mesh{
		V: []geom.Vec{{X: 2}, {X: -2, Y: -2, Z: -0.1}, {X: -2, Y: 2, Z: -0.1}, {X: -2, Z: 0.1}},
		T: [][3]int32{{0, 2, 1}, {0, 1, 3}, {0, 3, 2}, {1, 2, 3}},
	}
	for _, c := range []struct {
		name        string
		rests, goes *mesh.Mesh
		to          float64
		want        error
	}{
		{"into the wall", wall, cube, 8.299, nil},
		{"too far into the wall", wall, cube, 8.301, proof.ErrRefused},
		{"face on face", face, plate, 8.299, nil},
		{"face through face", face, plate, 9, proof.ErrRefused},
		{"along the ledge", ledge, sheet, 8, nil},
		{"into what rises behind it", ledge, sheet, 8.2, nil},
		{"a little too far into what rises", ledge, sheet, 8.301, proof.ErrRefused},
		{"a dart into what rises", ledge, dart, 8.299, nil},
		{"a dart too far into what rises", ledge, dart, 8.301, proof.ErrRefused},
		{"too far into what rises", ledge, sheet, 9, proof.ErrRefused},
	} {
		for _, g := range []geom.Motion{geom.Identity(), askew()} {
			m.Travels[0].Axis = geom.Line{Point: g.T, Dir: g.Turn(geom.Vec{X: 1})}
			_, err := proof.Walk(context.Background(), m, trees(c.rests.Moved(g), c.goes.Moved(g)), 0, m.Start,
				[]proof.Stroke{{Part: 1, From: 0, To: c.to}}, mechanism.Region{})
			if !errors.Is(err, c.want) {
				t.Errorf("%s: %v, want %v", c.name, err, c.want)
			}
		}
	}
}
