package proof_test

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/proof"
)

// meant is the way that the latch-rod was drawn for.
func meant() []proof.Stroke {
	return []proof.Stroke{
		{Part: 1, Travel: 0, From: 0, To: 16},
		{Part: 2, Travel: 1, From: 0, To: 10},
		{Part: 1, Travel: 0, From: 16, To: 12},
		{Part: 3, Travel: 2, From: 0, To: 30},
	}
}

// Exact answers of the parts' maker: it binds at growth +0.125 mm.
func TestWalkLatchRod(t *testing.T) {
	m, ts := latchRod(t)
	for _, c := range []struct {
		growth float64
		want   error
	}{{0, nil}, {0.1249, nil}, {0.1251, proof.ErrRefused}} {
		r, err := proof.Walk(context.Background(), m, ts, c.growth, m.Start, meant(), m.Goal)
		if !errors.Is(err, c.want) {
			t.Errorf("growth %g: %v, want %v", c.growth, err, c.want)
		}
		if err == nil && (r.Strokes != 4 || r.Pairs != 6+4*3) {
			t.Errorf("growth %g: %d strokes, %d pairs", c.growth, r.Strokes, r.Pairs)
		}
	}
}

// Every corruption of a way must be refused.
func TestWalkMutations(t *testing.T) {
	m, ts := latchRod(t)
	zero := []float64{0, 0, 0}
	for _, c := range []struct {
		name   string
		change func(s []proof.Stroke) []proof.Stroke
		start  []float64
		why    string
	}{
		{"another start", func(s []proof.Stroke) []proof.Stroke { s[0].From = 1; return s }, []float64{1, 0, 0}, "in the design at 0"},
		{"a short start", func(s []proof.Stroke) []proof.Stroke { return s }, []float64{0, 0}, "2 values"},
		{"a jump", func(s []proof.Stroke) []proof.Stroke { s[2].From = 15; return s }, zero, "stands at 16"},
		{"beyond the limit", func(s []proof.Stroke) []proof.Stroke { s[3].To = 30.5; return s }, zero, "leaves the limits"},
		{"not a number", func(s []proof.Stroke) []proof.Stroke { s[3].To = math.NaN(); return s }, zero, "ends at NaN"},
		{"not far enough", func(s []proof.Stroke) []proof.Stroke { s[3].To = 25.9; return s }, zero, "outside the goal"},
		{"the wrong part", func(s []proof.Stroke) []proof.Stroke { s[1].Part = 1; return s }, zero, "is not of part"},
		{"no such travel", func(s []proof.Stroke) []proof.Stroke { s[1].Travel = 3; return s }, zero, "no travel 3"},
		{"a stroke left out", func(s []proof.Stroke) []proof.Stroke { return append(s[:2:2], s[3]) }, zero, "clearance"},
		{"two exchanged", func(s []proof.Stroke) []proof.Stroke { return []proof.Stroke{s[1], s[0], s[2], s[3]} }, zero, "clearance"},
		{"the first too short", func(s []proof.Stroke) []proof.Stroke { s[0].To, s[2].From = 15.5, 15.5; return s }, zero, "clearance"},
		{"the third too far", func(s []proof.Stroke) []proof.Stroke { s[2].To = 11.6; return s }, zero, "clearance"},
	} {
		_, err := proof.Walk(context.Background(), m, ts, 0, c.start, c.change(meant()), m.Goal)
		if !errors.Is(err, proof.ErrRefused) || !strings.Contains(err.Error(), c.why) {
			t.Errorf("%s: %v, want it refused: %s", c.name, err, c.why)
		}
	}
	if _, err := proof.Walk(context.Background(), m, ts[:3], 0, zero, meant(), m.Goal); !errors.Is(err, proof.ErrRefused) {
		t.Errorf("a mesh short: %v", err)
	}
}

// Closed form: a square pin of 4 mm in a groove 4.6 mm wide, drawn in the middle
// and out of it, has half the difference of the widths as its clearance.
func TestWalkPinInGroove(t *testing.T) {
	wall := func(y0, y1 float64) *mesh.Mesh {
		return block(geom.Vec{X: -50, Y: y0, Z: 0}, geom.Vec{X: 50, Y: y1, Z: 5})
	}
	m := two(mechanism.Travel{Name: "slide", Axis: xAxis, Lo: -40, Hi: 40}, mechanism.Travel{Name: "aside", Axis: yAxis, Lo: -1, Hi: 1})
	ts := trees(together(wall(2.3, 9), wall(-9, -2.3)), block(geom.Vec{X: -2, Y: -2, Z: 1}, geom.Vec{X: 2, Y: 2, Z: 4}))
	walk := func(growth, aside float64) error {
		_, err := proof.Walk(context.Background(), m, ts, growth, m.Start, []proof.Stroke{
			{Part: 1, Travel: 1, From: 0, To: aside},
			{Part: 1, Travel: 0, From: 0, To: 40},
			{Part: 1, Travel: 0, From: 40, To: -40},
		}, mechanism.Region{})
		return err
	}
	for _, aside := range []float64{0, 0.1, 0.25} {
		limit := (0.3 - aside) / 2
		if err := walk(limit-1e-5, aside); err != nil {
			t.Errorf("aside %g: %v", aside, err)
		}
		if err := walk(limit+1e-5, aside); !errors.Is(err, proof.ErrRefused) {
			t.Errorf("aside %g, too large: %v", aside, err)
		}
	}
}

// Closed form: a rod turning and sliding in a bore; with facets of the same
// number the least gap is that between the rod's corners and the bore's apothem.
func TestWalkRodInBore(t *testing.T) {
	const n = 96
	m := two(
		mechanism.Travel{Name: "slide", Axis: zAxis, Lo: -30, Hi: 30},
		mechanism.Travel{Name: "turn", Kind: mechanism.Turn, Axis: zAxis, Lo: 0, Hi: 2 * math.Pi, Full: true})
	ts := trees(tube(6.3, 10, -20, 20, n), tube(0, 6, -40, 40, n))
	strokes := []proof.Stroke{
		{Part: 1, Travel: 0, From: 0, To: 30},
		{Part: 1, Travel: 1, From: 0, To: -3},
		{Part: 1, Travel: 0, From: 30, To: -30},
		{Part: 1, Travel: 1, From: 2*math.Pi - 3, To: 9},
	}
	gap := 6.3 - 6/math.Cos(math.Pi/n)
	for _, c := range []struct {
		growth float64
		want   error
	}{{gap/2 - 1e-4, nil}, {gap/2 + 1e-4, proof.ErrRefused}} {
		r, err := proof.Walk(context.Background(), m, ts, c.growth, m.Start, strokes, mechanism.Region{})
		if !errors.Is(err, c.want) {
			t.Errorf("growth %g: %v, want %v", c.growth, err, c.want)
		}
		t.Logf("growth %.5f: %d intervals", c.growth, r.Intervals)
	}
}

// Closed form: a block that swings about a post meets a wall where the corner's
// radius reaches it: a way clear at both ends is not clear between.
func TestWalkBetween(t *testing.T) {
	m := two(mechanism.Travel{Name: "turn", Kind: mechanism.Turn, Axis: zAxis, Lo: 0, Hi: math.Pi / 2})
	arm := block(geom.Vec{X: -3, Y: -3, Z: 0}, geom.Vec{X: 3, Y: 3, Z: 2})
	corner := math.Hypot(3, 3)
	for _, c := range []struct {
		gap  float64
		want error
	}{{1e-4, nil}, {-1e-4, proof.ErrRefused}} {
		wall := block(geom.Vec{X: corner + c.gap, Y: -20, Z: -5}, geom.Vec{X: 20, Y: 20, Z: 5})
		_, err := proof.Walk(context.Background(), m, trees(wall, arm), 0, m.Start, []proof.Stroke{{Part: 1, From: 0, To: math.Pi / 2}}, mechanism.Region{})
		if !errors.Is(err, c.want) {
			t.Errorf("corner %g from the wall: %v, want %v", c.gap, err, c.want)
		}
	}
}

// A part within another touches no surface and is refused all the same; so is
// one of its shells. A part drawn to touch passes.
func TestWalkNested(t *testing.T) {
	m := two(mechanism.Travel{Name: "slide", Axis: xAxis, Lo: 0, Hi: 1})
	s := []proof.Stroke{{Part: 1, From: 0, To: 1}}
	big := block(geom.Vec{X: -10, Y: -10, Z: -10}, geom.Vec{X: 10, Y: 10, Z: 10})
	small := block(geom.Vec{X: -1, Y: -1, Z: -1}, geom.Vec{X: 1, Y: 1, Z: 1})
	away := block(geom.Vec{X: -1, Y: 11, Z: -1}, geom.Vec{X: 1, Y: 12, Z: 1})
	on := block(geom.Vec{X: -1, Y: -1, Z: 10}, geom.Vec{X: 1, Y: 1, Z: 12})
	for _, c := range []struct {
		name string
		ts   []*mesh.Tree
		want error
	}{
		{"inside", trees(big, small), proof.ErrRefused},
		{"around", trees(small, big), proof.ErrRefused},
		{"one shell inside", trees(big, together(away, small)), proof.ErrRefused},
		{"beside", trees(big, away), nil},
		{"touching", trees(big, on), nil},
	} {
		if _, err := proof.Walk(context.Background(), m, c.ts, 0, m.Start, s, mechanism.Region{}); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
}

// Law: carrying everything by one rigid motion changes nothing; a part carried
// by another moves along.
func TestWalkCarried(t *testing.T) {
	// A ring turns about z and carries a bolt that slides outwards along x; the
	// bolt meets a post at angle pi/2 only when it is out.
	post := block(geom.Vec{X: -1, Y: 21, Z: 0}, geom.Vec{X: 1, Y: 23, Z: 4})
	ring := tube(8, 10, 0, 4, 48)
	bolt := block(geom.Vec{X: 10.5, Y: -1, Z: 1}, geom.Vec{X: 20.5, Y: 1, Z: 3})
	build := func(g geom.Motion) (*mechanism.Mechanism, []*mesh.Tree) {
		line := func(d geom.Vec) geom.Line { return geom.Line{Point: g.T, Dir: g.Turn(d)} }
		m := &mechanism.Mechanism{
			Parts: []mechanism.Part{{Name: "frame", Frame: true, Carrier: -1}, {Name: "ring", Travels: []int{0}}, {Name: "bolt", Carrier: 1, Travels: []int{1}}},
			Travels: []mechanism.Travel{
				{Name: "turn", Part: 1, Kind: mechanism.Turn, Axis: line(geom.Vec{Z: 1}), Hi: 2 * math.Pi, Full: true},
				{Name: "slide", Part: 2, Axis: line(geom.Vec{X: 1}), Hi: 5},
			},
			Start: []float64{0, 0},
		}
		return m, trees(post.Moved(g), ring.Moved(g), bolt.Moved(g))
	}
	in := []proof.Stroke{{Part: 1, Travel: 0, From: 0, To: 3}, {Part: 2, Travel: 1, From: 0, To: 5}}
	out := []proof.Stroke{{Part: 2, Travel: 1, From: 0, To: 5}, {Part: 1, Travel: 0, From: 0, To: 3}}
	moved := geom.Rotation(geom.Line{Dir: geom.Vec{X: 0.6, Y: 0.48, Z: 0.64}}, 1.1)
	moved.T = geom.Vec{X: 3, Y: -7, Z: 11}
	for _, g := range []geom.Motion{geom.Identity(), moved} {
		m, ts := build(g)
		if _, err := proof.Walk(context.Background(), m, ts, 0.2, m.Start, in, mechanism.Region{}); err != nil {
			t.Errorf("turned, then out: %v", err)
		}
		if r, err := proof.Walk(context.Background(), m, ts, 0.2, m.Start, out, mechanism.Region{}); !errors.Is(err, proof.ErrRefused) || r.A != 2 || r.B != 0 {
			t.Errorf("out, then turned: %v (parts %d, %d)", err, r.A, r.B)
		}
	}
}

// A cancelled context ends the check and shows nothing.
func TestWalkCancelled(t *testing.T) {
	m, ts := latchRod(t)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := proof.Walk(ctx, m, ts, 0, m.Start, meant(), m.Goal); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

func BenchmarkWalkLatchRod(b *testing.B) {
	m, ts := latchRod(b)
	for b.Loop() {
		if _, err := proof.Walk(context.Background(), m, ts, 0.12, m.Start, meant(), m.Goal); err != nil {
			b.Fatal(err)
		}
	}
}
