package motion_test

import (
	"context"
	"math"
	"testing"

	"feint/internal/mechanism"
	"feint/internal/motion"
)

// TestTurnFromTheSeam: a ring that starts where the ends of its range meet, and can turn
// one way only, is told to turn that way: every value that it passes is free.
func TestTurnFromTheSeam(t *testing.T) {
	const cells = 8
	for _, c := range []struct {
		start  float64
		free   []int // cells of 45 degrees
		goal   int
		lo, hi float64 // where the stroke may end, degrees
	}{
		{0, []int{7, 6}, 6, -90, -45},
		{0, []int{0, 7, 6}, 6, -90, -45},
		{0, []int{0, 1}, 1, 45, 90},
		{360, []int{0, 1}, 1, 405, 450},
		{360, []int{7, 6}, 6, 270, 315},
		{22, []int{0, 7, 6}, 6, -90, -45},
		{340, []int{7, 0, 1}, 1, 405, 450},
	} {
		m := build()
		ring := part(m, "ring")
		k := travel(m, mechanism.Travel{Part: ring, Kind: mechanism.Turn, Hi: 2 * math.Pi, Full: true}, c.start*math.Pi/180)
		free := map[int]bool{}
		for _, f := range c.free {
			free[f] = true
		}
		m.Goal.Bounds = []mechanism.Bound{{Travel: k, Lo: (float64(c.goal) + 0.1) * math.Pi / 4, Hi: (float64(c.goal) + 0.9) * math.Pi / 4}}
		maps := []motion.PairMap{table(t, m, 0, ring, []int{k}, []int{cells}, func(u []int) bool { return free[u[0]] })}
		r, err := motion.Solve(context.Background(), m, maps, motion.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if r.Way == nil || len(r.Way.Moves) != 1 || len(r.Way.Moves[0].Strokes) != 1 {
			t.Errorf("from %g over %v: no way of one stroke: %+v", c.start, c.free, r.Way)
			continue
		}
		s := r.Way.Moves[0].Strokes[0]
		if to := s.To * 180 / math.Pi; s.From != m.Start[k] || to < c.lo || to > c.hi {
			t.Errorf("from %g over %v: told to turn to %g, want %g to %g", c.start, c.free, to, c.lo, c.hi)
		}
	}
}
