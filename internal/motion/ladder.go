package motion

import (
	"slices"

	"feint/internal/diagram"
)

// Ladder is what shows that no way has fewer moves than there are sets in Reached, as
// drawn; see proof.Rungs for how.
type Ladder struct {
	Space   *diagram.Space
	Travels []int // by level
	Free    diagram.Set
	Parts   []int // that travel
	Reached []diagram.Set
	Ends    [][]diagram.Set // by move and part
}

// ladder shows that no way as drawn has fewer than n moves; nil if that does not show on
// the maps as they are, or n is 0.
func (w *world) ladder(n int) *Ladder {
	q := ask(0)
	free := w.freeFor(&q, generous)
	layers, _ := w.layers(free, generous)
	if n == 0 || len(layers) <= n {
		return nil
	}
	l := &Ladder{Space: w.sp, Travels: slices.Clone(w.travel), Free: free, Parts: slices.Clone(w.movers), Reached: []diagram.Set{layers[0]}}
	for k := range n - 1 {
		reached := l.Reached[k]
		var ends []diagram.Set
		for _, m := range w.moves { // what was reached before, and is not in the last layer, no move of a part leads out of
			ends = append(ends, w.sp.Or(reached, w.sp.Close(m, layers[k], free)))
		}
		l.Ends = append(l.Ends, ends)
		l.Reached = append(l.Reached, w.sp.Or(reached, layers[k+1]))
	}
	if w.trouble() != nil {
		return nil
	}
	return l
}

// keeps lists the sets of the ladder.
func (l *Ladder) keeps() []diagram.Set {
	if l == nil {
		return nil
	}
	out := append(slices.Clone(l.Reached), l.Free)
	for _, ends := range l.Ends {
		out = append(out, ends...)
	}
	return out
}

// fewestShown keeps the ladder of the way told.
func (s *solver) fewestShown() error {
	if s.w.opt.Asked == nil || s.r.Way == nil || !s.w.m.HandsOnly() {
		return nil
	}
	s.w.tidy()
	s.w.rungs = s.w.ladder(s.r.Way.Least)
	s.r.Ladder = s.w.rungs
	return s.w.trouble()
}
