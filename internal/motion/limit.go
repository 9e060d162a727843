package motion

import (
	"math"
	"slices"
)

// finder brackets the growth at which a question turns from yes to no. The
// question must be monotone: what opens at a growth opens at all smaller ones.
// Growths are numbered along a grid 0..n; -1 stands for all below, n+1 for all
// above.
type finder struct {
	w    *world
	q    question
	n    int // the last number that is asked
	grid int // numbers of the whole search
	yes  int // greatest number known to be a yes
	no   int // least number known to be a no

	yesAt, noAt float64 // the same for growths between the numbers

	fromNo bool // the limit is likely just below no
}

// enough is how many numbers apart the ends of a bracket may be at the end: that
// is the resolution.
const enough = 2

func newFinder(w *world, q question) *finder {
	s := w.opt.Search
	// enough numbers within the resolution that a limit that falls on a number and
	// stays undecided there is still told to the resolution
	n := int(math.Ceil(enough*(s[1]-s[0])/w.opt.Resolution - snap))
	return &finder{w: w, q: q, n: n, grid: n, yes: -1, no: n + 1, yesAt: math.Inf(-1), noAt: math.Inf(1)}
}

func (f *finder) growth(i int) float64 {
	s := f.w.opt.Search
	return s[0] + (s[1]-s[0])*float64(i)/float64(f.grid)
}

// learn takes over an answer known from elsewhere.
func (f *finder) learn(g float64, a Answer) {
	s := f.w.opt.Search
	i := (g - s[0]) / (s[1] - s[0]) * float64(f.grid)
	switch a {
	case Yes:
		f.yesAt = max(f.yesAt, g)
		f.yes = max(f.yes, min(f.n, int(math.Floor(i+snap))))
	case No:
		f.noAt = min(f.noAt, g)
		f.no = min(f.no, max(0, int(math.Ceil(i-snap))))
	case Undecided:
	}
}

// find narrows the bracket, first on the maps as they are, then refining them
// where that decides. After each refinement both readings are asked anew along
// the whole bracket: the border is closed in on from both sides with coarse maps,
// and fine ones are made only near it.
func (f *finder) find() (Limit, error) {
	f.bare()
	if err := f.w.trouble(); err != nil {
		return Limit{}, err
	}
	for step := 2; f.no-f.yes > enough; {
		mid := f.next(step)
		a, more, err := f.glance(mid)
		switch {
		case err != nil:
			return Limit{}, err
		case a != Undecided:
			step *= 2
			f.fromNo = f.fromNo && a == No
		case !more:
			if err := f.split(mid); err != nil {
				return Limit{}, err
			}
			return f.limit(), nil
		default:
			f.bare()
		}
	}
	return f.limit(), f.w.trouble()
}

// glance answers number i from the maps as they are, or else refines them by one
// step; more is false if there is nothing to refine.
func (f *finder) glance(i int) (a Answer, more bool, err error) {
	f.w.tidy()
	q := f.q
	q.g = f.growth(i)
	a, c := f.w.look(&q)
	if err := f.w.trouble(); err != nil {
		return Undecided, false, err
	}
	if a != Undecided {
		f.note(i, a)
		return a, true, nil
	}
	more, err = f.w.sharpen(&q, c.Reached)
	return Undecided, more, err
}

func (f *finder) note(i int, a Answer) {
	switch a {
	case Yes:
		f.yes = i
	case No:
		f.no = i
	case Undecided:
	}
}

// next is the number to ask next: half way, but where only one side of the
// bracket is known, or the limit is likely to be near it, step beyond that side. Maps are cheap to refine for growths
// that are near to those already asked and dear for deep overlaps, which a
// limit near at hand never needs.
func (f *finder) next(step int) int {
	switch {
	case f.fromNo && f.no <= f.n:
		return max(f.no-step, (f.yes+f.no)/2, 0)
	case f.yes < 0 && f.no <= f.n:
		return max(f.no-step, (f.yes+f.no)/2, 0)
	case f.no > f.n && f.yes >= 0:
		return min(f.yes+step, (f.yes+f.no)/2, f.n)
	}
	return (f.yes + f.no) / 2
}

func (f *finder) decide(i int) (Answer, error) {
	f.w.tidy()
	q := f.q
	q.g = f.growth(i)
	a, _, err := f.w.decide(q)
	f.note(i, a)
	return a, err
}

// bare finds the limit of each reading on the maps as they are: the generous one
// first, since what opens strictly opens generously too, and then the strict one,
// which maps that are known well put just below it. Where the limit is likely near
// the greatest growth that is left, the strict one is asked only whether it is as
// near as need be: how far off it is else would be asked anew after every
// refinement.
func (f *finder) bare() {
	if f.no-f.yes <= 1 {
		return
	}
	f.no = f.border(f.yes, f.no, generous, f.no <= f.n)
	if i := f.no - enough; f.fromNo && i > f.yes {
		if f.opens(i, strict) {
			f.yes = i
		}
		return
	}
	f.yes = f.border(f.yes, f.no, strict, true) - 1
}

func (f *finder) opens(i int, by reading) bool {
	f.w.tidy()
	q := f.q
	q.g = f.growth(i)
	return f.w.opens(&q, by) == Yes
}

// border is the least number above lo at which a reading does not open, no more
// than hi: lo is one at which it does. Stepping down from hi in growing steps it
// takes few questions where the limit is near, and twice those of halving at most.
func (f *finder) border(lo, hi int, by reading, near bool) int {
	for step := 1; hi-lo > 1; step *= 2 {
		mid := (lo + hi) / 2
		if near {
			mid = max(mid, hi-step)
		}
		if f.opens(mid, by) {
			lo, near = mid, false
		} else {
			hi = mid
		}
	}
	return hi
}

// split narrows the bracket from both sides round a number that cannot be
// decided.
func (f *finder) split(mid int) error {
	for hi := mid; hi-f.yes > 1; {
		i := (f.yes + hi) / 2
		if a, err := f.decide(i); err != nil {
			return err
		} else if a != Yes {
			hi = i
		}
	}
	for lo := mid; f.no-lo > 1; {
		i := (lo + f.no) / 2
		if a, err := f.decide(i); err != nil {
			return err
		} else if a != No {
			lo = i
		}
	}
	return nil
}

func (f *finder) limit() Limit {
	l := Limit{Lo: f.yesAt, Hi: f.noAt}
	if f.yes >= 0 {
		l.Lo = max(l.Lo, f.growth(f.yes))
	}
	if f.no <= f.n {
		l.Hi = min(l.Hi, f.growth(f.no))
	}
	l.Below = f.no == 0
	l.Above = f.yes == f.n && math.IsInf(l.Hi, 1)
	if l.Below {
		l.Lo = math.Inf(-1)
	}
	return l
}

// exacter is a map that can tell the clearance at one configuration.
type exacter interface {
	// At bounds the clearance at the configuration q.
	At(q []float64) (lower, upper float64, err error)
}

// startLimit is a growth above which some pair overlaps where everything starts,
// so that there is no way at all: in a box with one gap everywhere that is the
// very limit. It is false if no map tells.
func (w *world) startLimit() (float64, bool) {
	limits := make([]float64, len(w.pairs))
	err := together(w.pairs, func(p *pair) error {
		i := slices.Index(w.pairs, p)
		limits[i] = math.Inf(1)
		x, ok := p.m.(exacter)
		if !ok {
			return nil
		}
		_, upper, err := x.At(w.m.Start)
		if err != nil {
			return err
		}
		// a need rises with growth along a straight line
		base := w.m.Needs(p.a, p.b, 0)
		if slope := w.m.Needs(p.a, p.b, 1) - base; slope > 0 {
			limits[i] = (upper-base)/slope + startSlack
		}
		return nil
	})
	if err != nil {
		return 0, false
	}
	g := slices.Min(append(limits, math.Inf(1)))
	return g, !math.IsInf(g, 1)
}

// startSlack keeps the growth told above the one at which the parts touch, mm: more than
// the slack of the separate checker, far less than anything is resolved to.
const startSlack = 3e-6
