package hands_test

import (
	"context"
	"math/rand/v2"
	"testing"

	"feint/internal/diagram"
	"feint/internal/hands"
)

// linked makes n linked rings on a bar as a board, ring i at level n-1-i: off
// (0), being changed (1) or on (2), each changed only while the ring before is on
// and all before that are off.
func linked(t *testing.T, n int, up []bool) *hands.Board {
	levels := make([]diagram.Level, n)
	for k := range levels {
		levels[k].Size = 3
	}
	s, err := diagram.New(context.Background(), levels, diagram.Options{})
	if err != nil {
		t.Fatal(err)
	}
	b := &hands.Board{Space: s, Free: diagram.All, Attitude: -1}
	for i := range n {
		for j := range i {
			want := diagram.Run{Lo: 0, Hi: 1}
			if j == i-1 {
				want = diagram.Run{Lo: 2, Hi: 3}
			}
			changing := s.Runs(n-1-i, diagram.Run{Lo: 1, Hi: 2})
			free := s.Or(s.Not(changing), s.Runs(n-1-j, want))
			b.Pairs = append(b.Pairs, hands.Pair{Free: free, Firm: free})
		}
		b.Movers = append(b.Movers, diagram.LevelsOf(n-1-i))
	}
	for i, u := range up {
		if u {
			// a spring that takes the ring on as soon as it has been begun to be changed
			d := s.Runs(n-1-i, diagram.Run{Lo: 1, Hi: 2})
			b.Drives = append(b.Drives, hands.Drive{Level: n - 1 - i, Up: true, Sure: d, May: d})
		}
	}
	b.Prepare()
	return b
}

func corner(n int, u int32) []int32 {
	p := make([]int32, n)
	for k := range p {
		p[k] = u
	}
	return p
}

// TestLinkedRings: where the hand moves everything the directed engine gives the
// least moves of OEIS A000975, there and back, and a walk of them.
func TestLinkedRings(t *testing.T) {
	for i, want := range []int{1, 2, 5, 10, 21, 42, 85, 170, 341, 682} {
		n := i + 1
		b := linked(t, n, nil)
		on, off := b.Space.Point(corner(n, 2)), b.Space.Point(corner(n, 0))
		layers, ok := b.Layers(on, off)
		if !ok || len(layers)-1 != want {
			t.Fatalf("%d rings: %v %d moves, want %d", n, ok, len(layers)-1, want)
		}
		if back, ok := b.Layers(off, on); !ok || len(back)-1 != want {
			t.Fatalf("%d rings back: %v %d moves, want %d", n, ok, len(back)-1, want)
		}
		hops := b.Walk(b.Narrow(layers, off), corner(n, 2), pickNear(b))
		if len(hops) != want {
			t.Fatalf("%d rings: %d hops", n, len(hops))
		}
		for _, h := range hops {
			if len(h.Legs) != 1 {
				t.Fatalf("%d rings: a move of %d strokes", n, len(h.Legs))
			}
		}
	}
}

func pickNear(b *hands.Board) hands.Choose {
	return func(_ int, cur []int32, ends diagram.Set) []int32 {
		p, _ := b.Space.Pick(ends, cur)
		return p
	}
}

// TestRingsDriven: with springs that close rings begun to be changed, no way has
// fewer moves than without, and a walk drawn at random never leaves what is said
// to be reachable.
func TestRingsDriven(t *testing.T) {
	const n = 5
	for seed := range uint64(8) {
		r := rand.New(rand.NewPCG(seed, 1))
		up := make([]bool, n)
		for i := range up {
			up[i] = r.IntN(2) == 0
		}
		b := linked(t, n, up)
		l := newLaw(b)
		at := l.index(corner(n, 2))
		reached := b.Reach(b.Space.Point(corner(n, 2)))
		for range 2000 {
			ends := sorted(l.move(r.IntN(b.Moves()), at))
			if len(ends) > 0 {
				at = ends[r.IntN(len(ends))]
			}
			if !l.in(reached, at) {
				t.Fatalf("seed %d: walked to %v, which is said to be out of reach", seed, l.points[at])
			}
		}
		layers, ok := b.Layers(b.Space.Point(corner(n, 2)), b.Space.Point(corner(n, 0)))
		if ok && len(layers)-1 < 21 {
			t.Errorf("seed %d: springs make it shorter: %d moves", seed, len(layers)-1)
		}
	}
}

func sorted(m map[int]bool) []int {
	var out []int
	for i := range 1 << 20 {
		if len(out) == len(m) {
			break
		}
		if m[i] {
			out = append(out, i)
		}
	}
	return out
}
