package motion

import (
	"context"
	"math"
	"slices"

	"feint/internal/diagram"
)

// Deepest is the least need at which Sharpen looks for what is free, mm: 0 or an
// overlap. Below it only what is blocked is looked for.
func (j *Judge) Deepest() float64 { return min(0, 2*j.w.opt.Growth[0]) }

// Sharpen refines the maps one step where the question is open at the needs; it
// is false if there is nothing to refine any more. What is free although parts
// overlap, by no more than those of Options.Growth, is looked for last and only where
// it can matter, since its cost grows without end.
func (j *Judge) Sharpen(needs []float64, step int) (bool, error) {
	w := j.w
	may := func() diagram.Set {
		return j.free(needs, step, generous, func(int) reading { return generous })
	}
	need := func(p *pair) float64 { return needs[slices.Index(w.pairs, p)] }
	if more, err := w.thread("", may, need); more || err != nil {
		return more, err
	}
	_, reached := j.look(needs, step, generous)
	var coarse []int
	for i, p := range w.pairs {
		if !p.roomy() && !math.IsInf(needs[i], 0) && !w.sp.Within(reached, p.set(w, needs[i], strict)) {
			coarse = append(coarse, i)
		}
	}
	if err := w.trouble(); err != nil {
		return false, err
	}
	if more, err := j.cheap(needs, coarse); more || err != nil {
		return more, err
	}
	if j.depthHelps(needs, step) {
		if more, err := j.deep(needs, coarse); more || err != nil {
			return more, err
		}
	}
	if more, err := j.deeper(needs, step, coarse); more || err != nil {
		return more, err
	}
	more := false
	for _, i := range coarse {
		p := w.pairs[i]
		if _, _, direct := p.direct(w); !direct && p.halves < w.opt.LiftHalves {
			p.halves++
			p.forget()
			more = true
		}
	}
	return more, w.trouble()
}

// todo is a map to be refined.
type todo struct {
	p     *pair
	need  float64
	width float64
}

// widest are those at the greatest width.
func widest(all []todo) []todo {
	most := 0.0
	for _, t := range all {
		most = max(most, t.width)
	}
	return slices.DeleteFunc(all, func(t todo) bool { return t.width < most || t.width == 0 })
}

// cheap refines the maps of pairs that must be apart, and of the others what is
// blocked.
func (j *Judge) cheap(needs []float64, which []int) (bool, error) {
	w := j.w
	var all []todo
	for _, i := range which {
		p, need := w.pairs[i], needs[i]
		switch {
		case need >= 0 && p.undecided(need) > 0:
			all = append(all, todo{p, need, w.next(p, need, false)})
		case need < 0 && w.opt.DepthStep > 0 && p.mayBlock(rung(need)):
			all = append(all, todo{p, rung(need), blockedWidth})
		}
	}
	all = widest(all)
	return len(all) > 0, together(all, func(t todo) error {
		if t.need < 0 {
			return t.p.refineBlocked(w.ctx, t.need)
		}
		return t.p.refine(w.ctx, []float64{t.need}, t.width)
	})
}

// deep refines also what is free of the pairs that may overlap.
func (j *Judge) deep(needs []float64, which []int) (bool, error) {
	w := j.w
	var all []todo
	for _, i := range which {
		if p, n := w.pairs[i], needs[i]; n < 0 && p.undecided(n) > 0 {
			n = max(n, j.Deepest())
			if f := w.opt.DepthStep; f > 0 {
				n = math.Ceil(n/f) * f
			}
			all = append(all, todo{p, n, w.next(p, n, false)})
		}
	}
	all = widest(all)
	return len(all) > 0, together(all, func(t todo) error { return t.p.refine(w.ctx, []float64{t.need}, t.width) })
}

// deeper refines what is free of one pair alone below Deepest, where a way that is sure
// of all others hangs on it: at the least overlap at which it may be free there, since
// what opens at one opens at all beyond it.
func (j *Judge) deeper(needs []float64, step int, which []int) (bool, error) {
	w, f := j.w, j.w.opt.DepthStep
	if f <= 0 {
		return false, nil
	}
	for _, i := range which {
		if needs[i] >= j.Deepest() {
			continue
		}
		at := slices.Clone(needs)
		for at[i] = j.Deepest(); at[i] > max(needs[i], lastAlone); {
			at[i] = max(at[i]-f, needs[i], lastAlone)
			yes, _ := j.lookEach(at, step, strict, func(k int) reading {
				if k == i {
					return generous
				}
				return strict
			})
			if err := w.trouble(); err != nil {
				return false, err
			}
			if !yes {
				continue
			}
			n := math.Ceil(at[i]/f) * f
			width := w.next(w.pairs[i], n, false)
			if w.pairs[i].undecided(n) == 0 || width == 0 { // as well known as can be
				continue
			}
			return true, w.pairs[i].refine(w.ctx, []float64{n}, width)
		}
	}
	return false, nil
}

// lastAlone is the overlap down to which one pair is looked at by itself, mm.
const lastAlone = -0.6

// depthHelps tells whether the answer can hang on what is free of the pairs that may
// overlap: with all that is open of them taken for free there must be a way that is
// sure of the others, or with all of it taken for blocked none that is not.
func (j *Judge) depthHelps(needs []float64, step int) bool {
	by := func(overlap, apart reading) func(float64) reading {
		return func(need float64) reading {
			if need < 0 {
				return overlap
			}
			return apart
		}
	}
	if yes, _ := j.lookBy(needs, step, strict, by(generous, strict)); yes {
		return true
	}
	yes, _ := j.lookBy(needs, step, generous, by(strict, generous))
	return !yes
}

// rungs are the overlaps at which what is blocked is looked for, mm: at all needs
// down to one of them it is blocked as well.
const (
	rungStep = 0.1
	lastRung = -1
)

// rung is the next overlap below a need.
func rung(need float64) float64 { return max(lastRung, math.Floor(need/rungStep)*rungStep) }

// blockedWidth is the width at which what is blocked is looked for, mm: where parts
// that are in each other's way overlap by far more there are large cells that tell.
const blockedWidth = 0.64

// blocker is a map that can be asked for what is blocked alone.
type blocker interface {
	// RefineBlocked divides the map where it is not known at an overlap, and finds out
	// what is surely blocked there.
	RefineBlocked(ctx context.Context, need, width float64) error
}

// mayBlock tells whether a map can be asked for what is blocked at an overlap and has
// not been.
func (p *pair) mayBlock(need float64) bool {
	_, ok := p.m.(blocker)
	return ok && p.undecided(need) > 0 && !p.shut[need]
}

func (p *pair) refineBlocked(ctx context.Context, need float64) error {
	if err := p.m.(blocker).RefineBlocked(ctx, need, blockedWidth); err != nil { //nolint:forcetypeassert // mayBlock looked
		return err
	}
	p.shut[need] = true
	p.load()
	return nil
}
