package survey

import (
	"math"
	"slices"

	"feint/internal/forces"
	"feint/internal/forces/magnet"
	"feint/internal/geom"
	"feint/internal/mechanism"

	"gonum.org/v1/gonum/spatial/r3"
)

// Course is what all magnets do to one travel along its stroke, the other travels at the
// start.
type Course struct {
	Travel int
	Along  []CourseAt // by rising value
	Start  int        // which of them is the start
}

// CourseAt is what pushes a travel at one value of it.
type CourseAt struct {
	Value float64         // mm or radians
	Push  forces.Interval // along rising values, N or N mm
}

// near are the distances from the start, mm, at which a travel is asked first: closer
// where a pull falls fast. Beyond follow even steps.
func near() []float64 {
	return []float64{0.1, 0.2, 0.3, 0.5, 0.75, 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10}
}

// feltMost is at how many values a travel is asked at the most, either way.
const feltMost = 60

// courses gives it for every travel on which magnets act at the start or along its stroke.
func (s *Survey) courses(m *mechanism.Mechanism, growth forces.Interval) []Course {
	by := make([][]*watcher, len(m.Travels))
	for _, w := range s.watchers(m, growth) {
		for _, j := range m.Between(w.a.Part, w.b.Part) {
			by[j.Travel] = append(by[j.Travel], w)
		}
	}
	var out []Course
	for t, ws := range by {
		if f, ok := feel(m, t, ws); ok {
			out = append(out, f)
		}
	}
	return out
}

// feel asks one travel along its stroke; false where nothing is felt.
func feel(m *mechanism.Mechanism, t int, ws []*watcher) (Course, bool) {
	if !slices.ContainsFunc(ws, func(w *watcher) bool { return w.comesNear(t) }) {
		return Course{}, false
	}
	lever := 0.0
	for _, w := range ws {
		lever = max(lever, w.lever(t))
	}
	if lever == 0 { // on the axis: what matters is how it turns
		lever = 1
	}
	f := Course{Travel: t}
	most := 0.0
	ask := func(v float64) CourseAt {
		q := slices.Clone(m.Start)
		q[t] = v
		k := CourseAt{Value: v}
		for _, w := range ws {
			if w.apart(q) <= w.reach() {
				p := w.push(t, q)
				k.Push = k.Push.Add(p)
			}
		}
		most = max(most, math.Abs(k.Push.Lo), math.Abs(k.Push.Hi))
		return k
	}
	down, up := stations(m, t, lever, -1), stations(m, t, lever, 1)
	for i := len(down) - 1; i >= 0; i-- {
		f.Along = append(f.Along, ask(down[i]))
	}
	f.Start = len(f.Along)
	f.Along = append(f.Along, ask(m.Start[t]))
	for _, v := range up {
		f.Along = append(f.Along, ask(v))
	}
	return f, most > feltLeast(m.Travels[t].Kind, lever)
}

// feltLeast is what is felt at all: Felt, at the lever of the magnets.
func feltLeast(k mechanism.Kind, lever float64) float64 {
	if k == mechanism.Slide {
		return Felt
	}
	return Felt * lever
}

// stations are the values at which a travel is asked one way from the start.
func stations(m *mechanism.Mechanism, t int, lever, sign float64) []float64 {
	tr := &m.Travels[t]
	room := tr.Hi - m.Start[t]
	if sign < 0 {
		room = m.Start[t] - tr.Lo
	}
	if tr.Full {
		room = (tr.Hi - tr.Lo) / 2
	}
	room = min(room*lever, far)
	var at []float64
	for _, d := range near() {
		if d < room {
			at = append(at, d)
		}
	}
	if last := near()[len(near())-1]; room > last {
		n := min(math.Ceil((room-last)/2), feltMost)
		for i := 1.0; i < n; i++ {
			at = append(at, last+(room-last)*i/n)
		}
	}
	if room > 0 {
		at = append(at, room)
	}
	out := make([]float64, len(at))
	for i, d := range at {
		out[i] = m.Start[t] + sign*d/lever
	}
	return out
}

// comesNear tells whether the magnets come within reach along the travel.
func (w *watcher) comesNear(t int) bool {
	lo, hi := w.limits(t)
	q := slices.Clone(w.m.Start)
	best := w.apart(q)
	for i := range 4*lattice + 1 {
		q[t] = lo + (hi-lo)*float64(i)/(4*lattice)
		best = min(best, w.apart(q))
	}
	return best <= w.reach()
}

// push is what two magnets push a travel with, along rising values, in a configuration;
// none where steel does not stand along its way: what draws it sideways is not known.
func (w *watcher) push(t int, q []float64) forces.Interval {
	x, y := w.placed(q) // x rides on the travel
	if !rides(w.m, w.a.Part, w.m.Travels[t].Part) {
		x, y = y, x
	}
	going := w.going(t, q)
	if !x.Steel && !y.Steel {
		return magnet.Push(&y, &x, going, w.growth.Scale(2))
	}
	d := r3.Sub(y.Centre, x.Centre)
	way := going(x.Centre)
	long := r3.Norm(way)
	if r3.Norm(d) == 0 || long == 0 {
		return forces.Interval{}
	}
	c := r3.Dot(d, way) / (r3.Norm(d) * long)
	if !(math.Abs(c) > along) {
		return forces.Interval{}
	}
	return w.at(q).Pull.Scale(c * long)
}

// going is how fast points go with the travel in a configuration.
func (w *watcher) going(t int, q []float64) magnet.Going {
	tr := &w.m.Travels[t]
	const by = 1e-4
	next := append([]float64(nil), q...)
	next[t] += by
	move := w.m.Pose(tr.Part, q).Inverse().Then(w.m.Pose(tr.Part, next))
	return func(p geom.Vec) geom.Vec { return r3.Scale(1/by, r3.Sub(move.Apply(p), p)) }
}

// lever is how far a magnet goes with a travel at the start, mm a unit of it.
func (w *watcher) lever(t int) float64 {
	x, y := w.placed(w.m.Start)
	if !rides(w.m, w.a.Part, w.m.Travels[t].Part) {
		x = y
	}
	return r3.Norm(w.going(t, w.m.Start)(x.Centre))
}
