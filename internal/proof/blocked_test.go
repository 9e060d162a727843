package proof_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/proof"
)

// blocked is proof.Blocked of claims.
func blocked(m *mechanism.Mechanism, ts []*mesh.Tree, a, b int, cs []proof.Coord, need float64, claims ...proof.Block) error {
	return proof.Blocked(context.Background(), m, ts, a, b, cs, need, claims)
}

func one(travels ...int) (cs []proof.Coord) {
	for _, t := range travels {
		cs = append(cs, proof.Coord{{Travel: t, Sign: 1}})
	}
	return cs
}

// pinBeforeWall is a pin of 4 mm that slides along x and y before a wall whose
// face is the plane x = 10.
func pinBeforeWall() (*mechanism.Mechanism, []*mesh.Tree) {
	m := two(mechanism.Travel{Name: "x", Axis: xAxis, Hi: 20}, mechanism.Travel{Name: "y", Axis: yAxis, Lo: -40, Hi: 40})
	return m, trees(
		block(geom.Vec{X: 10, Y: -50, Z: -5}, geom.Vec{X: 12, Y: 50, Z: 15}),
		block(geom.Vec{X: -2, Y: -2, Z: 0}, geom.Vec{X: 2, Y: 2, Z: 4}))
}

// Closed form: the pin's front face is at x = 2, the wall at 10: nearer than need
// exactly where the slide is beyond 8 - need, whatever y is.
func TestBlockedWall(t *testing.T) {
	m, ts := pinBeforeWall()
	for _, need := range []float64{0.3, 0, -0.3} {
		at, wide, off := 8-need, 15.0, 1e-3
		for _, c := range []struct {
			name string
			b    proof.Block
			want error
		}{
			{"all of it", proof.Block{Lo: []float64{at + off, -wide}, Hi: []float64{8.9, wide}, OnA: true, Point: geom.Vec{X: 2, Z: 2}}, nil},
			{"by a point of the wall", proof.Block{Lo: []float64{at + off, -0.5}, Hi: []float64{8.9, 0.5}, Point: geom.Vec{X: 10, Y: 0.1, Z: 2}}, nil},
			{"too near the border", proof.Block{Lo: []float64{at - off, -wide}, Hi: []float64{8.9, wide}, OnA: true, Point: geom.Vec{X: 2, Z: 2}}, proof.ErrRefused},
			{"the wall's point passed by", proof.Block{Lo: []float64{at + off, -4}, Hi: []float64{8.9, 4}, Point: geom.Vec{X: 10, Y: 0.1, Z: 2}}, proof.ErrRefused},
			{"a point in the air", proof.Block{Lo: []float64{at + off, -wide}, Hi: []float64{8.9, wide}, OnA: true, Point: geom.Vec{X: 2.01, Z: 2}}, proof.ErrRefused},
			{"the other part's", proof.Block{Lo: []float64{at + off, -wide}, Hi: []float64{8.9, wide}, Point: geom.Vec{X: 2, Z: 2}}, proof.ErrRefused},
			{"a side short", proof.Block{Lo: []float64{at + off}, Hi: []float64{8.9}, OnA: true, Point: geom.Vec{X: 2, Z: 2}}, proof.ErrRefused},
			{"upside down", proof.Block{Lo: []float64{8.9, -40}, Hi: []float64{8.5, 40}, OnA: true, Point: geom.Vec{X: 2, Z: 2}}, proof.ErrRefused},
			{"not a number", proof.Block{Lo: []float64{math.NaN(), -40}, Hi: []float64{8.9, 40}, OnA: true, Point: geom.Vec{X: 2, Z: 2}}, proof.ErrRefused},
		} {
			if err := blocked(m, ts, 1, 0, one(0, 1), need, c.b); !errors.Is(err, c.want) {
				t.Errorf("need %g, %s: %v, want %v", need, c.name, err, c.want)
			}
		}
	}
	inside := proof.Block{Lo: []float64{9, 0}, Hi: []float64{9.1, 1}, OnA: true, Point: geom.Vec{X: 1.9, Z: 2}}
	if err := blocked(m, ts, 1, 0, one(0, 1), 0, inside); err != nil {
		t.Errorf("a point within the part: %v", err)
	}
	// of an overlap the surfaces are the measure, not points within
	if err := blocked(m, ts, 1, 0, one(0, 1), -0.1, inside); !errors.Is(err, proof.ErrRefused) {
		t.Errorf("a point within the part for a depth: %v", err)
	}
}

// The first false claim is named, whatever else there is, else the first that
// could not be shown.
func TestBlockedFirst(t *testing.T) {
	m, ts := pinBeforeWall()
	box := func(lo float64) proof.Block {
		return proof.Block{Lo: []float64{lo, 0}, Hi: []float64{8.9, 0.1}, OnA: true, Point: geom.Vec{X: 2, Z: 2}}
	}
	wide := proof.Block{Lo: []float64{8.000005, -40}, Hi: []float64{8.000006, 40}, OnA: true, Point: geom.Vec{X: 2, Z: 2}}
	claims := []proof.Block{box(8.5), wide, box(8.6), wide}
	if err := blocked(m, ts, 1, 0, one(0, 1), 0, claims...); !errors.Is(err, proof.ErrOpen) || !strings.Contains(err.Error(), "claim 2 ") {
		t.Errorf("two open claims: %v", err)
	}
	claims = append(claims, box(7.9), box(7))
	if err := blocked(m, ts, 1, 0, one(0, 1), 0, claims...); !errors.Is(err, proof.ErrRefused) || !strings.Contains(err.Error(), "claim 5 ") {
		t.Errorf("two false claims: %v", err)
	}
}

// Coordinates that leave out a travel, take one twice, or add what does not add
// up are refused.
func TestBlockedCoordinates(t *testing.T) {
	m, ts := pinBeforeWall()
	b := []proof.Block{{Lo: []float64{8.5, 0}, Hi: []float64{8.9, 0}, OnA: true, Point: geom.Vec{X: 2, Z: 2}}}
	for name, cs := range map[string][]proof.Coord{
		"one left out":     one(0),
		"one twice":        one(0, 0),
		"no such travel":   one(0, 5),
		"crossing axes":    {{{Travel: 0, Sign: 1}, {Travel: 1, Sign: 1}}},
		"a sign of two":    {{{Travel: 0, Sign: 2}}, {{Travel: 1, Sign: 1}}},
		"an empty one":     {{}, {{Travel: 0, Sign: 1}}, {{Travel: 1, Sign: 1}}},
		"more than needed": one(0, 1, 1),
	} {
		if err := blocked(m, ts, 1, 0, cs, 0, b...); !errors.Is(err, proof.ErrRefused) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if err := blocked(m, ts, 0, 0, one(0, 1), 0, b...); !errors.Is(err, proof.ErrRefused) {
		t.Errorf("a part with itself: %v", err)
	}
}

// Closed form: two parts that turn about one axis meet by the difference of
// their turns. An arm to radius 10 and a post at radius 9.5 to 12, both 2 mm
// wide: where the arm's corner is within the post is plain trigonometry.
func TestBlockedDifference(t *testing.T) {
	m := &mechanism.Mechanism{
		Parts: []mechanism.Part{{Name: "frame", Frame: true, Carrier: -1}, {Name: "arm", Travels: []int{0}}, {Name: "post", Travels: []int{1}}},
		Travels: []mechanism.Travel{
			{Name: "turn", Part: 1, Kind: mechanism.Turn, Axis: zAxis, Hi: 2 * math.Pi, Full: true},
			{Name: "turn", Part: 2, Kind: mechanism.Turn, Axis: zAxis, Hi: 2 * math.Pi, Full: true},
		},
		Start: []float64{0, 0},
	}
	ts := trees(block(geom.Vec{X: 50}, geom.Vec{X: 51, Y: 1, Z: 1}),
		block(geom.Vec{X: 1, Y: -1, Z: 0}, geom.Vec{X: 10, Y: 1, Z: 4}),
		block(geom.Vec{X: 9.5, Y: -1, Z: 0}, geom.Vec{X: 12, Y: 1, Z: 4}))
	difference := []proof.Coord{{{Travel: 0, Sign: 1}, {Travel: 1, Sign: -1}}}
	// The corner (10, 1) turned back by f is at y = 10 sin f' with f' its own
	// angle atan(1/10) less f; it is below y = 1 and above -1 between these:
	r, own := math.Hypot(10, 1), math.Atan2(1, 10)
	lo, hi := own-math.Asin(1/r), own+math.Asin(1/r)
	claim := func(a, b float64) error {
		return blocked(m, ts, 1, 2, difference, 0,
			proof.Block{Lo: []float64{-b}, Hi: []float64{-a}, OnA: true, Point: geom.Vec{X: 10, Y: 1, Z: 2}})
	}
	if err := claim(lo+1e-4, hi-1e-4); err != nil {
		t.Errorf("within: %v", err)
	}
	if err := claim(lo+1e-4, hi+1e-4); !errors.Is(err, proof.ErrRefused) {
		t.Errorf("beyond: %v", err)
	}
	sum := []proof.Coord{{{Travel: 0, Sign: 1}, {Travel: 1, Sign: 1}}}
	if err := blocked(m, ts, 1, 2, sum, 0, proof.Block{Lo: []float64{0}, Hi: []float64{0}, OnA: true, Point: geom.Vec{X: 10, Y: 1, Z: 2}}); !errors.Is(err, proof.ErrRefused) {
		t.Errorf("the sum for the difference: %v", err)
	}
}

// Brute force: of random boxes of two slides and a turn, those found blocked
// hold no sample at which the witness is far enough.
func TestBlockedSampled(t *testing.T) {
	m := two(
		mechanism.Travel{Name: "x", Axis: xAxis, Lo: -9, Hi: 9},
		mechanism.Travel{Name: "turn", Kind: mechanism.Turn, Axis: geom.Line{Point: geom.Vec{X: 1, Y: 1}, Dir: geom.Vec{Z: 1}}, Lo: -3, Hi: 3},
		mechanism.Travel{Name: "screw", Kind: mechanism.Helix, Axis: geom.Line{Point: geom.Vec{X: 2}, Dir: geom.Vec{Y: 1}}, Lead: 5, Lo: -3, Hi: 3})
	ts := trees(tube(3, 7, -3, 3, 24), block(geom.Vec{X: 4, Y: -2, Z: -2}, geom.Vec{X: 9, Y: 2, Z: 2}))
	r := rand.New(rand.NewPCG(1, 2))
	shown := 0
	for range 400 {
		need := 0.5*r.Float64() - 0.2
		b := proof.Block{OnA: true, Point: geom.Vec{X: 4, Y: 4*r.Float64() - 2, Z: 4*r.Float64() - 2}}
		for range 3 {
			x := 4 * (r.Float64() - 0.5)
			b.Lo, b.Hi = append(b.Lo, x), append(b.Hi, x+0.2*r.Float64())
		}
		err := blocked(m, ts, 1, 0, one(0, 1, 2), need, b)
		if err != nil {
			continue
		}
		shown++
		for range 60 {
			q := make([]float64, 3)
			for i := range q {
				q[i] = b.Lo[i] + (b.Hi[i]-b.Lo[i])*r.Float64()
			}
			g := m.Pose(1, q)
			if d, _, _ := ts[0].Signed(g.Apply(b.Point)); d >= need {
				t.Fatalf("at %v the witness %v is at %g, need %g", q, b.Point, d, need)
			}
		}
	}
	if shown < 30 || shown > 370 {
		t.Errorf("%d of 400 shown: the test tests little", shown)
	}
}

// Closed form, as TestBlockedWall: of claims about the wall at many places exactly those
// beyond 8 - need are shown, each by itself.
func TestShownWall(t *testing.T) {
	m, ts := pinBeforeWall()
	for _, need := range []float64{0.3, 0, -0.3} {
		var claims []proof.Block
		var want []bool
		for k := -40; k <= 40; k++ {
			if k == 0 {
				continue // on the border either answer does
			}
			lo := 8 - need + float64(k)*1e-3
			claims = append(claims, proof.Block{Lo: []float64{lo, -1}, Hi: []float64{lo + 0.5, 1}, OnA: true, Point: geom.Vec{X: 2, Z: 2}})
			want = append(want, k > 0)
		}
		got, err := proof.Shown(context.Background(), m, ts, 1, 0, one(0, 1), need, claims)
		if err != nil || !slices.Equal(got, want) {
			t.Errorf("need %g: %v, %v", need, got, err)
		}
	}
}
