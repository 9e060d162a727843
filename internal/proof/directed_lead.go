package proof

import (
	"cmp"
	"errors"
	"fmt"
	"math"

	"feint/internal/mechanism"
)

// hit is a pair that a run does not show to keep clear.
type hit struct {
	t *task
	f *fault
}

func (r *replay) complain(h *hit) error {
	rep := &WalkReport{Needed: r.w.need(h.t.a, h.t.b), At: append([]float64(nil), h.t.q...)}
	rep.At[h.t.travel] = h.f.at
	return r.w.complain(rep, h.t, h.f)
}

// run looks at the run of travel t, all else resting, from one value to another, and
// lists the pairs that do not keep clear.
func (r *replay) run(t int, from, to float64) ([]hit, error) {
	r.w.tasks = nil
	r.w.pass(Stroke{Travel: t, From: from, To: to}, r.q)
	return r.look(r.w.tasks)
}

// look checks tasks, of parts that are there.
func (r *replay) look(tasks []task) ([]hit, error) {
	r.report.Runs++
	var out []hit
	for i := range tasks {
		t := tasks[i]
		if r.away[t.a] || r.away[t.b] {
			continue
		}
		o, err := r.w.check(r.ctx, &t)
		if err != nil {
			return nil, err
		}
		if r.work += o.work; r.work > cmp.Or(r.d.Most, mostWork) {
			return nil, fmt.Errorf("%w: it takes too long", ErrOpen)
		}
		if o.fault != nil {
			r.met(&t)
			out = append(out, hit{&t, o.fault})
		}
	}
	return out, nil
}

// met notes a pair that does not keep clear.
func (r *replay) met(t *task) { r.report.Met[[2]int{min(t.a, t.b), max(t.a, t.b)}] = true }

// reaches closes in on how far a run from the value from to the value to, along which the
// pairs of hits do not keep clear, does: what it gives is shown, and within touch of what
// is not. stop is a pair that is not clear just beyond.
func (r *replay) reaches(t int, from, to float64, hits []hit) (clear float64, stop []hit, err error) {
	lo, hi := from, to
	if d := r.allowed(hits); d > 0 {
		if lo, hi, hits, err = r.square(t, from, to, d, hits); err != nil {
			return from, nil, err
		}
	}
	for math.Abs(hi-lo)*r.wide[t] > touch {
		mid := (lo + hi) / 2
		more, err := r.look(again(hits, span{min(lo, mid), max(lo, mid)}))
		if err != nil {
			return from, nil, err
		}
		if len(more) > 0 {
			hi, hits = mid, more
		} else {
			lo = mid
		}
	}
	return lo, hits, nil
}

// allowed is how deep all pairs of hits may overlap, 0 if some may not.
func (r *replay) allowed(hits []hit) float64 {
	least := math.Inf(1)
	for i := range hits {
		least = min(least, -r.w.need(hits[i].t.a, hits[i].t.b))
	}
	return max(0, least)
}

// square guesses where a run stops of parts that may overlap by d, since looking at overlaps
// is dear: so far beyond where they touch, which costs little to find, as parts do that meet
// squarely. It gives a value that is shown to be reached, and one beyond with its hits.
func (r *replay) square(t int, from, to, d float64, hits []hit) (lo, hi float64, stop []hit, err error) {
	by := math.Copysign(1/r.wide[t], to-from)
	at, beyond := from, to
	for math.Abs(beyond-at)*r.wide[t] > touch/8 {
		mid := (at + beyond) / 2
		clear, err := r.apartTo(hits, span{min(at, mid), max(at, mid)})
		if err != nil {
			return from, to, hits, err
		}
		if clear {
			at = mid
		} else {
			beyond = mid
		}
	}
	lo, hi, stop = from, to, hits
	for _, off := range [2]float64{-touch / 4, touch / 2} {
		v := at + by*(d+off)
		if (v-lo)*by <= 0 || (hi-v)*by <= 0 {
			continue
		}
		more, err := r.look(again(stop, span{min(lo, v), max(lo, v)}))
		if err != nil {
			return from, to, hits, err
		}
		if len(more) > 0 {
			return lo, v, more, nil
		}
		lo = v
	}
	return lo, hi, stop, nil
}

// apartTo tells whether pairs that may overlap do not even touch along a run.
func (r *replay) apartTo(hits []hit, v span) (bool, error) {
	was := r.w.needs
	r.w.needs = func(int, int) float64 { return 0 }
	defer func() { r.w.needs = was }()
	for _, t := range again(hits, v) {
		o, err := r.w.check(r.ctx, &t)
		if err != nil || o.fault != nil {
			return false, err
		}
	}
	return true, nil
}

// again are the tasks of hits over another run.
func again(hits []hit, v span) []task {
	out := make([]task, len(hits))
	for i, h := range hits {
		out[i] = *h.t
		out[i].run = v
	}
	return out
}

// lead moves travel t to a value, pushing what stands in its way and yields; what is held
// stands still. chain is how many parts it may push on, one after the other.
func (r *replay) lead(t int, to float64, held map[int]bool, chain int) error {
	by := 1.0
	if to < r.q[t] {
		by = -1
	}
	h := math.Abs(to - r.q[t])
	if leans, err := r.leans(t, held); err != nil || leans {
		if err != nil {
			return err
		}
		h = stride / r.wide[t]
	}
	touching := false
	for r.q[t] != to {
		next := r.q[t] + by*h
		if (to-next)*by <= 0 {
			next = to
		}
		hits, err := r.run(t, r.q[t], next)
		if err != nil {
			return err
		}
		switch {
		case len(hits) > 0 && touching:
			next = r.q[t] // it is there already
		case len(hits) > 0:
			if next, hits, err = r.reaches(t, r.q[t], next, hits); err != nil {
				return err
			}
		}
		touching = len(hits) > 0
		if next != r.q[t] {
			if err := r.move(t, next); err != nil {
				return err
			}
			if err := r.settle(held); err != nil {
				return err
			}
		}
		if len(hits) == 0 {
			continue
		}
		if err := r.pushOn(t, to, held, chain); err != nil {
			return err
		}
		h = stride / r.wide[t] // what was pushed once is pushed on, and what leans is followed
	}
	return nil
}

// move sets a travel that was shown to run there.
func (r *replay) move(t int, to float64) error {
	if err := r.avoids(map[int]float64{t: to}); err != nil {
		return err
	}
	r.q[t] = to // on a full turn it may lie beyond the range
	return nil
}

// pushOn moves travel t, which touches something, one stride on towards a value, or
// farther where both go one way and nothing else moves.
func (r *replay) pushOn(t int, to float64, held map[int]bool, chain int) error {
	if chain == 0 {
		return fmt.Errorf("%w: more than %d parts push each other", ErrOpen, mostChain)
	}
	far := to - r.q[t]
	if ok, err := r.together(t, far, held); ok || err != nil {
		return err
	}
	if s := stride / r.wide[t]; math.Abs(far) > s {
		far = math.Copysign(s, far)
	}
	for {
		err := r.press(t, r.q[t]+far, held, chain)
		if st := (*stuck)(nil); !errors.As(err, &st) || math.Abs(far)*r.wide[t] < 8*touch {
			return err
		}
		far /= 2 // up to what stops it
	}
}

// stuck is that something does not give way.
type stuck struct{ error }

func (s *stuck) Unwrap() error { return s.error }

// press moves travel t to next, a stride at most, what stands in its way first.
func (r *replay) press(t int, next float64, held map[int]bool, chain int) error {
	own := map[int]bool{t: true}
	for j := range held {
		own[j] = true
	}
	const mostAside = 12 // parts, or the same again, to move aside for one stride
	for range mostAside {
		hits, err := r.run(t, r.q[t], next)
		if err != nil {
			return err
		}
		if len(hits) == 0 {
			if err := r.move(t, next); err != nil {
				return err
			}
			return r.settle(held)
		}
		if err := r.aside(t, next, &hits[0], own, chain); err != nil {
			return err
		}
	}
	return fmt.Errorf("%w: what is pushed by %q does not make way", ErrOpen, r.m.Travels[t].Name)
}

// yields tells whether a travel gives way when pushed.
func (r *replay) yields(t int) bool {
	return r.m.Travels[t].Moved != mechanism.ByHand || r.m.Travels[t].Spring != nil
}

// aside pushes one travel of a pair that is in the way, the one way that takes least.
func (r *replay) aside(t int, next float64, h *hit, held map[int]bool, chain int) error {
	best, way, least := -1, 0.0, math.Inf(1)
	most := steep*math.Abs(next-r.q[t])*r.wide[t] + touch/2 // mm
	for _, j := range r.m.Between(h.t.a, h.t.b) {
		if held[j.Travel] || j.Travel == t || !r.yields(j.Travel) {
			continue
		}
		for _, by := range [2]float64{1, -1} {
			d, ok, err := r.makesRoom(h, t, next, j.Travel, by, most)
			if err != nil {
				return err
			}
			mm := math.Abs(d) * r.wide[j.Travel]
			if !ok || mm >= least {
				continue
			}
			if ok, err = r.gradual(h, t, next, j.Travel, d); err != nil {
				return err
			}
			if ok {
				best, way, least = j.Travel, d, mm
			}
		}
	}
	if best >= 0 {
		r.report.Pushed++
		own := map[int]bool{best: true} // it does not fall back before what pushes it has come
		for j := range held {
			own[j] = true
		}
		return r.lead(best, r.q[best]+way, own, chain-1)
	}
	if !h.f.open {
		return &stuck{fmt.Errorf("nothing there gives way: %w", r.complain(h))}
	}
	return &stuck{r.complain(h)}
}
