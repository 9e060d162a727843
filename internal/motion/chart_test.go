package motion_test

import (
	"context"
	"iter"
	"testing"

	"feint/internal/clearance"
	"feint/internal/mechanism"
	"feint/internal/motion"
)

// gaps is a pair map along one or two travels whose cells have the clearances given,
// known exactly or, where doubt is not 0, from below by so much less.
type gaps struct {
	a, b   int
	coords []clearance.Coord
	size   []int
	of     func(u []int) float64
	doubt  float64
}

func (g *gaps) Parts() (int, int)                                { return g.a, g.b }
func (g *gaps) Coords() []clearance.Coord                        { return g.coords }
func (g *gaps) Refine(context.Context, []float64, float64) error { return nil }
func (g *gaps) Cells() iter.Seq[clearance.Cell] {
	return func(yield func(clearance.Cell) bool) {
		n := 1
		for _, s := range g.size {
			n *= s
		}
		for i := range n {
			u, k := make([]int, len(g.size)), i
			var c clearance.Cell
			for j := range g.size {
				u[j], k = k%g.size[j], k/g.size[j]
				step := (g.coords[j].Hi - g.coords[j].Lo) / float64(g.size[j])
				c.Lo[j] = g.coords[j].Lo + step*float64(u[j])
				c.Hi[j] = c.Lo[j] + step
			}
			c.Upper = g.of(u)
			c.Lower = c.Upper - g.doubt
			if !yield(c) {
				return
			}
		}
	}
}

// narrowing is a bolt that slides past a neck of the frame with the clearance room,
// or, the latch up, past another with the clearance short, and a step that says the
// latch must be down. The bolt's play is side.
func narrowing(room, short, side, doubt float64) (*mechanism.Mechanism, []motion.PairMap, motion.Options) {
	m := build()
	bolt, latch, block := part(m, "bolt"), part(m, "latch"), part(m, "block")
	x := slide(m, bolt, 0, 4, 0.5)
	y := slide(m, latch, 0, 2, 1.5)
	slide(m, block, 0, 1, 0.5)
	m.Goal.Bounds = []mechanism.Bound{{Travel: x, Lo: 3.25, Hi: 3.75}}
	down := mechanism.Region{Name: "latch down", Bounds: []mechanism.Bound{{Travel: y, Lo: 0, Hi: 1}}}
	m.Steps = []mechanism.Region{down}
	coord := func(t int) clearance.Coord {
		k := &m.Travels[t]
		return clearance.Coord{Terms: []mechanism.Joint{{Travel: t, Sign: 1}}, Lo: k.Lo, Hi: k.Hi}
	}
	g := &gaps{a: bolt, b: latch, coords: []clearance.Coord{coord(x), coord(y)}, size: []int{4, 2}, doubt: doubt, of: func(u []int) float64 {
		switch {
		case u[0] != 2:
			return 5
		case u[1] == 0:
			return room
		}
		return short
	}}
	guide := &gaps{a: 0, b: bolt, coords: []clearance.Coord{coord(x)}, size: []int{4}, of: func([]int) float64 { return 5 }}
	o := motion.Options{Growth: [2]float64{-0.05, 0.05}, Play: []motion.PlayOf{{Part: bolt, Guides: []int{0}, Sideways: side}}}
	return m, []motion.PairMap{g, guide}, o
}

// TestPlayChart: the pair needs 2 g, of which f of the play left at growth g, s - 2 g,
// is undone. So there is a way past a clearance c up to g = (c + f s) / (2 + 2 f), or
// c / 2 where that leaves no play (closed form).
func TestPlayChart(t *testing.T) {
	const room, short, side, doubt = 0.3, 0.021, 0.12, 0.05
	m, maps, o := narrowing(room, short, side, doubt)
	r, err := motion.Solve(context.Background(), m, maps, o)
	if err != nil {
		t.Fatal(err)
	}
	var gs []float64
	for i := range 60 {
		gs = append(gs, -0.1+0.00503*float64(i))
	}
	shares := motion.Shares(4)
	c, err := r.Judge().PlayChart(gs, shares)
	if err != nil {
		t.Fatal(err)
	}
	limit := func(c, f float64) float64 {
		if c > side { // no play is left where the surfaces have taken it all
			return c / 2
		}
		return (c + f*side) / (2 + 2*f)
	}
	undecided := 0
	for i, row := range c.Rows {
		f := shares[i]
		for k, g := range gs {
			for _, q := range []struct {
				what string
				got  motion.Answer
				c    float64
			}{{"opens", row.Opens[k], max(room, short)}, {"leaks", row.Leaks[k], short}} {
				want := motion.Undecided
				switch {
				case g <= limit(q.c-doubt, f):
					want = motion.Yes
				case g > limit(q.c+motion.BlockedMargin, f):
					want = motion.No
				default:
					undecided++
				}
				if q.got != want {
					t.Errorf("share %g, growth %.4f: %s %v, want %v", f, g, q.what, q.got, want)
				}
			}
		}
	}
	if undecided == 0 {
		t.Error("nothing was left open, though the clearances are only bounded")
	}
	if most := 2 * 2 * (len(gs) + 2*len(shares) + 6); c.Asked > most {
		t.Errorf("%d questions; the fronts need no more than %d", c.Asked, most)
	}
}

// TestTightEndWalked: where the cells leave it open whether there is a way at the tight
// end, somebody who walks the way as drawn may tell; a walk that tells nothing leaves it
// open, and one above what the cells show to be blocked is not asked for.
func TestTightEndWalked(t *testing.T) {
	const room, doubt = 0.3, 0.05 // so that a way is known up to 0.125, and none from 0.15 on
	for _, c := range []struct {
		tight  float64
		walks  bool
		asked  int
		answer motion.Answer
	}{{0.14, true, 1, motion.Yes}, {0.14, false, 2, motion.Undecided}, {0.1, true, 0, motion.Yes}, {0.16, true, 0, motion.No}} {
		m, maps, o := narrowing(room, 0.021, 0.12, doubt)
		asked := 0
		o.Growth[1] = c.tight
		o.Asked = func(*motion.Result, bool) error { return nil }
		o.Walks = func(moves []motion.Move, growth float64) (bool, error) {
			if asked++; len(moves) == 0 || growth != c.tight {
				t.Errorf("asked to walk %d moves at %g", len(moves), growth)
			}
			return c.walks, nil
		}
		r, err := motion.Solve(context.Background(), m, maps, o)
		if err != nil {
			t.Fatal(err)
		}
		if r.TightByBind != (c.walks && c.asked > 0) {
			t.Errorf("tight %g: by bind: %v", c.tight, r.TightByBind)
		}
		if r.Tight.Opens != c.answer || asked != c.asked {
			t.Errorf("tight %g: %v after %d walks", c.tight, r.Tight.Opens, asked)
		}
		if b := r.Fit.Bind; c.walks && c.asked > 0 && (b.Lo != c.tight || b.Hi < room/2-1e-9 || r.AtBind == nil || r.AtBind.Growth != c.tight) {
			t.Errorf("bind %+v, way at it %+v", b, r.AtBind)
		}
	}
}
