package survey

import (
	"math"

	"feint/internal/forces"
	"feint/internal/geom"
	"feint/internal/mechanism"

	"gonum.org/v1/gonum/spatial/r3"
)

// Drawn is what the magnets of the parts do to a travel at the start.
type Drawn struct {
	// Push is what they push it with, along rising values: N, or N mm on a turn.
	Push forces.Interval
	// Part is the energy that it takes to bring it out of their reach, against the push,
	// mJ; 0 where they push nowhere.
	Part forces.Interval
}

// drawnSteps is into how many steps the way out of a magnet's reach is divided to add up
// the energy; the pull falls fast at first, so that they grow.
const drawnSteps = 24

// DrawnAt gives it by travel, slides and turns; helices, and magnets beside each other
// rather than along the way, are left out: what they hold with is then not counted. growth
// is the range asked, mm a surface. An error names a magnet that is not known.
func DrawnAt(m *mechanism.Mechanism, growth forces.Interval) ([]Drawn, error) {
	s := &Survey{}
	if _, err := s.place(m); err != nil {
		return nil, err
	}
	out := make([]Drawn, len(m.Travels))
	for _, w := range s.watchers(m, growth) {
		if w.apart(m.Start) > w.reach() {
			continue
		}
		for _, j := range m.Between(w.a.Part, w.b.Part) {
			w.draw(j.Travel, &out[j.Travel])
		}
	}
	return out, nil
}

// draw adds what two magnets do to a travel between them.
func (w *watcher) draw(t int, to *Drawn) {
	push, ok := w.push(t, w.m.Start)
	if !ok {
		return
	}
	to.Push = to.Push.Add(push)
	tr := &w.m.Travels[t]
	sign := -1.0 // the way against the push
	if push.Mid() < 0 {
		sign = 1
	}
	unit := 1.0 // mm a unit of the travel
	if tr.Kind == mechanism.Turn {
		unit = max(1, w.lever(t))
	}
	sum, at := forces.Interval{}, 0.0
	for i := range drawnSteps {
		f := float64(i+1) / drawnSteps
		next := w.reach() / unit * f * f
		q := append([]float64(nil), w.m.Start...)
		q[t] += sign * (at + next) / 2
		p, ok := w.push(t, q)
		if !ok {
			break
		}
		sum = sum.Add(p.Scale(-sign).Positive().Scale(next - at))
		at = next
	}
	to.Part = to.Part.Add(sum)
}

// push is what two magnets push a travel with, along rising values, in a configuration;
// false where they do not stand along its way.
func (w *watcher) push(t int, q []float64) (forces.Interval, bool) {
	tr := &w.m.Travels[t]
	x, y := w.placed(q)
	if !rides(w.m, w.a.Part, tr.Part) {
		x, y = y, x
	}
	d := r3.Sub(y.Centre, x.Centre)
	way, long := w.way(t, q, x.Centre)
	if r3.Norm(d) == 0 || long == 0 {
		return forces.Interval{}, false
	}
	c := r3.Dot(d, way) / (r3.Norm(d) * long)
	if !(math.Abs(c) > along) {
		return forces.Interval{}, false
	}
	return w.at(q).Pull.Scale(c * long), true
}

// way is how a point of the travel's part goes with it, mm a mm or a radian, and how far.
func (w *watcher) way(t int, q []float64, at geom.Vec) (geom.Vec, float64) {
	tr := &w.m.Travels[t]
	if tr.Kind == mechanism.Helix {
		return geom.Vec{}, 0
	}
	const by = 1e-4
	next := append([]float64(nil), q...)
	next[t] += by
	move := w.m.Pose(tr.Part, q).Inverse().Then(w.m.Pose(tr.Part, next))
	v := r3.Scale(1/by, r3.Sub(move.Apply(at), at))
	return v, r3.Norm(v)
}

// lever is how far a magnet goes with a travel at the start, mm a unit of it.
func (w *watcher) lever(t int) float64 {
	x, y := w.placed(w.m.Start)
	if !rides(w.m, w.a.Part, w.m.Travels[t].Part) {
		x = y
	}
	_, long := w.way(t, w.m.Start, x.Centre)
	return long
}

// rides tells whether part p is part on, or is carried by it.
func rides(m *mechanism.Mechanism, p, on int) bool {
	for ; p >= 0; p = m.Parts[p].Carrier {
		if p == on {
			return true
		}
	}
	return false
}
