package motion

import (
	"context"
	"errors"
	"math"
	"slices"

	"feint/internal/diagram"
	"feint/internal/mechanism"
)

// Judge answers whether there is a way when every pair of parts needs a
// clearance of its own, as with prints whose surfaces grow unequally. It is not
// for use by several goroutines at once.
//
// Every question is monotone: needs that are nowhere greater never lose a way,
// and needs that are nowhere smaller never open one.
type Judge struct{ w *world }

// ErrNotByHand is the error of NewJudge where more than the hand moves the
// parts: a greater clearance may then let a part fall and so close a way, and
// the answers would not be monotone.
var ErrNotByHand = errors.New("some travel is moved by weight, by contact, by a spring or by a tool, so a looser print is not always the easier one; prints of such a design cannot be judged by their needs alone")

// NewJudge lays out the maps, looking at them for the needs of the growths in
// o.Growth and as drawn.
func NewJudge(ctx context.Context, m *mechanism.Mechanism, maps []PairMap, o Options) (*Judge, error) {
	if !m.HandsOnly() {
		return nil, ErrNotByHand
	}
	return NewBound(ctx, m, maps, o)
}

// NewBound is NewJudge for hands that reach everything, whatever moves the parts in truth.
// Where that is more than the hand its "no" holds, since such hands can do whatever weight,
// contact and springs do, and its "yes" need not. A tool counts there as present in all its
// seats at once: leave the pairs of those parts out.
func NewBound(ctx context.Context, m *mechanism.Mechanism, maps []PairMap, o Options) (*Judge, error) {
	w, err := newWorld(ctx, m, maps, o.withDefaults())
	if err != nil {
		return nil, err
	}
	s := &solver{w: w, r: &Result{Asked: o.Growth}}
	if err := s.first(); err != nil {
		return nil, err
	}
	return &Judge{w}, w.trouble()
}

// Judge answers more on the maps of a result of Solve as they are, for hands that
// reach everything; nil if the result is not one of Solve's. The context given to
// Solve must still hold.
func (r *Result) Judge() *Judge {
	if r.world == nil {
		return nil
	}
	return &Judge{r.world}
}

// Pairs are the parts of each pair, in the order of the needs.
func (j *Judge) Pairs() [][2]int {
	out := make([][2]int, len(j.w.pairs))
	for i, p := range j.w.pairs {
		out[i] = [2]int{p.a, p.b}
	}
	return out
}

// Even is the needs of the pairs at one growth of all surfaces, mm.
func (j *Judge) Even(growth float64) []float64 {
	out := make([]float64, len(j.w.pairs))
	for i, p := range j.w.pairs {
		out[i] = j.w.m.Needs(p.a, p.b, growth)
	}
	return out
}

// WithPlay is what is left of needs where the parts are pushed about within
// their guides. As in Solve, a pair that guides keeps its need, and no more than
// an overlap of playDepth is undone.
func (j *Judge) WithPlay(needs []float64) []float64 {
	out := slices.Clone(needs)
	for i, p := range j.w.pairs {
		if n := needs[i]; !p.guide {
			out[i] = max(n-j.play(p.a, needs)-j.play(p.b, needs), min(n, -playDepth))
		}
	}
	return out
}

// play is the sideways play of a part: what its guides need more than as drawn
// is lost. A part without listed guides loses what the pair that gains least does.
func (j *Judge) play(part int, needs []float64) float64 {
	most := 0.0
	for i := range j.w.opt.Play {
		o := &j.w.opt.Play[i]
		if o.Part != part {
			continue
		}
		lost := math.Inf(1)
		for k, p := range j.w.pairs {
			guides := o.guides(p.a, p.b) || len(o.Guides) == 0 && (p.a == part || p.b == part)
			if guides && !math.IsInf(needs[k], -1) {
				lost = min(lost, needs[k]-j.w.m.Needs(p.a, p.b, 0))
			}
		}
		if !math.IsInf(lost, 0) {
			most = max(most, o.Sideways-lost)
		}
	}
	return most
}

// Way tells whether there surely is a way into the goal at the needs, one for
// every pair, mm; -Inf leaves a pair out. A step that is not negative must be
// avoided.
func (j *Judge) Way(needs []float64, step int) (bool, error) {
	yes, _ := j.look(needs, step, strict)
	return yes, j.w.trouble()
}

// NoWay tells whether there surely is none.
func (j *Judge) NoWay(needs []float64, step int) (bool, error) {
	yes, _ := j.look(needs, step, generous)
	return !yes, j.w.trouble()
}

// look answers for one reading, with all that was reached.
func (j *Judge) look(needs []float64, step int, by reading) (bool, diagram.Set) {
	return j.lookBy(needs, step, by, func(float64) reading { return by })
}

// lookBy reads each map as its need asks for.
func (j *Judge) lookBy(needs []float64, step int, by reading, of func(need float64) reading) (bool, diagram.Set) {
	return j.lookEach(needs, step, by, func(i int) reading { return of(needs[i]) })
}

// lookEach reads the map of each pair as asked.
func (j *Judge) lookEach(needs []float64, step int, by reading, of func(pair int) reading) (bool, diagram.Set) {
	w := j.w
	w.tidy()
	r := w.board(j.free(needs, step, by, of)).Reach(w.start)
	return w.sp.Meets(r, w.goal[by]), r
}

// free is what is free at the needs, the step cut out.
func (j *Judge) free(needs []float64, step int, by reading, of func(pair int) reading) diagram.Set {
	w := j.w
	sets := make([]diagram.Set, len(w.pairs))
	for i, p := range w.pairs {
		sets[i] = p.set(w, needs[i], of(i))
	}
	free := w.all(sets)
	if step >= 0 {
		round := rounding(w.touching)
		if by == generous {
			round = w.inside
		}
		free = w.sp.Minus(free, w.region(&w.m.Steps[step], round))
	}
	return free
}

// Shortest is a shortest way as drawn, on the maps as they are; nil if none is
// seen.
func (j *Judge) Shortest() *Way {
	q := ask(0)
	return j.w.shortest(&q)
}
