package survey

import (
	"math"
	"slices"

	"feint/internal/forces"
	"feint/internal/mechanism"
)

// Run is one stroke of a way.
type Run struct {
	Move     int // from 1
	Travel   int
	From, To float64
	Before   []float64 // where everything stands as it begins
}

// Pulled is what magnets do along one stroke of a way, everything else where it then stands.
type Pulled struct {
	Run
	Along []CourseAt // from From to To
	// Takes is the most that the stroke takes against them; negative where they push it on
	// all the way.
	Takes forces.Interval
	At    float64 // where that is
	// Otherwise is the same with everything else as at the start, and Differs whether that is
	// otherwise by what is felt.
	Otherwise forces.Interval
	Differs   bool
}

const (
	// runStep is how far apart along a stroke magnets are asked, mm at their lever, and
	// runMost how often at most.
	runStep = 0.5
	runMost = 80
)

// Follow fills OnWay: what magnets do along the strokes of a way, where that is felt. growth
// is as for Of.
func (s *Survey) Follow(m *mechanism.Mechanism, growth forces.Interval, runs []Run) {
	s.OnWay = nil
	for i := range runs {
		var ws []*watcher
		for _, w := range s.watchers(m, growth) {
			if slices.ContainsFunc(m.Between(w.a.Part, w.b.Part), func(j mechanism.Joint) bool { return j.Travel == runs[i].Travel }) {
				ws = append(ws, w)
			}
		}
		if k, ok := follow(m, ws, &runs[i]); ok {
			s.OnWay = append(s.OnWay, k)
		}
	}
}

// follow asks one stroke; false where nothing is felt.
func follow(m *mechanism.Mechanism, ws []*watcher, r *Run) (Pulled, bool) {
	k := Pulled{Run: *r, Takes: forces.Exact(-math.MaxFloat64), Otherwise: forces.Exact(-math.MaxFloat64)}
	lever := 0.0
	for _, w := range ws {
		lever = max(lever, w.lever(r.Travel))
	}
	if lever == 0 {
		lever = 1
	}
	least := feltLeast(m.Travels[r.Travel].Kind, lever)
	n := max(8, min(runMost, math.Ceil(math.Abs(r.To-r.From)*lever/runStep)))
	most, off := 0.0, 0.0
	for i := 0.0; i <= n; i++ {
		v := r.From + (r.To-r.From)*i/n
		then, first := pushed(ws, r.Travel, r.Before, v), pushed(ws, r.Travel, m.Start, v)
		k.Along = append(k.Along, CourseAt{v, then})
		most = max(most, math.Abs(then.Lo), math.Abs(then.Hi))
		off = max(off, math.Abs(then.Lo-first.Lo), math.Abs(then.Hi-first.Hi))
		if r.To > r.From {
			then, first = then.Neg(), first.Neg()
		}
		if then.Mid() > k.Takes.Mid() {
			k.Takes, k.At = then, v
		}
		if first.Mid() > k.Otherwise.Mid() {
			k.Otherwise = first
		}
	}
	k.Differs = off > least
	return k, most > least || k.Differs
}

// pushed is what magnets push a travel with, along rising values, at v, the others as in q.
func pushed(ws []*watcher, t int, q []float64, v float64) forces.Interval {
	q = slices.Clone(q)
	q[t] = v
	var out forces.Interval
	for _, w := range ws {
		if w.apart(q) <= w.reach() {
			p := w.push(t, q)
			out = out.Add(p)
		}
	}
	return out
}
