package pipeline

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"feint/internal/cache"
	"feint/internal/geom"
	"feint/internal/hands"
	"feint/internal/motion"
)

// A cellar with a rake that pushes a stone, and a plumb that falls; blocks, so that
// every place can be told by hand.
//
//   - the rake slides along x; its face is 6 mm off the stone, which yields;
//   - the stone slides along x and stops at the wall, 20 mm off;
//   - the plumb slides along z by weight, 8 mm.
const cellar = `
floor = part("floor", frame = True, solid = block((-50, 50), (-50, 50), (-10, 0)) + block((40, 45), (-10, 10), (-1, 10)))
rake = part("rake", solid = block((-10, 0), (-4, 4), (1, 9)), travels = [slide(x, 0, 40)])
stone = part("stone", solid = block((6, 20), (-4, 4), (1, 9)), travels = [slide(x, 0, 30, moved_by = "contact")])
plumb = part("plumb", solid = block((-20, -16), (20, 24), (1, 9)), travels = [slide(z, 0, 8, moved_by = "gravity")])
start({})
goal("stone home", {stone.slide: (18, None)})
`

func liveIn(t *testing.T, text string) *Live {
	t.Helper()
	path := filepath.Join(t.TempDir(), "cellar.star")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	store, err := cache.Open(t.TempDir(), 0)
	if err != nil {
		t.Fatal(err)
	}
	l, err := Build(context.Background(), path, Options{Cache: store, Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// TestHands: gaps of blocks that face each other, to the units of the play: closed
// forms. What is pushed runs ahead by a few units, as the strict reading of a map on
// units must have it.
func TestHands(t *testing.T) {
	l := liveIn(t, cellar)
	if !l.Directed() {
		t.Fatal("a stone that is pushed")
	}
	h, err := l.Hands(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	_, rake := part(t, l, "rake")
	stoneAt, stone := part(t, l, "stone")
	_, plumb := part(t, l, "plumb")
	near := func(what string, got, lo, hi float64) {
		t.Helper()
		if got < lo || got > hi {
			t.Errorf("%s: %.3f, want %.3f to %.3f", what, got, lo, hi)
		}
	}
	unit := h.Unit(rake)
	c, err := h.Stroke(h.Start(), rake, 5, true)
	if err != nil || c.Stopped || len(c.Effects) != 0 || math.Abs(c.To.Config[rake]-5) > 1e-6 {
		t.Fatalf("before the stone: %+v %v", c, err)
	}
	if c, err = h.Stroke(c.To, rake, 16, true); err != nil || c.Stopped || math.Abs(c.To.Config[rake]-16) > 1e-6 {
		t.Fatalf("pushing: %+v %v", c, err)
	}
	near("the stone pushed on", c.To.Config[stone], 10, 10+4*unit)
	if c, err = h.Stroke(c.To, rake, 40, true); err != nil || !c.Stopped || c.By != stoneAt || !c.Yields {
		t.Fatalf("at the wall: %+v %v", c, err)
	}
	near("the stone at the wall", c.To.Config[stone], 20-4*unit, 20)
	near("the rake behind it", c.To.Config[rake], 26-8*unit, 26)
	down := slices.IndexFunc(l.Mechanism.Ups(), func(u geom.Vec) bool { return u == geom.Vec{Z: -1} })
	side := h.Near(0)[0]
	if c, err = h.Turn(c.To, side); err != nil || c.To.Config[plumb] != 0 {
		t.Fatalf("on its side: %+v %v", c, err)
	}
	if c, err = h.Turn(c.To, down); err != nil || c.To.Config[plumb] != 8 || c.Effects[0].Cause != hands.Fell {
		t.Fatalf("upside down: %+v %v", c, err)
	}
	a, err := l.Ahead(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	o, err := a.Onward(h.Start())
	if err != nil || o.Opens != motion.Yes || len(o.Way.Moves) != 1 || math.Abs(o.Way.Moves[0].After[stone]-20) > 2+1e-9 {
		t.Errorf("onward: %+v %v", o, err)
	}
}
