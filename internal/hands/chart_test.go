package hands_test

import (
	"context"
	"iter"
	"math"
	"testing"

	"feint/internal/clearance"
	"feint/internal/geom"
	"feint/internal/hands"
	"feint/internal/mechanism"
	"feint/internal/motion"
)

// neck is a map of two slides of 16 mm whose cells of 1 mm have the clearances given.
type neck struct {
	m    *mechanism.Mechanism
	at   [2]int // travels
	gaps func(u [2]int) float64
}

func (n *neck) Parts() (int, int) { return n.m.Travels[n.at[0]].Part, n.m.Travels[n.at[1]].Part }
func (n *neck) Coords() []clearance.Coord {
	var out []clearance.Coord
	for _, t := range n.at {
		out = append(out, clearance.Coord{Terms: []mechanism.Joint{{Travel: t, Sign: 1}}, Lo: 0, Hi: 16})
	}
	return out
}
func (n *neck) Refine(context.Context, []float64, float64) error { return nil }
func (n *neck) Cells() iter.Seq[clearance.Cell] {
	return func(yield func(clearance.Cell) bool) {
		for i := range 256 {
			u := [2]int{i % 16, i / 16}
			c := clearance.Cell{Lower: n.gaps(u), Upper: n.gaps(u)}
			for k := range u {
				c.Lo[k], c.Hi[k] = float64(u[k]), float64(u[k]+1)
			}
			if !yield(c) {
				return
			}
		}
	}
}

// TestPlayChart: a key pushes a bar from under a lid, which goes past the bar with the
// clearance room, or, the bar where it was, with the clearance short. The lid has the play
// side, of which f of what the growth g leaves, side - 2 g, is undone. So the lid passes a
// clearance c up to g = (c + f side) / (2 + 2 f), or c / 2 where no play is left (closed
// form). With the bar home the step "bar away" is left out.
func TestPlayChart(t *testing.T) {
	for _, k := range []struct{ room, short, side float64 }{{0.3, -0.4, 0.05}, {0.25, 0.02, 0.04}, {0.25, 0.03, 0.1}} {
		y := newToy()
		key := y.slide("key", mechanism.ByHand, geom.Vec{X: 1}, 0.5)
		bar := y.slide("bar", mechanism.ByContact, geom.Vec{X: 1}, 2.5)
		lid := y.slide("lid", mechanism.ByHand, geom.Vec{Z: 1}, 0.5)
		y.pair(t, key, bar, func(k, b int) bool { return b >= k+2 })
		past := &neck{y.m, [2]int{bar, lid}, func(u [2]int) float64 {
			switch {
			case u[1] != 5:
				return 5
			case u[0] >= 10:
				return k.room
			}
			return k.short
		}}
		y.maps = append(y.maps, past)
		y.goal(lid, 10)
		y.m.Steps = []mechanism.Region{{Name: "bar away", Bounds: []mechanism.Bound{{Travel: bar, Lo: 10, Hi: 16}}}}
		o := motion.Options{Growth: [2]float64{-0.05, 0.05}, Play: []motion.PlayOf{{Part: y.m.Travels[lid].Part, Sideways: k.side}}}
		all, err := motion.Solve(context.Background(), y.m, y.maps, o)
		if err != nil {
			t.Fatal(err)
		}
		r, err := hands.Solve(context.Background(), y.asCase(), o.Growth, hands.Options{Slide: 1, Bound: all})
		if err != nil {
			t.Fatal(err)
		}
		var gs []float64
		for i := range 60 {
			gs = append(gs, -0.1+0.00503*float64(i))
		}
		c, err := r.PlayChart(all.Judge(), gs, motion.Shares(4))
		if err != nil || c == nil {
			t.Fatalf("%v, %v", c, err)
		}
		limit := func(c, f float64) float64 { return max(c/2, (c+f*k.side)/(2+2*f)) }
		known := 0
		for j := range c.Opens {
			for i := range c.Opens[j] {
				for _, q := range []struct {
					what string
					got  motion.Answer
					c    float64
				}{{"opens", c.Opens[j][i], max(k.room, k.short)}, {"leaks", c.Leaks[j][i], k.short}} {
					// a yes holds where no play is used, at the tight edge; a no with all of it, at the loose one
					if q.got == motion.Yes && c.Growths[i+1] > q.c/2+1e-9 || q.got == motion.No && c.Growths[i] < limit(q.c, c.Shares[j+1])-1e-9 {
						t.Errorf("%+v: %s at growth %.4f to %.4f, play %g to %g: %v", k, q.what, c.Growths[i], c.Growths[i+1], c.Shares[j], c.Shares[j+1], q.got)
					}
					// and what can be known is: within a column, but for the bracket of 0.01 mm of a limit
					sure := c.Growths[i+1] <= q.c/2-0.011 || c.Growths[i] >= limit(q.c, c.Shares[j+1])
					if sure && q.got == motion.Undecided && !(q.what == "leaks" && c.Opens[j][i] == motion.No) {
						t.Errorf("%+v: %s at growth %.4f to %.4f, play %g to %g is not known", k, q.what, c.Growths[i], c.Growths[i+1], c.Shares[j], c.Shares[j+1])
					}
					if sure {
						known++
					}
				}
			}
		}
		if known == 0 || math.IsInf(c.From, 0) || c.Asked == 0 {
			t.Errorf("%+v: %d fields known, from %g, %d asked", k, known, c.From, c.Asked)
		}
	}
}
