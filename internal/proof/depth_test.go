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

// Exact answer of the parts' maker: below growth -0.100 mm the pin passes the
// false neck, and three moves open.
func TestWalkThroughNeck(t *testing.T) {
	m, ts := latchRod(t)
	short := []proof.Stroke{
		{Part: 2, Travel: 1, From: 0, To: 10},
		{Part: 1, Travel: 0, From: 0, To: 12},
		{Part: 3, Travel: 2, From: 0, To: 30},
	}
	for _, c := range []struct {
		growth float64
		want   error
	}{{0, proof.ErrRefused}, {-0.099, proof.ErrRefused}, {-0.1005, nil}, {-0.11, nil}, {-0.15, nil}} {
		r, err := proof.Walk(context.Background(), m, ts, c.growth, m.Start, short, m.Goal)
		if !errors.Is(err, c.want) {
			t.Errorf("growth %g: %v, want %v", c.growth, err, c.want)
		}
		t.Logf("growth %g: %d intervals", c.growth, r.Intervals)
	}
	// the meant way exists at every smaller growth
	if _, err := proof.Walk(context.Background(), m, ts, -0.2, m.Start, meant(), m.Goal); err != nil {
		t.Errorf("the meant way, loose: %v", err)
	}
}

// A needle that goes a long way through a plate thinner than itself, and one beside it
// that lies in the plate's rim by what is allowed, and by a little more.
func TestWalkThinPlate(t *testing.T) {
	plate := block(geom.Vec{X: 0, Y: -20, Z: 0}, geom.Vec{X: 20, Y: 20, Z: 0.2})
	m := two(mechanism.Travel{Name: "down", Axis: zAxis, Lo: -40, Hi: 40})
	for _, c := range []struct {
		left float64 // of the needle, 3 mm wide
		want error
	}{{5, proof.ErrRefused}, {-2.97, nil}, {-2.952, nil}, {-2.949, proof.ErrRefused}, {-1.5, proof.ErrRefused}} {
		needle := block(geom.Vec{X: c.left, Y: -0.7, Z: 10}, geom.Vec{X: c.left + 3, Y: 0.7, Z: 30})
		_, err := proof.Walk(context.Background(), m, trees(plate, needle), -0.025, m.Start, []proof.Stroke{{Part: 1, From: 0, To: -35}}, mechanism.Region{})
		if !errors.Is(err, c.want) {
			t.Errorf("needle at %g: %v, want %v", c.left, err, c.want)
		}
	}
}

// Closed form: a press fit. A square pin of 4 mm slides into a hole 3.8 mm wide:
// its sides are 0.1 mm deep, its edges, in the corners of the hole, 0.1 sqrt(2).
func TestWalkPressFit(t *testing.T) {
	plate := func(lo, hi geom.Vec) *mesh.Mesh { return block(lo, hi) }
	hole := together( // four overlapping walls about a hole of 3.8 mm
		plate(geom.Vec{X: 1.9, Y: -8, Z: -5}, geom.Vec{X: 8, Y: 8, Z: 5}),
		plate(geom.Vec{X: -8, Y: -8, Z: -5}, geom.Vec{X: -1.9, Y: 8, Z: 5}),
		plate(geom.Vec{X: -7, Y: 1.9, Z: -5}, geom.Vec{X: 7, Y: 8, Z: 5}),
		plate(geom.Vec{X: -7, Y: -8, Z: -5}, geom.Vec{X: 7, Y: -1.9, Z: 5}))
	pin := block(geom.Vec{X: -2, Y: -2, Z: 6}, geom.Vec{X: 2, Y: 2, Z: 26})
	m := two(mechanism.Travel{Name: "press", Axis: zAxis, Lo: -40, Hi: 1})
	s := []proof.Stroke{{Part: 1, From: 0, To: -12}, {Part: 1, From: -12, To: 0}}
	for _, c := range []struct {
		depth float64
		want  error
	}{{0.1 * math.Sqrt2 * 1.002, nil}, {0.2, nil}, {0.1 * math.Sqrt2 * 0.998, proof.ErrRefused}, {0.05, proof.ErrRefused}, {0, proof.ErrRefused}} {
		m.PressFits = []mechanism.PressFit{{A: 1, B: 0, Depth: c.depth}}
		r, err := proof.Walk(context.Background(), m, trees(hole, pin), 0, m.Start, s, mechanism.Region{})
		if !errors.Is(err, c.want) {
			t.Errorf("depth %g: %v, want %v", c.depth, err, c.want)
		}
		t.Logf("depth %g: %d intervals", c.depth, r.Intervals)
	}
}

// Closed form: a rod of apothem 6.05 turns in a bore of apothem 6; the rod's
// corners are 6.05/cos(pi/n) from the axis and dip 0.05 to that less 6 into the
// bore's wall, depending on the angle.
func TestWalkTightBore(t *testing.T) {
	const n = 24
	m := two(mechanism.Travel{Name: "turn", Kind: mechanism.Turn, Axis: zAxis, Hi: 2 * math.Pi, Full: true})
	ts := trees(tube(6, 10, -3, 3, n), tube(0, 6.05, -4, 4, n))
	deepest := 6.05/math.Cos(math.Pi/n) - 6
	s := []proof.Stroke{{Part: 1, From: 0, To: 1}}
	for _, c := range []struct {
		depth float64
		want  error
	}{{deepest + 1e-3, nil}, {deepest - 1e-3, proof.ErrRefused}, {0.04, proof.ErrRefused}} {
		m.PressFits = []mechanism.PressFit{{A: 0, B: 1, Depth: c.depth}}
		r, err := proof.Walk(context.Background(), m, ts, 0, m.Start, s, mechanism.Region{})
		if !errors.Is(err, c.want) {
			t.Errorf("depth %g: %v, want %v", c.depth, err, c.want)
		}
		t.Logf("depth %g: %d intervals", c.depth, r.Intervals)
	}
}

// A region that meets nothing may still be inside: a pin whose far half is in a
// wall, a shell swallowed whole.
func TestWalkDeepRegions(t *testing.T) {
	m := two(mechanism.Travel{Name: "slide", Axis: xAxis, Lo: 0, Hi: 1})
	m.PressFits = []mechanism.PressFit{{A: 0, B: 1, Depth: 0.3}}
	s := []proof.Stroke{{Part: 1, From: 0, To: 1}}
	wall := block(geom.Vec{X: -10, Y: -10, Z: -10}, geom.Vec{X: 10, Y: 10, Z: 0})
	for _, c := range []struct {
		name string
		part *mesh.Mesh
		want error
	}{
		{"deep", block(geom.Vec{X: -1, Y: -1, Z: -5}, geom.Vec{X: 1, Y: 1, Z: 5}), proof.ErrRefused},
		{"just deep", block(geom.Vec{X: -1, Y: -1, Z: -0.31}, geom.Vec{X: 1, Y: 1, Z: 5}), proof.ErrRefused},
		{"shallow", block(geom.Vec{X: -1, Y: -1, Z: -0.29}, geom.Vec{X: 1, Y: 1, Z: 5}), nil},
		{"on it", block(geom.Vec{X: -1, Y: -1, Z: 0}, geom.Vec{X: 1, Y: 1, Z: 5}), nil},
		{"swallowed", block(geom.Vec{X: -1, Y: -1, Z: -5}, geom.Vec{X: 1, Y: 1, Z: -3}), proof.ErrRefused},
		{"one shell swallowed", together(block(geom.Vec{X: -1, Y: -1, Z: -0.2}, geom.Vec{X: 1, Y: 1, Z: 5}), block(geom.Vec{X: 4, Y: -1, Z: -5}, geom.Vec{X: 5, Y: 1, Z: -3})), proof.ErrRefused},
	} {
		if _, err := proof.Walk(context.Background(), m, trees(wall, c.part), 0, m.Start, s, mechanism.Region{}); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
}
