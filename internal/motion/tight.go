package motion

import (
	"math"
	"slices"

	"feint/internal/mechanism"
)

// byBind answers what the maps leave open at the tight end by what is known of where it
// binds: that lies below, so that there is no way; or the way with the most room known is
// walked there, since near where it binds a way may have room of which cells as fine as
// they come do not tell.
func (s *solver) byBind() error {
	t, b := &s.r.Tight, s.r.Fit.Bind
	if t.Opens != Undecided || t.Growth <= 0 || s.r.Drawn.Opens != Yes {
		return nil
	}
	if b.Hi <= t.Growth {
		t.Opens, s.r.TightByBind = No, true
		if g, ok := s.w.startLimit(); ok && g <= t.Growth {
			t.Start = No
		}
		return nil
	}
	if s.w.opt.Walks == nil {
		return nil
	}
	s.w.tidy()
	way := s.w.wayWithin(s.rooms())
	if way == nil {
		return s.w.trouble()
	}
	for _, moves := range [][]Move{way.Moves, s.w.home(way.Moves)} {
		yes, err := s.w.opt.Walks(moves, t.Growth)
		if err != nil {
			return err
		}
		if yes {
			t.Opens, t.Start, t.Moves, b.Lo = Yes, Yes, len(moves), t.Growth
			s.tight, s.r.TightByBind = &Way{Growth: t.Growth, Moves: moves}, true
			break
		}
	}
	return s.w.trouble()
}

// home are the moves with every stroke that ends within a unit or so of a limit of its
// travel, or of where that started, ending there.
func (w *world) home(moves []Move) []Move {
	at := slices.Clone(w.m.Start)
	out := slices.Clone(moves)
	for i := range out {
		out[i].Strokes = slices.Clone(out[i].Strokes)
		for j := range out[i].Strokes {
			k := &out[i].Strokes[j]
			tr := &w.m.Travels[k.Travel]
			off := w.opt.LiftTurn
			if tr.Kind == mechanism.Slide {
				off = w.opt.LiftSlide
			}
			k.From = at[k.Travel]
			for _, v := range [3]float64{tr.Lo, tr.Hi, w.m.Start[k.Travel]} {
				if math.Abs(k.To-v) <= off {
					k.To = v
				}
			}
			at[k.Travel] = k.To
		}
	}
	return out
}
