package survey

import (
	"cmp"
	"math"
	"slices"

	"feint/internal/forces"
	"feint/internal/forces/magnet"
	"feint/internal/mechanism"
)

// Keep leaves of the meetings what may tells can be reached: it is asked for a range of
// every travel between two magnets' parts. Where they are nearest, and where they do the
// contrary of what is meant, is found anew of what can. growth is as for Of.
func (s *Survey) Keep(m *mechanism.Mechanism, growth forces.Interval, may func([]mechanism.Bound) bool) {
	var out []Meeting
	for _, p := range s.Meetings {
		w := &watcher{m: m, a: &s.Magnets[p.A], b: &s.Magnets[p.B], growth: growth}
		if k, ok := w.kept(p, may); ok {
			out = append(out, k)
		}
	}
	s.Meetings, s.Reached = out, true
}

// kept is the meeting among what can be reached; false where nothing is felt there and
// nothing was meant.
func (w *watcher) kept(p Meeting, may func([]mechanism.Bound) bool) (Meeting, bool) {
	within := func(q []float64) bool { return may(w.bounds(q)) }
	// both as they are where all of it can be
	if within(p.Nearest.Config) && (p.Against == nil || within(p.Against.Config)) {
		return p, true
	}
	qs := w.configs()
	out := Meeting{A: p.A, B: p.B, Meant: p.Meant}
	slices.SortStableFunc(qs, func(a, b []float64) int { return cmp.Compare(w.middles(a), w.middles(b)) })
	i := slices.IndexFunc(qs, within)
	if i < 0 { // the start at least is there
		i = slices.IndexFunc(qs, func(q []float64) bool { return slices.Equal(q, w.m.Start) })
	}
	at := qs[i]
	if near := w.nearest(at); within(near) {
		at = near
	}
	out.Nearest = w.at(at)
	if p.Meant == magnet.Neither {
		return out, felt(out.Nearest.Meeting)
	}
	if p.Against == nil {
		return out, true
	}
	var against []Place
	for _, q := range append(qs, at) {
		if w.apart(q) <= w.reach() {
			if k := w.at(q); contrary(p.Meant, &k, &out.Nearest) {
				against = append(against, k)
			}
		}
	}
	slices.SortStableFunc(against, func(a, b Place) int { return cmp.Compare(math.Abs(b.Pull.Mid()), math.Abs(a.Pull.Mid())) })
	for i := range against {
		if within(against[i].Config) {
			out.Against = &against[i]
			break
		}
	}
	return out, true
}

// stray is the share of the force where two magnets are nearest below which the contrary
// does not count: beside each other's rim they feel the field that comes back.
const stray = 0.1

// contrary tells whether two magnets do the contrary of what is meant, and it is felt.
func contrary(meant magnet.Sense, p, nearest *Place) bool {
	other := meant == magnet.Attract && p.Sense == magnet.Repel || meant == magnet.Repel && p.Sense == magnet.Attract
	return other && felt(p.Meeting) && math.Abs(p.Pull.Mid()) > stray*math.Abs(nearest.Pull.Mid())
}

// bounds is half a step of the lattice about the travels between the magnets' parts.
func (w *watcher) bounds(q []float64) []mechanism.Bound {
	var out []mechanism.Bound
	for _, j := range w.m.Between(w.a.Part, w.b.Part) {
		t := j.Travel
		lo, hi := w.limits(t)
		half := (hi - lo) / float64(2*w.steps())
		b := mechanism.Bound{Travel: t, Lo: q[t] - half, Hi: q[t] + half}
		if !w.m.Travels[t].Full {
			b.Lo, b.Hi = max(b.Lo, w.m.Travels[t].Lo), min(b.Hi, w.m.Travels[t].Hi)
		}
		out = append(out, b)
	}
	return out
}
