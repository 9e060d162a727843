package hands_test

import (
	"testing"

	"feint/internal/diagram"
	"feint/internal/hands"

	"pgregory.net/rapid"
)

// TestFair: on small boards on which nothing is in doubt, so that both readings are one, it
// is known by exhaustion, point by point of the law, from where moves may lead into the
// goal: that a way is known from everywhere is said only where it is so, and is said where
// it is so of all that is reached at rest.
func TestFair(t *testing.T) {
	said := map[bool]int{}
	rapid.Check(t, func(t *rapid.T) {
		b := drawBoard(t)
		for i := range b.Pairs {
			if b.Pairs[i].Free != b.Pairs[i].Firm {
				t.Skip("in doubt")
			}
		}
		for i := range b.Drives {
			if b.Drives[i].May != b.Drives[i].Sure {
				t.Skip("in doubt")
			}
		}
		l, sp := newLaw(b), b.Space
		back := map[int]bool{} // from where moves may lead into the goal
		goal := diagram.Empty
		for range rapid.IntRange(1, 3).Draw(t, "goals") {
			i := rapid.IntRange(0, len(l.points)-1).Draw(t, "goal")
			goal = sp.Or(goal, sp.Point(l.points[i]))
			if l.rest(i, 0) {
				back[i] = true
			}
		}
		next := make([]map[int]bool, len(l.points))
		for i := range l.points {
			next[i] = map[int]bool{}
			for k := range b.Moves() {
				if l.rest(i, 0) {
					for j := range l.move(k, i) {
						next[i][j] = true
					}
				}
			}
		}
		for changed := true; changed; {
			changed = false
			for i := range next {
				for j := range next[i] {
					if back[j] && !back[i] {
						back[i], changed = true, true
					}
				}
			}
		}
		start := b.Settle(sp.Point(l.points[rapid.IntRange(0, len(l.points)-1).Draw(t, "start")]))
		wide := b.Reach(start)
		all := true
		for i := range l.points {
			all = all && (!l.in(wide, i) || back[i])
		}
		var pinned []diagram.Set
		got := hands.Fair(b, b, goal, wide, func(x diagram.Set) { pinned = append(pinned, x) })
		if got != all {
			t.Fatalf("a way from everywhere: %v, want %v", got, all)
		}
		said[got && wide != diagram.Empty]++
	})
	if said[true] == 0 || said[false] == 0 {
		t.Errorf("boards of one kind only: %v", said)
	}
}
