package hands

import (
	"math"

	"feint/internal/motion"
)

// Over is the result of a motion in which the hand reaches everything, with the
// answers of the directed law in place of those that it changes. Whatever the
// directed law allows, hands that reach everything can do too: a "no" of theirs
// stays, and so does a step that they cannot avoid. Where the limits were not asked of
// the directed law the bind is known from them as an upper bound and from the openings
// found.
func (r *Result) Over(all *motion.Result) *motion.Result {
	out := *all
	for _, o := range [][2]motion.Answer{{all.Drawn.Opens, r.Drawn.Opens}, {all.Tight.Opens, r.Tight.Opens}, {all.Loose.Opens, r.Loose.Opens}} {
		r.Alone = r.Alone || o[0] != motion.No
	}
	out.Drawn = over(all.Drawn, r.Drawn)
	out.Tight = over(all.Tight, r.Tight)
	out.Loose = over(all.Loose, r.Loose)
	out.Steps = nil
	out.Fit.Leak, out.Fit.LeakPlay = nil, nil
	for i := range r.Steps {
		st := motion.Step{Index: i}
		if i < len(all.Steps) {
			st = all.Steps[i]
		}
		r.step(&st, &r.Steps[i], all.Asked[0])
		out.Steps = append(out.Steps, st)
		out.Fit.Leak = wider(out.Fit.Leak, st.Bypass)
		out.Fit.LeakPlay = wider(out.Fit.LeakPlay, st.BypassPlay)
	}
	if out.Fit.Bind = r.Bind; r.Bind == nil {
		out.Fit.Bind = r.bind(all.Fit.Bind)
	}
	out.Way = nil
	if r.Way != nil {
		out.Way = r.Way.Plain()
	}
	out.Required, out.Idle = nil, nil // said of hands that reach everything
	out.Reset = r.Reset
	return &out
}

func over(all motion.Opening, o Opening) motion.Opening {
	out := all
	out.Opens, out.Moves = o.Opens, o.Moves
	if all.Opens == motion.No && o.Opens != motion.Yes {
		out.Opens = motion.No
	}
	if o.Start != motion.Undecided {
		out.Start = o.Start
	}
	if o.Put == motion.Yes {
		out.Goal = motion.Yes
	}
	return out
}

// step narrows what is said of a step: avoidable at the growths asked, or not.
func (r *Result) step(st *motion.Step, d *Step, loose float64) {
	if st.Unavoidable != motion.Yes {
		st.Unavoidable = d.Unavoidable
	}
	st.Shortcut = nil
	if d.Limited {
		st.Bypass, st.BypassPlay, st.HoldsTo = d.Bypass, nil, d.HoldsTo
		return
	}
	if st.Bypass == nil {
		return
	}
	l := *st.Bypass
	if d.Unavoidable == motion.Yes {
		l.Hi, l.Above = min(l.Hi, 0), false
	}
	if d.Loose == motion.Yes {
		// nothing looser was asked of the directed law
		st.Bypass, st.BypassPlay = nil, nil
		return
	}
	switch {
	case d.Unavoidable == motion.No:
		l.Lo = max(0, min(l.Lo, l.Hi))
	case d.Loose == motion.No:
		l.Lo = loose
	default:
		l.Lo = min(l.Lo, loose)
	}
	l.Lo = min(l.Lo, l.Hi)
	st.Bypass, st.BypassPlay = &l, nil
}

func wider(a, b *motion.Limit) *motion.Limit {
	switch {
	case a == nil:
		return b
	case b == nil:
		return a
	}
	return &motion.Limit{Lo: max(a.Lo, b.Lo), Hi: max(a.Hi, b.Hi), Above: a.Above || b.Above}
}

// bind brackets the growth at which no way is left by what was asked.
func (r *Result) bind(all *motion.Limit) *motion.Limit {
	if all == nil {
		return nil
	}
	l := *all
	lo := l.Lo
	l.Lo = r.Asked[0]
	for _, o := range []Opening{r.Loose, r.Drawn, r.Tight} {
		switch o.Opens {
		case motion.Yes:
			l.Lo = max(l.Lo, o.Growth)
		case motion.No:
			l.Hi, l.Above = min(l.Hi, o.Growth), false
		case motion.Undecided:
		}
	}
	l.Lo = min(max(l.Lo, r.Asked[0]), max(lo, r.Asked[0]), l.Hi)
	if r.Loose.Opens == motion.No { // nothing looser was asked
		l.Lo, l.Below = math.Inf(-1), true
	}
	return &l
}

// Plain is the way as moves of parts alone: what is pushed and falls as strokes of
// its own, turns of the box left out. It is for pictures, not for a checker.
func (w *Way) Plain() *motion.Way {
	out := &motion.Way{Growth: w.Growth, Fewest: w.Fewest, Least: w.Least}
	for i := range w.Moves {
		m := &w.Moves[i]
		k := motion.Move{Part: m.Part, Against: -1}
		for _, s := range m.Strokes {
			k.Strokes = append(k.Strokes, s.Stroke)
			k.Strokes = append(k.Strokes, effects(s.Effects)...)
		}
		k.Strokes = append(k.Strokes, effects(m.Effects)...)
		if k.Part < 0 {
			k.Part = 0
		}
		out.Moves = append(out.Moves, k)
	}
	return out
}

func effects(es []Effect) []motion.Stroke {
	var out []motion.Stroke
	for _, e := range es {
		out = append(out, motion.Stroke{Travel: e.Travel, From: e.From, To: e.To})
	}
	return out
}
