package hands_test

import (
	"context"
	"errors"
	"testing"

	"feint/internal/diagram"
	"feint/internal/proof"

	"pgregory.net/rapid"
)

// TestLawFewest holds the checker of fewest moves to the law point by point, by
// exhaustion: a goal that takes n moves is not met in fewer, and is refused where more are
// said to be needed; what fewer moves reach is what it says.
func TestLawFewest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBoard(t)
		l, sp := newLaw(b), b.Space
		start := sp.Point(l.points[rapid.IntRange(0, len(l.points)-1).Draw(t, "start")])
		depth := map[int]int{}
		var todo []int
		add := func(is map[int]bool, d int) {
			for i := range is {
				if old, ok := depth[i]; !ok || d < old {
					depth[i] = d
					todo = append(todo, i)
				}
			}
		}
		for i := range l.points {
			if l.in(start, i) && l.free[i] {
				add(l.settle(i, 0, b.Drives), 0)
			}
		}
		for ; len(todo) > 0; todo = todo[1:] {
			for k := range b.Moves() {
				add(l.move(k, todo[0]), depth[todo[0]]+1)
			}
		}
		var in []int
		for i := range l.points {
			if _, ok := depth[i]; ok {
				in = append(in, i)
			}
		}
		if len(in) == 0 {
			return
		}
		i := in[rapid.IntRange(0, len(in)-1).Draw(t, "goal")]
		goal, n, law, ctx := sp.Point(l.points[i]), depth[i], asLaw(b), context.Background()
		if _, _, err := proof.LawFewest(ctx, law, start, goal, n+1); !errors.Is(err, proof.ErrRefused) {
			t.Fatalf("a goal of %d moves, said to take one more: %v", n, err)
		}
		if n == 0 {
			return
		}
		got, shown, err := proof.LawFewest(ctx, law, start, goal, n)
		if err != nil || shown != n {
			t.Fatalf("a goal of %d moves: %d, %v", n, shown, err)
		}
		want := map[int]bool{}
		for j, d := range depth {
			want[j] = d < n
		}
		same(t, l, "fewer moves", got, want)
		if got == diagram.Empty {
			t.Fatal("nothing is reached at all")
		}
	})
}
