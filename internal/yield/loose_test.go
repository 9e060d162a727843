package yield

import (
	"context"
	"iter"
	"testing"

	"feint/internal/clearance"
	"feint/internal/motion"
	"feint/internal/printed"
)

// vague is the map of a pair of which nothing is ever known, and keeps the least
// need that it was refined for.
type vague struct {
	strip
	least float64
}

func (v *vague) Refine(_ context.Context, needs []float64, _ float64) error {
	for _, n := range needs {
		v.least = min(v.least, n)
	}
	return nil
}

func (v *vague) Cells() iter.Seq[clearance.Cell] {
	return func(yield func(clearance.Cell) bool) {
		c := clearance.Cell{Lower: -9, Upper: 9}
		c.Hi[0] = 16
		yield(c)
	}
}

// Of prints however loose the maps are not asked for overlaps deeper than those of
// the growths given, and prints that would need it are counted apart; law of this
// program, no outside source.
func TestLoosePrintsAreCountedApart(t *testing.T) {
	const n = 50
	for _, mean := range []float64{-0.4, 0} {
		c, v := newCorridor(1), &vague{strip: strip{a: 0, b: 1, hi: 16}}
		c.maps = []motion.PairMap{v}
		j, err := motion.NewJudge(t.Context(), c.m, c.maps, motion.Options{Growth: [2]float64{-0.1, 0.1}})
		if err != nil {
			t.Fatal(err)
		}
		in := c.input(t, printed.Amount{Mean: mean, Prints: 0.01}, n)
		in.Oracle, in.Deepest = func(q int) Oracle { return OracleOf(j, q) }, j.Deepest()
		r, _ := run(t, in)
		want := 0
		if mean < 0 {
			want = n
		}
		if r.Unknown != n || r.Loose != want {
			t.Errorf("mean %g: %d undecided, %d of them loose; want %d and %d", mean, r.Unknown, r.Loose, n, want)
		}
		// as deep as that where prints need it, and nowhere deeper
		if v.least < -0.2 || want > 0 && v.least != -0.2 {
			t.Errorf("mean %g: the map was refined down to %g, want -0.2", mean, v.least)
		}
	}
}

// shy is the map of a gap whose truth is told only for needs that it was refined for.
type shy struct {
	strip
	gap, lower, upper float64
	asked             []float64
}

func (s *shy) Refine(_ context.Context, needs []float64, _ float64) error {
	for _, n := range needs {
		s.asked = append(s.asked, n)
		if n <= s.gap {
			s.lower = max(s.lower, n)
		} else {
			s.upper = min(s.upper, n-0.003)
		}
	}
	return nil
}

func (s *shy) Cells() iter.Seq[clearance.Cell] {
	return func(yield func(clearance.Cell) bool) {
		for _, b := range []band{{4, 2}, {8, 0}, {16, 2}} {
			c := clearance.Cell{Lower: b.clear, Upper: b.clear}
			if b.clear == 0 {
				c.Lower, c.Upper = s.lower, s.upper
			}
			c.Lo[0], c.Hi[0] = b.to-4, b.to
			if b.to == 16 {
				c.Lo[0] = 8
			}
			if !yield(c) {
				return
			}
		}
	}
}

// Where a way hangs on one pair alone, that one is looked at below the deepest overlap,
// from there on down and no deeper than it takes. The closed form is the gap itself: a
// print that needs less of it passes, one that needs more does not.
func TestOneLoosePairDecides(t *testing.T) {
	const gap, step = -0.33, 0.04
	c := newCorridor(1, 1)
	s := &shy{strip: strip{a: 0, b: 1, hi: 16}, gap: gap, lower: -9, upper: 9}
	c.maps[0] = s
	j, err := motion.NewJudge(t.Context(), c.m, c.maps, motion.Options{Growth: [2]float64{-0.1, 0.1}, DepthStep: step})
	if err != nil {
		t.Fatal(err)
	}
	b, err := NewBench(t.Context(), Input{
		Contacts: c.walls(), Base: j.Even(0), Parts: 3, Model: &printed.Model{Name: "test"}, Step: 0.008,
		Oracle: func(q int) Oracle { return OracleOf(j, q) },
	}, Learnt{})
	if err != nil {
		t.Fatal(err)
	}
	for need := -0.55; need < 0.2; need += 0.0137 {
		got, err := b.ask[0].ask([]float64{need, 0.1})
		if err != nil {
			t.Fatal(err)
		}
		switch near := need > gap-step && need < gap+step+0.008; {
		case got == Undecided && !near, got == Yes && need > gap, got == No && need <= gap:
			t.Errorf("need %.4f: %v", need, got)
		}
	}
	for _, n := range s.asked {
		if n < gap-step {
			t.Errorf("asked at %g", n)
		}
	}
}
