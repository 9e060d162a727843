package hands_test

import (
	"context"
	"errors"
	"testing"

	"feint/internal/diagram"
	"feint/internal/hands"
	"feint/internal/proof"

	"pgregory.net/rapid"
)

func drawSet(t *rapid.T, l []diagram.Level, sp *diagram.Space, ks []int, name string) diagram.Set {
	share := rapid.IntRange(1, 9).Draw(t, name+" share")
	var ends []int32
	at := make([]int32, len(ks))
	for {
		if rapid.IntRange(0, 9).Draw(t, name) <= share {
			for _, u := range at {
				ends = append(ends, u, u+1)
			}
		}
		i := len(at) - 1
		for ; i >= 0; i-- {
			if at[i]++; at[i] < l[ks[i]].Size {
				break
			}
			at[i] = 0
		}
		if i < 0 {
			break
		}
	}
	return sp.FromBoxes(ks, ends)
}

// drawBoard makes a small board with everything on it.
func drawBoard(t *rapid.T) *hands.Board {
	n := rapid.IntRange(2, 4).Draw(t, "levels")
	levels := make([]diagram.Level, n)
	for k := range levels {
		levels[k] = diagram.Level{Size: rapid.Int32Range(2, 4).Draw(t, "size"), Cyclic: rapid.IntRange(0, 3).Draw(t, "cyclic") == 0}
	}
	b := &hands.Board{Attitude: -1, Free: diagram.All, Mixed: rapid.Bool().Draw(t, "mixed")}
	if rapid.Bool().Draw(t, "attitudes") {
		b.Attitude = rapid.IntRange(0, n-1).Draw(t, "attitude level")
		levels[b.Attitude].Cyclic = false
		for a := range levels[b.Attitude].Size {
			var near []int
			for c := range levels[b.Attitude].Size {
				if c != a && rapid.Bool().Draw(t, "near") {
					near = append(near, int(c))
				}
			}
			b.Near = append(b.Near, near)
		}
	}
	sp, err := diagram.New(context.Background(), levels, diagram.Options{Cache: 256})
	if err != nil {
		t.Fatal(err)
	}
	b.Space = sp
	var real []int
	for k := range levels {
		if k != b.Attitude {
			real = append(real, k)
		}
	}
	yieldable := diagram.Levels(rapid.Uint64Range(0, 1<<n-1).Draw(t, "yields"))
	if b.Attitude >= 0 {
		yieldable &^= diagram.LevelsOf(b.Attitude)
	}
	strict := rapid.Bool().Draw(t, "strict")
	for range rapid.IntRange(1, 3).Draw(t, "pairs") {
		ks := []int{rapid.SampledFrom(real).Draw(t, "a"), rapid.SampledFrom(real).Draw(t, "b")}
		if ks[0] == ks[1] {
			ks = ks[:1]
		}
		firm := drawSet(t, levels, sp, ks, "firm")
		free := firm
		if !strict {
			free = sp.Or(firm, drawSet(t, levels, sp, ks, "free"))
		}
		b.Pairs = append(b.Pairs, hands.Pair{Free: free, Firm: firm, Yield: diagram.LevelsOf(ks...) & yieldable, On: diagram.LevelsOf(ks...)})
	}
	for _, k := range real {
		if rapid.IntRange(0, 2).Draw(t, "driven") == 0 {
			on := []int{k}
			if b.Attitude >= 0 {
				on = append(on, b.Attitude)
			}
			sure := drawSet(t, levels, sp, on, "sure")
			may := sure
			if !strict {
				may = sp.Or(sure, drawSet(t, levels, sp, on, "may"))
			}
			b.Drives = append(b.Drives, hands.Drive{
				Level: k, Up: rapid.Bool().Draw(t, "up"), Sure: sure, May: may, Pushes: rapid.Bool().Draw(t, "pushes"),
			})
		}
		if rapid.Bool().Draw(t, "by hand") {
			b.Movers = append(b.Movers, diagram.LevelsOf(k))
		}
	}
	if len(real) > 1 && rapid.Bool().Draw(t, "two travels") {
		b.Movers = append(b.Movers, diagram.LevelsOf(real[:2]...))
	}
	if rapid.IntRange(0, 3).Draw(t, "swaps") == 0 {
		k := rapid.SampledFrom(real).Draw(t, "swapped")
		b.Swaps = append(b.Swaps, hands.Swap{Levels: diagram.LevelsOf(k), Ends: []diagram.Set{
			sp.Runs(k, diagram.Run{Lo: 0, Hi: 1}), sp.Runs(k, diagram.Run{Lo: 1, Hi: 2}),
		}})
	}
	if rapid.IntRange(0, 2).Draw(t, "avoids") == 0 {
		b.Avoid = drawSet(t, levels, sp, real[:1], "avoid")
	}
	b.Slack = rapid.Int32Range(0, 2).Draw(t, "slack")
	b.Give = make([][]int32, n)
	for k := range b.Give {
		b.Give[k] = make([]int32, n)
		for j := range b.Give[k] {
			b.Give[k][j] = rapid.Int32Range(0, 2).Draw(t, "give")
		}
	}
	b.Prepare()
	return b
}

// TestLaw holds every move, there and back, and reach and layers to the law point
// by point (a second algorithm of ours, by exhaustion).
func TestLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBoard(t)
		l := newLaw(b)
		sp := b.Space
		next := make([]map[int]bool, len(l.points)) // by any move
		for i := range l.points {
			at := sp.Point(l.points[i])
			if got := sp.Meets(at, b.Rest()); got != l.rest(i, 0) {
				t.Fatalf("at rest at %v: %v", l.points[i], got)
			}
			next[i] = map[int]bool{}
			if l.free[i] {
				same(t, l, "settling", b.Settle(at), l.settle(i, 0, b.Drives))
			}
			if !l.rest(i, 0) {
				continue
			}
			for k := range b.Moves() {
				want := l.move(k, i)
				same(t, l, "move", b.Post(k, at), want)
				for j := range want {
					next[i][j] = true
				}
			}
		}
		for k := range b.Moves() {
			j := rapid.IntRange(0, len(l.points)-1).Draw(t, "back from")
			if !l.rest(j, 0) {
				continue
			}
			want := map[int]bool{}
			for i := range l.points {
				if l.rest(i, 0) && l.move(k, i)[j] {
					want[i] = true
				}
			}
			same(t, l, "move back", b.Pre(k, sp.Point(l.points[j])), want)
		}
		reach(t, b, l, next)
		if sp.Err() != nil {
			t.Fatal(sp.Err())
		}
	})
}

// reach compares layers, reach and back with a breadth-first search.
func reach(t *rapid.T, b *hands.Board, l *law, next []map[int]bool) {
	sp := b.Space
	i := rapid.IntRange(0, len(l.points)-1).Draw(t, "start")
	goal := rapid.IntRange(0, len(l.points)-1).Draw(t, "goal")
	if !l.rest(i, 0) {
		return
	}
	depth := map[int]int{i: 0}
	for todo := []int{i}; len(todo) > 0; todo = todo[1:] {
		for j := range next[todo[0]] {
			if _, ok := depth[j]; !ok {
				depth[j] = depth[todo[0]] + 1
				todo = append(todo, j)
			}
		}
	}
	all := map[int]bool{}
	for j := range depth {
		all[j] = true
	}
	same(t, l, "reach", b.Reach(sp.Point(l.points[i])), all)
	layers, ok := b.Layers(sp.Point(l.points[i]), sp.Point(l.points[goal]))
	want, met := depth[goal]
	if ok != met || ok && len(layers)-1 != want {
		t.Fatalf("least moves %d %v, want %d %v", len(layers)-1, ok, want, met)
	}
	if l.rest(goal, 0) {
		back := map[int]bool{goal: true}
		for changed := true; changed; {
			changed = false
			for p := range next {
				for q := range next[p] {
					if back[q] && !back[p] {
						back[p], changed = true, true
					}
				}
			}
		}
		same(t, l, "back", b.Back(sp.Point(l.points[goal])), back)
	}
	if !ok {
		return
	}
	for k, x := range b.Narrow(layers, sp.Point(l.points[goal])) {
		if x == diagram.Empty {
			t.Fatalf("layer %d of %d is empty", k, len(layers))
		}
	}
}

func same(t *rapid.T, l *law, what string, got diagram.Set, want map[int]bool) {
	t.Helper()
	for i := range l.points {
		if l.in(got, i) != want[i] {
			t.Fatalf("%s: %v is %v, want %v", what, l.points[i], l.in(got, i), want[i])
		}
	}
}

// asLaw is a board as the checker reads it.
func asLaw(b *hands.Board) *proof.Law {
	l := &proof.Law{
		Space: b.Space, Free: b.Free, Avoid: b.Avoid, Hands: b.Movers, Give: b.Give, Slack: b.Slack,
		Attitude: b.Attitude, Near: b.Near, Mixed: b.Mixed,
	}
	for _, p := range b.Pairs {
		l.Pairs = append(l.Pairs, proof.LawPair{Free: p.Free, Firm: p.Firm, Yield: p.Yield, On: p.On})
	}
	for _, d := range b.Drives {
		l.Runs = append(l.Runs, proof.LawRun{Level: d.Level, Up: d.Up, Sure: d.Sure, May: d.May, Pushes: d.Pushes})
	}
	for _, s := range b.Swaps {
		l.Swaps = append(l.Swaps, proof.LawSwap{Levels: s.Levels, Ends: s.Ends})
	}
	return l
}

// drawAid is a foretelling: none, that of the board, or one that lacks a point of it or is
// nothing but what it begins with. None must change what is found.
func drawAid(t *rapid.T, b *hands.Board, l *law) *proof.Aid {
	kind := rapid.IntRange(0, 3).Draw(t, "aid")
	if kind == 0 {
		return nil
	}
	lacks := diagram.Empty
	if kind == 2 {
		lacks = b.Space.Point(l.points[rapid.IntRange(0, len(l.points)-1).Draw(t, "aid lacks")])
	}
	says := func(x, all diagram.Set) diagram.Set {
		if kind == 3 {
			return x
		}
		return b.Space.Minus(all, lacks)
	}
	return &proof.Aid{
		Led: func(m diagram.Levels, x diagram.Set) diagram.Set { return says(x, b.Led(m, x)) },
		Loose: func(x diagram.Set, held diagram.Levels, runs []proof.LawRun) diagram.Set {
			var ds []hands.Drive
			for _, r := range runs {
				ds = append(ds, hands.Drive{Level: r.Level, Up: r.Up, Sure: r.Sure, May: r.May, Pushes: r.Pushes})
			}
			return says(x, b.Fallen(x, held, ds))
		},
	}
}

// TestLawClosed holds the checker of closures to the law point by point: what is reached
// passes, with any goal that it misses; with one point left out, or with one that it
// meets as the goal, it is refused.
func TestLawClosed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBoard(t)
		l, sp := newLaw(b), b.Space
		start := sp.Point(l.points[rapid.IntRange(0, len(l.points)-1).Draw(t, "start")])
		// by exhaustion, not by the search
		reached := map[int]bool{}
		var todo []int
		add := func(is map[int]bool) {
			for i := range is {
				if !reached[i] {
					reached[i] = true
					todo = append(todo, i)
				}
			}
		}
		for i := range l.points {
			if l.in(start, i) && l.free[i] {
				add(l.settle(i, 0, b.Drives))
			}
		}
		for ; len(todo) > 0; todo = todo[1:] {
			for k := range b.Moves() {
				add(l.move(k, todo[0]))
			}
		}
		all, missed := diagram.Empty, diagram.Empty
		var in []int
		for i := range l.points {
			if reached[i] {
				all = sp.Or(all, sp.Point(l.points[i]))
				in = append(in, i)
			} else {
				missed = sp.Or(missed, sp.Point(l.points[i]))
			}
		}
		law, ctx := asLaw(b), context.Background()
		law.Aid = drawAid(t, b, l)
		if err := proof.LawClosed(ctx, law, start, all, missed); err != nil {
			t.Fatalf("what is reached: %v", err)
		}
		if len(in) == 0 {
			return
		}
		i := in[rapid.IntRange(0, len(in)-1).Draw(t, "left out")]
		if err := proof.LawClosed(ctx, law, start, all, sp.Point(l.points[i])); !errors.Is(err, proof.ErrRefused) {
			t.Fatalf("a goal that is reached: %v", err)
		}
		less := sp.Minus(all, sp.Point(l.points[i]))
		left := false // whether the rest is closed all the same
		for _, j := range in {
			if j == i {
				continue
			}
			for k := range b.Moves() {
				left = left || l.move(k, j)[i]
			}
		}
		for j := range l.points {
			left = left || l.in(start, j) && l.free[j] && l.settle(j, 0, b.Drives)[i]
		}
		if err := proof.LawClosed(ctx, law, start, less, diagram.Empty); left != errors.Is(err, proof.ErrRefused) {
			t.Fatalf("%v left out: %v", l.points[i], err)
		}
	})
}
