package proof

import (
	"context"
	"errors"
	"fmt"
	"math"

	"feint/internal/mechanism"
	"feint/internal/mesh"
)

// What a check that does not succeed wraps.
var (
	ErrRefused = errors.New("refused")           // something speaks against the claim
	ErrOpen    = errors.New("could not be told") // nothing does, but it was not shown
)

// valueError is how far a travel's value may be off where two strokes meet, at a
// limit or at a bound of the goal, mm or radians: the rounding of sums of values
// up to 1000.
const valueError = 1e-9

// Stroke is one straight run of one travel, mm or radians, while all else rests.
// On a full turn To may lie beyond the range: the sign of To-From tells the way
// round.
type Stroke struct {
	Part     int
	Travel   int
	From, To float64
}

// WalkReport tells what a walk has shown.
type WalkReport struct {
	Strokes   int // strokes shown
	Pairs     int // times a pair of parts was followed over a stroke
	Intervals int // intervals of travel that this took
	At        []float64
	A, B      int // where it failed: the pair, at the configuration At
	Clearance float64
	Needed    float64
}

// Walk checks that strokes lead from start into goal at a growth: that start is
// the design's own, that every stroke begins where the travel stands and keeps
// its limits, that the last configuration is within goal, and that at every
// value on the way every two parts that a travel parts keep the clearance that
// they need (mechanism.Needs), less slack. Where that is negative, the depth to
// which a surface lies within the other part is held to it. trees[i] is the
// mesh of part i as drawn.
//
// nil means that all this is shown. Otherwise the error is ErrRefused, with the
// pair and configuration in the report where they are the reason, or ErrOpen, or
// that of ctx.
func Walk(ctx context.Context, m *mechanism.Mechanism, trees []*mesh.Tree, growth float64,
	start []float64, strokes []Stroke, goal mechanism.Region,
) (*WalkReport, error) {
	w := &walk{m: m, trees: trees, growth: growth, cache: newCache(trees)}
	r := &WalkReport{A: -1, B: -1}
	if err := w.route(start, strokes, goal); err != nil {
		return r, err
	}
	err := w.follow(ctx, r)
	if err == nil {
		r.Strokes = len(strokes)
	}
	return r, err
}

// walk is one claim under check.
type walk struct {
	m      *mechanism.Mechanism
	trees  []*mesh.Tree
	growth float64
	needs  func(a, b int) float64 // what two parts need; nil: that of growth
	keeps  func(a, b, travel int, lo, hi float64, q []float64) bool
	cache  *cache
	tasks  []task
	most   int // intervals that one task may take; 0: as many as it needs
}

// need is the clearance that two parts need, mm.
func (w *walk) need(a, b int) float64 {
	if w.needs != nil {
		return w.needs(a, b)
	}
	return w.m.Needs(a, b, w.growth)
}

// task is one pair over one run of one travel: a is carried by the travel, b is
// not.
type task struct {
	a, b   int
	travel int
	run    span
	q      []float64 // the other travels
	first  bool      // the pair as it stands at the start
}

// route checks the claim without geometry and lists the tasks.
func (w *walk) route(start []float64, strokes []Stroke, goal mechanism.Region) error {
	m := w.m
	if len(w.trees) != len(m.Parts) {
		return fmt.Errorf("%w: %d meshes for %d parts", ErrRefused, len(w.trees), len(m.Parts))
	}
	if len(start) != len(m.Travels) || len(m.Start) != len(m.Travels) {
		return fmt.Errorf("%w: a start of %d values for %d travels", ErrRefused, len(start), len(m.Travels))
	}
	q := append([]float64(nil), start...)
	for t := range q {
		if !same(&m.Travels[t], q[t], m.Start[t]) {
			return fmt.Errorf("%w: travel %q of %q starts at %g, in the design at %g", ErrRefused,
				m.Travels[t].Name, m.Parts[m.Travels[t].Part].Name, q[t], m.Start[t])
		}
	}
	w.stand(q)
	for i, s := range strokes {
		if err := w.begin(s, q); err != nil {
			return fmt.Errorf("stroke %d: %w", i+1, err)
		}
		w.pass(s, q)
		q[s.Travel] = s.To
	}
	for _, b := range goal.Bounds {
		if b.Travel < 0 || b.Travel >= len(q) {
			return fmt.Errorf("%w: the goal names travel %d of %d", ErrRefused, b.Travel, len(q))
		}
		if !holds(&m.Travels[b.Travel], b, q[b.Travel]) {
			return fmt.Errorf("%w: the way ends with travel %q at %g, outside the goal (%g to %g)", ErrRefused,
				m.Travels[b.Travel].Name, q[b.Travel], b.Lo, b.Hi)
		}
	}
	return nil
}

// begin checks a stroke against the configuration it starts from.
func (w *walk) begin(s Stroke, q []float64) error {
	if s.Travel < 0 || s.Travel >= len(q) {
		return fmt.Errorf("%w: there is no travel %d", ErrRefused, s.Travel)
	}
	t := &w.m.Travels[s.Travel]
	switch {
	case t.Part != s.Part:
		return fmt.Errorf("%w: travel %q is not of part %d", ErrRefused, t.Name, s.Part)
	case !same(t, s.From, q[s.Travel]):
		return fmt.Errorf("%w: it begins with travel %q at %g, which stands at %g", ErrRefused, t.Name, s.From, q[s.Travel])
	case math.IsNaN(s.To) || math.IsInf(s.To, 0):
		return fmt.Errorf("%w: it ends at %g", ErrRefused, s.To)
	case !t.Full && (min(s.From, s.To) < t.Lo-valueError || max(s.From, s.To) > t.Hi+valueError):
		return fmt.Errorf("%w: %g to %g leaves the limits of travel %q, %g to %g", ErrRefused, s.From, s.To, t.Name, t.Lo, t.Hi)
	}
	return nil
}

// same tells whether two values of a travel are one; on a full turn whole turns
// do not count.
func same(t *mechanism.Travel, a, b float64) bool {
	d := a - b
	if t.Full {
		d = wrap(d)
	}
	return math.Abs(d) <= valueError
}

// holds tells whether the value is within the bound.
func holds(t *mechanism.Travel, b mechanism.Bound, v float64) bool {
	if !t.Full {
		return v >= b.Lo-valueError && v <= b.Hi+valueError
	}
	if math.IsInf(b.Lo, 0) || math.IsInf(b.Hi, 0) {
		return true
	}
	whole := func(x float64) float64 { return x - 2*math.Pi*math.Floor(x/(2*math.Pi)) }
	past, long := whole(v-b.Lo), b.Hi-b.Lo
	if b.Lo > b.Hi {
		long += 2 * math.Pi
	}
	return past <= long+valueError || past >= 2*math.Pi-valueError
}

// stand lists every pair that moves at all, as it stands at the start.
func (w *walk) stand(q []float64) {
	for a := range w.m.Parts {
		for b := a + 1; b < len(w.m.Parts); b++ {
			js := w.m.Between(a, b)
			if len(js) == 0 {
				continue
			}
			k := js[0].Travel
			t := task{a: a, b: b, travel: k, run: span{q[k], q[k]}, q: append([]float64(nil), q...), first: true}
			if !w.carried(a, k) {
				t.a, t.b = b, a
			}
			w.tasks = append(w.tasks, t)
		}
	}
}

// pass lists the pairs that a stroke moves: the part and all it carries against
// all others.
func (w *walk) pass(s Stroke, q []float64) {
	at := append([]float64(nil), q...)
	run := span{min(s.From, s.To), max(s.From, s.To)}
	for a := range w.m.Parts {
		if !w.carried(a, s.Travel) {
			continue
		}
		for b := range w.m.Parts {
			if !w.carried(b, s.Travel) {
				w.tasks = append(w.tasks, task{a: a, b: b, travel: s.Travel, run: run, q: at})
			}
		}
	}
}

// carried tells whether part p moves with travel k.
func (w *walk) carried(p, k int) bool {
	for ; p >= 0; p = w.m.Parts[p].Carrier {
		if p == w.m.Travels[k].Part {
			return true
		}
	}
	return false
}
