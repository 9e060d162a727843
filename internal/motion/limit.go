package motion

import "math"

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
}

func newFinder(w *world, q question) *finder {
	s := w.opt.Search
	// two numbers within the resolution, so that a limit that falls on a number
	// and stays undecided there is still told to the resolution
	n := int(math.Ceil(2*(s[1]-s[0])/w.opt.Resolution - snap))
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
// where that decides.
func (f *finder) find() (Limit, error) {
	f.bare()
	if err := f.w.trouble(); err != nil {
		return Limit{}, err
	}
	for step := 2; f.no-f.yes > 1; step *= 2 {
		mid := f.next(step)
		a, err := f.decide(mid)
		if err != nil {
			return Limit{}, err
		}
		if a == Undecided {
			if err := f.split(mid); err != nil {
				return Limit{}, err
			}
			break
		}
	}
	return f.limit(), nil
}

// next is the number to ask next: half way, but where only one side of the
// bracket is known, step beyond that side. Maps are cheap to refine for growths
// that are near to those already asked and dear for deep overlaps, which a
// limit near at hand never needs.
func (f *finder) next(step int) int {
	switch {
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
	switch a {
	case Yes:
		f.yes = i
	case No:
		f.no = i
	case Undecided:
	}
	return a, err
}

// bare bisects each reading on the maps as they are.
func (f *finder) bare() {
	opens := func(i int, by reading) bool {
		f.w.tidy()
		q := f.q
		q.g = f.growth(i)
		return f.w.opens(&q, by) == Yes
	}
	for _, by := range [2]reading{strict, generous} {
		lo, hi := f.yes, f.no
		for hi-lo > 1 {
			if mid := (lo + hi) / 2; opens(mid, by) {
				lo = mid
			} else {
				hi = mid
			}
		}
		if by == strict {
			f.yes = lo
		} else {
			f.no = hi
		}
	}
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
