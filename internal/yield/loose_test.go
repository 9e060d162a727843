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
		if v.least != -0.2 {
			t.Errorf("mean %g: the map was refined down to %g, want -0.2", mean, v.least)
		}
	}
}
