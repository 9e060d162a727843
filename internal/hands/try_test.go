package hands_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"feint/internal/forces/load"
	"feint/internal/forces/mass"
	"feint/internal/geom"
	"feint/internal/hands"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/motion"
)

func (y *toy) try(t *testing.T) *hands.Try {
	t.Helper()
	box := load.NewBox(y.m, make([]*mesh.Mesh, len(y.m.Parts)))
	for p := range box.Mass {
		box.Mass[p] = mass.Properties{Mass: 0.001}
	}
	h, err := hands.NewTry(context.Background(), &hands.Case{Mechanism: y.m, Maps: y.maps, Box: box}, 0, hands.Options{Slide: 1})
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// must takes what came of a deed that has to work.
func must(t *testing.T) func(hands.Came, error) hands.Came {
	return func(c hands.Came, err error) hands.Came {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		if n := len(c.Frames); n > 0 && !slices.Equal(c.Frames[n-1].Config, c.To.Config) {
			t.Errorf("the last frame %v is not where it ends, %v", c.Frames[n-1], c.To)
		}
		return c
	}
}

// TestTryPush: a pusher meets a block in its place 3 and takes it along, place by
// place (the rules of the toy). A post stands behind the block's place 12 until it is
// drawn away: there the pusher is stopped, though the block would yield.
func TestTryPush(t *testing.T) {
	y := newToy()
	pusher := y.slide("pusher", mechanism.ByHand, geom.Vec{X: 1}, 0.5)
	block := y.slide("block", mechanism.ByContact, geom.Vec{X: 1}, 3.5)
	post := y.slide("post", mechanism.ByHand, geom.Vec{Y: 1}, 0.5)
	y.pair(t, pusher, block, func(p, b int) bool { return b >= p })
	y.pair(t, block, post, func(b, o int) bool { return b <= 12 || o >= 5 })
	y.goal(block, 15)
	h := y.try(t)
	ok := must(t)
	s := h.Start()
	if want := []float64{0.5, 3.5, 0.5}; !slices.Equal(s.Config, want) {
		t.Fatalf("at the start %v", s.Config)
	}
	c := ok(h.Stroke(s, pusher, 2.25, true))
	if c.To.Config[pusher] != 2.25 || len(c.Effects) != 0 || c.Stopped {
		t.Errorf("before the block: %+v", c)
	}
	c = ok(h.Stroke(s, pusher, 9.75, true))
	if c.To.Config[pusher] != 9.75 || c.To.Config[block] != 9.5 || c.Stopped || len(c.Frames) < 2 {
		t.Errorf("pushed: %+v", c)
	}
	if e := c.Effects; len(e) != 1 || e[0].Travel != block || e[0].Cause != hands.Pushed || e[0].From != 3.5 || e[0].To != 9.5 {
		t.Errorf("effects: %+v", e)
	}
	c = ok(h.Stroke(c.To, pusher, 99, true))
	if v := c.To.Config[pusher]; math.Abs(v-13) > 1e-5 || c.To.Config[block] != 12.5 || !c.Stopped || c.By != y.m.Travels[block].Part || !c.Yields {
		t.Errorf("at the post: %+v", c)
	}
	back := ok(h.Stroke(c.To, pusher, -4, true))
	if back.To.Config[pusher] != 0 || back.To.Config[block] != 12.5 || len(back.Effects) != 0 || !back.Stopped || back.By != -1 {
		t.Errorf("drawn back, the block stays: %+v", back)
	}
	if _, err := h.Stroke(s, block, 9, true); err == nil {
		t.Error("the hand moved what only contact moves")
	}
	o, err := h.Onward(c.To)
	if err != nil || o.Opens != motion.Yes || len(o.Way.Moves) != 2 || o.Way.Moves[0].Part != y.m.Travels[post].Part {
		t.Errorf("onward: %+v %v; the post and the pusher", o, err)
	}
	c = ok(h.Stroke(c.To, post, 6, true))
	if c = ok(h.Stroke(c.To, pusher, 16, true)); c.To.Config[block] != 16 || c.To.Config[pusher] != 16 || c.Stopped || !h.Goal(c.To) {
		t.Errorf("pushed home: %+v", c)
	}
}

// TestTryTurn: a pin on an upright slide falls its 16 mm when the box is upside down,
// not while it lies on its side, and a lid of the hand stays where it is in both.
func TestTryTurn(t *testing.T) {
	y := newToy()
	pin := y.slide("pin", mechanism.ByGravity, geom.Vec{Z: 1}, 0.5)
	lid := y.slide("lid", mechanism.ByHand, geom.Vec{Z: 1}, 5.5)
	y.goal(pin, 15)
	h := y.try(t)
	ok := must(t)
	find := func(dir geom.Vec) int {
		return slices.IndexFunc(y.m.Ups(), func(u geom.Vec) bool { return u == dir })
	}
	s, down, side := h.Start(), find(geom.Vec{Z: -1}), find(geom.Vec{X: 1})
	if h.Up(s.Up) != (geom.Vec{Z: 1}) || slices.Contains(h.Near(s.Up), down) || len(h.Near(s.Up)) != 4 {
		t.Fatalf("up %v, beside it %v", h.Up(s.Up), h.Near(s.Up))
	}
	if _, err := h.Turn(s, down); err == nil {
		t.Error("turned over in one")
	}
	c := ok(h.Turn(s, side))
	if len(c.Effects) != 0 || c.To.Up != side || c.To.Config[pin] != s.Config[pin] {
		t.Errorf("on its side: %+v", c)
	}
	if o, err := h.Onward(s); err != nil || len(o.Way.Moves) != 2 || o.Way.Moves[0].Kind != hands.Turn || o.Way.Moves[1].Kind != hands.Turn {
		t.Errorf("%+v %v", o, err)
	}
	c = ok(h.Turn(c.To, down))
	if e := c.Effects; len(e) != 1 || e[0].Travel != pin || e[0].Cause != hands.Fell || c.To.Config[pin] != 16 || c.To.Config[lid] != s.Config[lid] {
		t.Errorf("upside down: %+v", c)
	}
	if len(c.Frames) != 2 || c.Frames[0].Up != down || c.Frames[0].Config[pin] == 16 {
		t.Errorf("it falls once the box is turned: %+v", c.Frames)
	}
}

// TestTryLetGo: what is on a spring comes back when the hand lets go, and not before.
func TestTryLetGo(t *testing.T) {
	y := newToy()
	bolt := y.slide("bolt", mechanism.ByHand, geom.Vec{X: 1}, 0.5)
	y.m.Travels[bolt].Spring = &mechanism.Spring{Toward: -1, Preload: 1}
	lid := y.slide("lid", mechanism.ByHand, geom.Vec{Z: 1}, 0.5)
	y.pair(t, bolt, lid, func(b, l int) bool { return l == 0 || b >= 8 })
	y.goal(lid, 10)
	h, ok := y.try(t), must(t)
	held := ok(h.Stroke(h.Start(), bolt, 9.25, false))
	if held.To.Config[bolt] != 9.25 || len(held.Effects) != 0 {
		t.Errorf("held: %+v", held)
	}
	let := ok(h.Stroke(held.To, bolt, 9.5, true))
	if let.To.Config[bolt] > 1 {
		t.Errorf("let go: %+v", let)
	}
	if c := ok(h.Stroke(h.Start(), lid, 10, true)); c.To.Config[lid] > 1 || !c.Stopped || c.By != y.m.Travels[bolt].Part {
		t.Errorf("the lid: %+v", c)
	}
	if o, err := h.Onward(h.Start()); err != nil || o.Opens != motion.No || o.Way != nil {
		t.Errorf("onward: %+v %v, want no way", o, err)
	}
}

// TestTryTrap: the play is led into the trap of TestTrap by the turns that Solve
// tells; from there, and not before, no way leads on.
func TestTryTrap(t *testing.T) {
	y := newToy()
	pin := y.slide("pin", mechanism.ByGravity, geom.Vec{Z: 1}, 0.5)
	catch := y.slide("catch", mechanism.ByGravity, geom.Vec{X: 1}, 0.5)
	lid := y.slide("lid", mechanism.ByHand, geom.Vec{Y: 1}, 0.5)
	y.pair(t, pin, lid, func(p, l int) bool { return l == 0 || p == 0 })
	y.pair(t, pin, catch, func(p, c int) bool { return c == 0 || p >= 15 })
	y.m.Travels[catch].Detents = []mechanism.Detent{{At: 15.5, Width: 2, Force: 1}}
	y.goal(lid, 10)
	into := y.solve(t).Trap.In
	h, ok := y.try(t), must(t)
	s := h.Start()
	for i, m := range into.Moves {
		o, err := h.Onward(s)
		if err != nil || o.Opens != motion.Yes || o.Way == nil {
			t.Fatalf("before turn %d: %+v %v", i+1, o, err)
		}
		s = ok(h.Turn(s, slices.Index(y.m.Ups(), m.Up))).To
	}
	if o, err := h.Onward(s); err != nil || o.Opens != motion.No {
		t.Errorf("in the trap: %+v %v", o, err)
	}
}

// TestTryFollowsSolve: every way that Solve tells is played move by move and ends
// where it says, tools and all.
func TestTryFollowsSolve(t *testing.T) {
	y := newToy()
	key := y.slide("key", mechanism.ByHand, geom.Vec{X: 1}, 0.5)
	plug := y.slide("plug", mechanism.ByHand, geom.Vec{X: 1}, 15.5)
	bar := y.slide("bar", mechanism.ByContact, geom.Vec{X: -1}, 0.5)
	lid := y.slide("lid", mechanism.ByHand, geom.Vec{Z: 1}, 0.5)
	y.pair(t, plug, bar, func(p, b int) bool { return b >= 15-p-7 })
	y.pair(t, bar, lid, func(b, l int) bool { return l == 0 || b >= 6 })
	y.m.Tools = []mechanism.Tool{{Name: "rod", Seats: []mechanism.Seat{
		{Part: y.m.Travels[key].Part, Out: []mechanism.Bound{{Travel: key, Lo: 14, Hi: 16}}},
		{Part: y.m.Travels[plug].Part, Out: []mechanism.Bound{{Travel: plug, Lo: 14, Hi: 16}}},
	}}}
	y.goal(lid, 10)
	w := y.solve(t).Way
	h, ok := y.try(t), must(t)
	s := h.Start()
	if _, err := h.Take(s, 0, 1); !errors.Is(err, hands.ErrAdrift) {
		t.Errorf("the rod came out of its seat: %v", err)
	}
	for i, m := range w.Moves {
		o, err := h.Onward(s)
		if err != nil || o.Way == nil || len(o.Way.Moves) != len(w.Moves)-i {
			t.Fatalf("after %d moves: %+v %v", i, o, err)
		}
		if m.Kind == hands.Take {
			s = ok(h.Take(s, 0, 1)).To
		}
		for _, k := range m.Strokes {
			s = ok(h.Stroke(s, k.Travel, k.To, true)).To
		}
		for tr, v := range m.After {
			if math.Abs(s.Config[tr]-v) > 1 && s.Tools[0] == 0 {
				t.Errorf("after move %d travel %d stands at %g, told %g", i+1, tr, s.Config[tr], v)
			}
		}
	}
	if !h.Goal(s) {
		t.Errorf("the end %+v is not the goal", s)
	}
	if o, err := h.Onward(s); err != nil || !o.There {
		t.Errorf("%+v %v", o, err)
	}
}

// TestTryNeverLeavesReach: whatever is done at random, the moves left fall by one at
// most with every move, since Onward tells the fewest; and a move of Onward's way
// takes exactly one off (both follow from what "fewest" means).
func TestTryNeverLeavesReach(t *testing.T) {
	y := newToy()
	pusher := y.slide("pusher", mechanism.ByHand, geom.Vec{X: 1}, 0.5)
	block := y.slide("block", mechanism.ByContact, geom.Vec{X: 1}, 3.5)
	pin := y.slide("pin", mechanism.ByGravity, geom.Vec{Y: 1}, 0.5)
	lid := y.slide("lid", mechanism.ByHand, geom.Vec{Z: 1}, 0.5)
	y.pair(t, pusher, block, func(p, b int) bool { return b >= p })
	y.pair(t, block, pin, func(b, p int) bool { return b >= 8 || p < 6 })
	y.pair(t, pin, lid, func(p, l int) bool { return l == 0 || p >= 12 })
	y.goal(lid, 10)
	h := y.try(t)
	left := func(s hands.Situation) (int, *hands.Way) {
		o, err := h.Onward(s)
		if err != nil {
			t.Fatalf("%+v: %v", s, err)
		}
		if o.There {
			return 0, nil
		}
		if o.Way == nil {
			t.Fatalf("no way from %+v", s)
		}
		return len(o.Way.Moves), o.Way
	}
	r := rand.New(rand.NewPCG(3, 3))
	s := h.Start()
	n, _ := left(s)
	for range 300 {
		var c hands.Came
		var err error
		if near := h.Near(s.Up); r.IntN(2) == 0 {
			c, err = h.Turn(s, near[r.IntN(len(near))])
		} else {
			c, err = h.Stroke(s, []int{pusher, lid}[r.IntN(2)], 16*r.Float64(), true)
		}
		if err != nil {
			t.Fatal(err)
		}
		s = c.To
		m, w := left(s)
		if m < n-1 {
			t.Fatalf("%d moves left, then %d", n, m)
		}
		if n = m; w != nil && r.IntN(4) == 0 {
			k := w.Moves[0]
			if k.Kind == hands.Turn {
				c, err = h.Turn(s, slices.Index(y.m.Ups(), k.Up))
			} else {
				c, err = h.Stroke(s, k.Strokes[0].Travel, k.Strokes[0].To, true)
			}
			if err != nil {
				t.Fatal(err)
			}
			if s = c.To; n > 0 {
				m, _ = left(s)
				if m != n-1 {
					t.Fatalf("the way's own move left %d of %d", m, n)
				}
				n = m
			}
		}
	}
}
