package motion_test

import (
	"context"
	"math/rand/v2"
	"testing"

	"feint/internal/motion"
)

// Brute force over random toys of which some of what is blocked is forgotten: what is
// presumed must be what a search of every configuration finds of the toy with these cells
// free, and be sure exactly where that has no way with fewer moves and none past a step.
func TestPresumeBrute(t *testing.T) {
	r := rand.New(rand.NewPCG(41, 7))
	sure, unsure := 0, 0
	for n := range 400 {
		y := randomToy(r, 3000, halved())
		moves, ok := y.fewest(-1)
		if !ok || moves == 0 {
			continue
		}
		for i := range y.tables {
			for k, free := range y.tables[i].free {
				y.tables[i].free[k] = free || r.IntN(40) == 0
			}
		}
		m, maps := y.mechanism(t)
		least, _ := y.fewest(-1)
		want := least >= moves
		for i := range y.steps {
			_, past := y.fewest(i)
			want = want && !past
		}
		got, ok, err := motion.Presume(context.Background(), m, maps, make([]motion.Move, moves), motion.Options{Growth: [2]float64{-0.05, 0.05}})
		if err != nil {
			t.Fatal(err)
		}
		if ok != want {
			t.Fatalf("toy %d: sure %t; of %d moves the fewest are %d, so want %t", n, ok, moves, least, want)
		}
		if unsure++; !ok {
			continue
		}
		sure, unsure = sure+1, unsure-1
		if len(got.Certificates) != len(y.steps) || got.Drawn.Moves != moves || got.Steps[0].Unavoidable != motion.Yes {
			t.Fatalf("toy %d: told %+v", n, got)
		}
	}
	if sure < 20 || unsure < 20 {
		t.Errorf("of the toys %d hold and %d do not: the test sees too few", sure, unsure)
	}
}

// fewest is the fewest moves to the goal, found configuration by configuration, outside a
// step if it is not -1.
func (t *toy) fewest(avoid int) (int, bool) {
	b := newBrute(t)
	if avoid >= 0 {
		for i := range t.count() {
			if t.steps[avoid].has(t.cells(i)) {
				b.free[i>>6] &^= 1 << (i & 63)
			}
		}
	}
	if !b.free.has(t.index(t.start)) {
		return 0, false
	}
	layers, _ := b.layers()
	for n, l := range layers {
		met := false
		l.each(func(i int) { met = met || t.goal.has(t.cells(i)) })
		if met {
			return n, true
		}
	}
	return 0, false
}
