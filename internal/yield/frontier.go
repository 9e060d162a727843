package yield

import (
	"context"
	"math"
	"slices"
)

// Oracle answers one monotone question for a list of needs, mm: greater needs
// never turn a no into a yes.
type Oracle interface {
	// Yes tells whether the answer is surely yes, No whether it is surely no.
	Yes(needs []float64) (bool, error)
	No(needs []float64) (bool, error)
	// Sharpen makes more answers sure near the needs; false if it cannot.
	Sharpen(needs []float64) (bool, error)
}

// Answer is yes, no, or honestly neither.
type Answer uint8

// The answers.
const (
	Undecided Answer = iota
	Yes
	No
)

func (a Answer) String() string { return [...]string{"undecided", "yes", "no"}[a] }

// Frontier is what has been learnt about one question: needs at which the answer
// is yes, from each of which no need can be raised as far as was tried, and needs
// at which it is no, from which none can be lowered. Since the question is
// monotone every other list of needs that lies below one of the first or above
// one of the second is answered without asking: a few dozen of each decide nearly
// every print of a box. This is the learning of a monotone function by its
// minimal points (A. Gainanov, "On one criterion of the optimality of an algorithm
// for evaluating monotonic Boolean functions", USSR Comput. Math. 24 (1984) 176).
type Frontier struct {
	Yes, No [][]float64
}

// doubt is what an oracle that is not sharpened any more leaves open: needs from
// which on it does not see a yes, and needs up to which it does not see a no.
// Between the two the answer is undecided, and stays so.
type doubt struct {
	notYes, notNo [][]float64
}

// above tells whether needs lie above one of the lists, under whether below one.
func above(needs []float64, lists [][]float64) bool {
	for _, l := range lists {
		if below(l, needs) {
			return true
		}
	}
	return false
}

func under(needs []float64, lists [][]float64) bool {
	for _, l := range lists {
		if below(needs, l) {
			return true
		}
	}
	return false
}

// Known is the answer that follows from what has been learnt.
func (f *Frontier) Known(needs []float64) Answer {
	switch {
	case under(needs, f.Yes):
		return Yes
	case above(needs, f.No):
		return No
	}
	return Undecided
}

// below tells whether a is nowhere greater than b.
func below(a, b []float64) bool {
	for i := range a {
		if a[i] > b[i] {
			return false
		}
	}
	return true
}

// learner asks an oracle what a frontier does not know.
type learner struct {
	ctx   context.Context
	f     *Frontier
	o     Oracle
	fine  float64   // the finest grid: pushes go by whole steps of it, mm
	steps []float64 // grids to which needs are rounded before they are asked, coarsest first, mm
	tried map[string]bool
	asked int

	frozen bool // the oracle is not sharpened any more
	open   doubt
}

// the ends of a search for how far a need can be moved, mm: beyond them no
// growth of a print reaches (printed.Model.Check).
// The search goes by whole steps of the finest grid, so that the engine meets few
// different needs.
const farthest = 4

// ask is the answer at the needs: known, or found by asking on the grids, needs
// rounded up for a yes and down for a no, so that either holds at the needs.
func (l *learner) ask(needs []float64) (Answer, error) {
	if a := l.f.Known(needs); a != Undecided {
		return a, nil
	}
	if l.frozen {
		return l.askFrozen(needs)
	}
	for _, step := range l.steps {
		for _, up := range []bool{true, false} {
			if err := l.ctx.Err(); err != nil {
				return Undecided, err
			}
			if err := l.settle(rounded(needs, step, up)); err != nil {
				return Undecided, err
			}
			if a := l.f.Known(needs); a != Undecided {
				return a, nil
			}
		}
	}
	return Undecided, nil
}

// askFrozen asks an oracle that is not sharpened any more: once upwards for a yes
// and once downwards for a no, learning also where it sees neither.
func (l *learner) askFrozen(needs []float64) (Answer, error) {
	if err := l.ctx.Err(); err != nil {
		return Undecided, err
	}
	up, down := rounded(needs, l.fine, true), rounded(needs, l.fine, false)
	if !above(up, l.open.notYes) {
		yes, err := l.yes(up)
		switch {
		case err != nil:
			return Undecided, err
		case yes:
			return Yes, l.raise(up)
		}
		not := func(n []float64) (bool, error) { y, err := l.yes(n); return !y, err }
		if err := l.push(up, -1, not, &l.open.notYes); err != nil {
			return Undecided, err
		}
	}
	if !under(down, l.open.notNo) {
		no, err := l.no(down)
		switch {
		case err != nil:
			return Undecided, err
		case no:
			return No, l.lower(down)
		}
		not := func(n []float64) (bool, error) { y, err := l.no(n); return !y, err }
		if err := l.push(down, 1, not, &l.open.notNo); err != nil {
			return Undecided, err
		}
	}
	return Undecided, nil
}

func rounded(needs []float64, step float64, up bool) []float64 {
	out := slices.Clone(needs)
	for i, n := range out {
		if up {
			out[i] = math.Ceil(n/step) * step
		} else {
			out[i] = math.Floor(n/step) * step
		}
	}
	return out
}

// settle finds the answer at the needs themselves, sharpening until it is sure,
// and learns from it.
func (l *learner) settle(needs []float64) error {
	key := string(appendKey(nil, needs))
	if l.f.Known(needs) != Undecided || l.tried[key] {
		return nil
	}
	for {
		if yes, err := l.yes(needs); err != nil {
			return err
		} else if yes {
			return l.raise(needs)
		}
		if no, err := l.no(needs); err != nil {
			return err
		} else if no {
			return l.lower(needs)
		}
		if err := l.ctx.Err(); err != nil {
			return err
		}
		if more, err := l.o.Sharpen(needs); err != nil {
			return err
		} else if !more {
			l.tried[key] = true
			return nil
		}
	}
}

// yes and no ask the engine, unless what was learnt tells.
func (l *learner) yes(needs []float64) (bool, error) {
	if a := l.f.Known(needs); a != Undecided {
		return a == Yes, nil
	}
	l.asked++
	return l.o.Yes(needs)
}

func (l *learner) no(needs []float64) (bool, error) {
	if a := l.f.Known(needs); a != Undecided {
		return a == No, nil
	}
	l.asked++
	return l.o.No(needs)
}

// raise pushes needs with the answer yes up, first all together, then each as far
// as it goes, and keeps what it comes to.
func (l *learner) raise(needs []float64) error {
	return l.push(needs, 1, l.yes, &l.f.Yes)
}

// lower pushes needs with the answer no down; a need that does not matter falls
// to -Inf.
func (l *learner) lower(needs []float64) error {
	return l.push(needs, -1, l.no, &l.f.No)
}

// push moves needs one way as far as the answer holds and keeps what it comes to,
// dropping what that makes needless.
func (l *learner) push(needs []float64, sign float64, holds func([]float64) (bool, error), keep *[][]float64) error {
	at := slices.Clone(needs)
	all := make([]int, len(at))
	for i := range all {
		all[i] = i
	}
	if err := l.shift(at, all, sign, holds); err != nil {
		return err
	}
	for i := range at {
		if err := l.shift(at, all[i:i+1], sign, holds); err != nil {
			return err
		}
	}
	*keep = append(slices.DeleteFunc(*keep, func(old []float64) bool {
		if sign > 0 {
			return below(old, at)
		}
		return below(at, old)
	}), at)
	return nil
}

// shift moves the needs listed by the greatest common amount that keeps the
// answer, from near to far: far needs are dear to ask.
func (l *learner) shift(at []float64, which []int, sign float64, holds func([]float64) (bool, error)) error {
	from := slices.Clone(at)
	try := func(d float64) (bool, error) {
		for _, i := range which {
			if at[i] = from[i] + sign*d; !math.IsInf(d, 0) {
				at[i] = math.Round(at[i]/l.fine) * l.fine
			}
		}
		return holds(at)
	}
	if len(which) == 1 || sign > 0 { // a single need may not matter at all
		far := math.Inf(1)
		if sign > 0 {
			far = farthest
		}
		if ok, err := try(far); err != nil || ok {
			return err
		}
	}
	lo, hi := 0, int(farthest/l.fine)
	for n := 2; ; n *= 4 {
		n = min(n, hi)
		ok, err := try(float64(n) * l.fine)
		if err != nil {
			return err
		}
		if !ok {
			hi = n
			break
		}
		if lo = n; n == hi {
			break
		}
	}
	for hi-lo > 1 {
		mid := (lo + hi) / 2
		ok, err := try(float64(mid) * l.fine)
		if err != nil {
			return err
		}
		if ok {
			lo = mid
		} else {
			hi = mid
		}
	}
	for _, i := range which {
		if at[i] = from[i]; lo > 0 {
			at[i] = math.Round((from[i]+sign*float64(lo)*l.fine)/l.fine) * l.fine
		}
	}
	return nil
}

func appendKey(b []byte, needs []float64) []byte {
	for _, n := range needs {
		u := math.Float64bits(n)
		for k := 0; k < 64; k += 8 {
			b = append(b, byte(u>>k))
		}
	}
	return b
}
