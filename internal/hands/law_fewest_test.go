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
		law.Aid = drawAid(t, b, l)
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

// TestLawNoReturn holds the checker of ways back to the law point by point, by exhaustion:
// with all that comes of the goal it passes for any home that is not in it; it is refused
// for a home that is, and where what is said to come of start or goal lacks a point that
// comes of others.
func TestLawNoReturn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBoard(t)
		l, sp, ctx := newLaw(b), b.Space, context.Background()
		law := asLaw(b)
		law.Aid = drawAid(t, b, l)
		start := sp.Point(l.points[rapid.IntRange(0, len(l.points)-1).Draw(t, "start")])
		reached := l.closure(func(i int) bool { return l.in(start, i) })
		goal := drawSet(t, l.levels, sp, []int{0}, "goal")
		back := l.closure(func(i int) bool { return reached[i] && l.in(goal, i) })
		all, from := l.set(reached), l.set(back)
		if err := proof.LawNoReturn(ctx, law, start, all, goal, from, sp.Not(from)); err != nil {
			t.Fatalf("as it is: %v", err)
		}
		var in []int
		for i := range l.points {
			if back[i] {
				in = append(in, i)
			}
		}
		if len(in) == 0 {
			return
		}
		i := in[rapid.IntRange(0, len(in)-1).Draw(t, "home")]
		home := sp.Point(l.points[i])
		if err := proof.LawNoReturn(ctx, law, start, all, goal, from, home); !errors.Is(err, proof.ErrRefused) {
			t.Fatalf("a home that is come back to: %v", err)
		}
		comes := false // whether it comes of others than itself
		for j := range back {
			for k := range b.Moves() {
				comes = comes || j != i && l.move(k, j)[i]
			}
		}
		if err := proof.LawNoReturn(ctx, law, start, all, goal, sp.Minus(from, home), home); comes && !errors.Is(err, proof.ErrRefused) {
			t.Fatalf("%v left out: %v", l.points[i], err)
		}
	})
}

// closure is all that comes of the free situations in which what is put down is in x.
func (l *law) closure(x func(int) bool) map[int]bool {
	out := map[int]bool{}
	var todo []int
	add := func(is map[int]bool) {
		for i := range is {
			if !out[i] {
				out[i] = true
				todo = append(todo, i)
			}
		}
	}
	for i := range l.points {
		if x(i) && l.free[i] {
			add(l.settle(i, 0, l.b.Drives))
		}
	}
	for ; len(todo) > 0; todo = todo[1:] {
		for k := range l.b.Moves() {
			add(l.move(k, todo[0]))
		}
	}
	return out
}

func (l *law) set(is map[int]bool) diagram.Set {
	x := diagram.Empty
	for i := range is {
		x = l.b.Space.Or(x, l.b.Space.Point(l.points[i]))
	}
	return x
}
