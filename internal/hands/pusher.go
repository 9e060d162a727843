package hands

import (
	"math"
	"slices"

	"feint/internal/mechanism"
	"feint/internal/motion"
)

// Clearance is the clearance of two parts in a configuration, mm; false if it is not
// known. Of parts that overlap only that it is negative counts.
type Clearance func(a, b int, q []float64) (float64, bool)

// Pusher is one travel that pushes another: from where the parts stand at the start,
// all else left out of the way.
type Pusher struct {
	Travel, Pushed int
	Up, PushedUp   bool    // which way each goes
	Touch          float64 // value of Travel at which they touch
	Dead           float64 // the way to there
	End            float64 // value of Travel at its end
	Gets           float64 // value of Pushed when Travel has come to its end
	// Needs is the value to which every way takes Pushed, NaN if that is not known; Short
	// is by how much Gets fails it, 0 if it does not.
	Needs, Short float64
}

const (
	// touchStep is how finely contact is looked for, mm or radians times the radius:
	// a part thinner than that may be passed over.
	touchStep = 0.1
	// touchExact is to what contact is then found.
	touchExact = 0.005
	mostSteps  = 4000
)

// Pushers lists what pushes what: every travel of the hand or of a spring that meets,
// within its way, a part that only contact moves. all is the result for hands that
// reach everything, from which what every way needs is taken; it may be nil.
func Pushers(m *mechanism.Mechanism, radius []float64, c Clearance, all *motion.Result) []Pusher {
	var out []Pusher
	for k := range m.Travels {
		if t := &m.Travels[k]; t.Moved == mechanism.ByContact && t.Spring == nil || t.Full {
			continue
		}
		for j := range m.Travels {
			if m.Travels[j].Moved != mechanism.ByContact || m.Travels[j].Part == m.Travels[k].Part {
				continue
			}
			p := &prober{m: m, c: c, a: m.Travels[k].Part, b: m.Travels[j].Part, k: k, j: j, radius: radius}
			for _, up := range [2]bool{true, false} {
				if f, ok := p.push(up); ok {
					needs(&f, m, all)
					out = append(out, f)
				}
			}
		}
	}
	return out
}

// needs compares how far a part is pushed with how far every way takes it.
func needs(p *Pusher, m *mechanism.Mechanism, all *motion.Result) {
	p.Needs = math.NaN()
	if all != nil {
		for _, r := range all.Required {
			if r.Travel == p.Pushed && r.Rising == p.PushedUp {
				p.Needs = r.Value
			}
		}
	}
	for _, g := range append(slices.Clone(m.Steps), m.Goal) {
		for _, b := range g.Bounds {
			if b.Travel != p.Pushed {
				continue
			}
			v := b.Hi
			if p.PushedUp {
				v = b.Lo
			}
			if !math.IsInf(v, 0) && (math.IsNaN(p.Needs) || p.PushedUp == (v > p.Needs)) {
				p.Needs = v
			}
		}
	}
	if short := p.Needs - p.Gets; !math.IsNaN(short) {
		if !p.PushedUp {
			short = -short
		}
		p.Short = max(0, short)
	}
}

type prober struct {
	m          *mechanism.Mechanism
	c          Clearance
	a, b, k, j int
	radius     []float64
}

// gap is the clearance with the pusher at v and the pushed part at w.
func (p *prober) gap(v, w float64) float64 {
	q := slices.Clone(p.m.Start)
	q[p.k], q[p.j] = v, w
	g, ok := p.c(p.a, p.b, q)
	if !ok {
		return math.Inf(1)
	}
	return g - p.m.Needs(p.a, p.b, 0)
}

// step is a step of travel t.
func (p *prober) step(t int) float64 {
	if p.m.Travels[t].Kind == mechanism.Slide {
		return touchStep
	}
	r := 1.0
	if t < len(p.radius) && p.radius[t] > 0 {
		r = p.radius[t]
	}
	return touchStep / r
}

// touch is where the pusher first touches the pushed part, standing at w; false if it
// does nowhere, or does at once. No clearance shrinks by more than the way of the point
// that goes farthest, so far gaps are taken in one step.
func (p *prober) touch(from, end, by, w float64) (float64, bool) {
	per := touchStep / math.Abs(by) // mm a unit of the travel
	v, before := from, from
	for range mostSteps {
		g := p.gap(v, w)
		if g < 0 {
			if v == from {
				return 0, false
			}
			return narrow(before, v, func(v float64) bool { return p.gap(v, w) < 0 }), true
		}
		if (v-end)*by >= 0 || math.IsInf(g, 1) {
			return 0, false
		}
		before = v
		if g > touchStep {
			v += math.Copysign(g/per, by)
		} else {
			v += by
		}
		if (v-end)*by > 0 {
			v = end
		}
	}
	return 0, false
}

// push follows the pusher one way.
func (p *prober) push(up bool) (Pusher, bool) {
	t := &p.m.Travels[p.k]
	from, end, by := p.m.Start[p.k], t.Hi, p.step(p.k)
	if !up {
		end, by = t.Lo, -by
	}
	w := p.m.Start[p.j]
	touch, ok := p.touch(from, end, by, w)
	if !ok {
		return Pusher{}, false
	}
	f := Pusher{Travel: p.k, Pushed: p.j, Up: up, Touch: touch, Dead: math.Abs(touch - from), End: end}
	// the way out is the one that makes room
	j := &p.m.Travels[p.j]
	d := p.step(p.j)
	rise, fall := false, false
	for k := 1.0; k <= steepest*2 && !rise && !fall; k++ {
		rise = p.gap(touch+by/2, min(w+k*d, j.Hi)) >= 0
		fall = p.gap(touch+by/2, max(w-k*d, j.Lo)) >= 0
	}
	if rise == fall {
		return Pusher{}, false
	}
	f.PushedUp = rise
	far, on := j.Hi, d
	if !f.PushedUp {
		far, on = j.Lo, -d
	}
	got, ok := first(w, far, on, func(w float64) bool { return p.gap(end, w) >= 0 })
	if !ok {
		got = far // it is pushed against its stop, which stops the pusher too
	}
	f.Gets = got
	return f, true
}

// first is the first value from the one on to the end at which is holds, stepping by
// by and then halving; false if it holds nowhere.
func first(from, end, by float64, is func(float64) bool) (float64, bool) {
	before := from
	for i := range mostSteps {
		v := from + by*float64(i)
		last := (v-end)*by >= 0
		if last {
			v = end
		}
		if is(v) {
			return narrow(before, v, is), true
		}
		if last {
			return 0, false
		}
		before = v
	}
	return 0, false
}

// narrow brackets the place between one where is does not hold and one where it does.
func narrow(before, v float64, is func(float64) bool) float64 {
	for math.Abs(v-before) > touchExact {
		if mid := (before + v) / 2; is(mid) {
			v = mid
		} else {
			before = mid
		}
	}
	return v
}
