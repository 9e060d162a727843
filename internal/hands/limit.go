package hands

import (
	"math"

	"feint/internal/motion"
)

const (
	// limitWidth is to what a growth at which an answer changes is bracketed, mm.
	limitWidth = 0.01
	// limitFiner is how often the lattice may be halved for a limit, as long as what was
	// laid out before took no more than limitNodes.
	limitFiner = 4
	limitNodes = 60_000
	// searchBelow is how far below the growths asked a leak is looked for, mm; off the
	// round numbers in which gaps are drawn.
	searchBelow = 0.0713
)

// limits brackets the growth at which it binds, and that at which each step begins to be
// avoidable, by halving between a growth at which it does and one at which it does not.
//
// The law is not monotone: a print that is looser may let something fall that blocks the
// way. What is told is a growth at which the answer changes, the one that halving comes
// to; between two growths asked the answer may change and change back unseen.
func (s *solver) limits() error {
	all := s.opt.Bound
	if all == nil || all.Fit.Bind == nil {
		return nil
	}
	s.opt.Progress("hands: where does it bind", 0, 0)
	s.edges = map[edge]glanced{}
	was := *s // what is asked afterwards is asked of the lattice as it was
	defer func() { s.opt, s.b, s.bare, s.width, s.halved = was.opt, was.b, was.bare, was.width, was.halved }()
	l := s.r.bind(all.Fit.Bind)
	if math.IsInf(l.Lo, -1) {
		if err := s.opensBelow(l); err != nil {
			return err
		}
	}
	if l.Seen() && !l.Open() {
		w := s.r.Way
		for _, o := range [2]*Opening{&s.r.Loose, &s.r.Tight} {
			if o.Way != nil && (w == nil || o == &s.r.Tight) {
				w = o.Way
			}
		}
		b, err := s.bracket(l.Lo, l.Hi, law{avoid: -1}, w)
		if err != nil {
			return err
		}
		l.Lo, l.Hi = b[0], b[1]
	}
	s.r.Bind = l
	for i := range s.r.Steps {
		s.opt.Progress("hands: limits of steps", i, len(s.r.Steps))
		if err := s.bypass(i, all); err != nil {
			return err
		}
	}
	return s.rests()
}

// edge is a growth at which a limit was looked for, and the step that was avoided, -1 for
// none.
type edge struct {
	growth float64
	avoid  int
}

// glanced is the answer there, with the way of a yes.
type glanced struct {
	answer motion.Answer
	way    *Way
}

// rests notes on what the limits rest beyond the growths asked.
func (s *solver) rests() error {
	if err := s.rest(-1, s.r.Bind.Lo, s.r.Bind.Hi); err != nil {
		return err
	}
	for i := range s.r.Steps {
		st := &s.r.Steps[i]
		lo := math.Inf(-1)
		if st.Bypass != nil {
			lo = st.Bypass.Lo
		}
		if err := s.rest(i, lo, st.HoldsTo); st.Limited && err != nil {
			return err
		}
	}
	return s.b.trouble()
}

func (s *solver) rest(avoid int, lo, hi float64) error {
	if k := s.edges[edge{lo, avoid}]; k.answer == motion.Yes {
		s.r.AtLimit = append(s.r.AtLimit, AtLimit{avoid, k.way})
	}
	if s.edges[edge{hi, avoid}].answer != motion.No {
		return nil
	}
	n := No{What: "does it open above where it binds", Growth: hi, Avoid: avoid, Err: ErrNotFollowed}
	if avoid >= 0 {
		n.What = "can step " + s.b.m.Steps[avoid].Name + " be avoided"
	}
	// asked anew: what a closure rests on holds while its board does
	a, _, err := s.decideTo(law{growth: hi, avoid: avoid}, s.finer())
	if err != nil {
		return err
	}
	if a == motion.No && s.opt.Closed != nil {
		n.Detail, n.Err = s.opt.Closed(s.closure(s.shut))
	}
	s.b.boards = s.kept()
	s.r.Beyond = append(s.r.Beyond, n)
	return nil
}

// opensBelow looks for a growth looser than asked at which it opens.
func (s *solver) opensBelow(l *motion.Limit) error {
	g := s.r.Asked[0] - searchBelow
	a, err := s.glance(law{growth: g, avoid: -1}, nil)
	if a == motion.Yes {
		l.Lo, l.Below = g, false
	}
	return err
}

// bypass brackets the growth below which step i can be avoided.
func (s *solver) bypass(i int, all *motion.Result) error {
	st := &s.r.Steps[i]
	if i >= len(all.Steps) || all.Steps[i].Bypass == nil {
		return nil // hands that reach everything cannot avoid it either
	}
	yes, no := math.Inf(-1), all.Steps[i].Bypass.Hi
	if s.r.Bind != nil {
		no = min(no, s.r.Bind.Hi) // where there is no way at all
	}
	if st.Unavoidable == motion.Yes {
		no = min(no, 0)
	}
	if st.Loose == motion.Yes {
		no = min(no, s.r.Asked[0])
	}
	switch {
	case st.Unavoidable == motion.No:
		yes = 0
	case st.Loose == motion.No:
		yes = s.r.Asked[0]
	default:
		g := min(no, s.r.Asked[0]) - searchBelow
		a, err := s.glance(law{growth: g, avoid: i}, nil)
		if err != nil {
			return err
		}
		switch a {
		case motion.Yes:
			yes = g
		case motion.No:
			no = g
		case motion.Undecided:
		}
	}
	st.Limited, st.HoldsTo = true, no
	if math.IsInf(yes, -1) || math.IsInf(no, 1) {
		return nil
	}
	b, err := s.bracket(yes, no, law{avoid: i}, st.Shortcut)
	st.Bypass, st.HoldsTo = &motion.Limit{Lo: b[0], Hi: b[1]}, b[1]
	return err
}

// bracket halves between a growth at which the answer is yes and one at which it is no.
// Where it is open the border of each is looked for by itself. w is a way to be tried.
func (s *solver) bracket(yes, no float64, l law, w *Way) (b [2]float64, err error) {
	b = [2]float64{yes, no}
	ask := func(g float64) (motion.Answer, error) {
		l.growth = g
		return s.glance(l, w)
	}
	for b[1]-b[0] > limitWidth {
		mid := (b[0] + b[1]) / 2
		a, err := ask(mid)
		if err != nil {
			return b, err
		}
		switch a {
		case motion.Yes:
			b[0] = mid
		case motion.No:
			b[1] = mid
		case motion.Undecided:
			return s.borders(b, mid, ask)
		}
	}
	return b, nil
}

// borders looks for the last yes below and the first no above a growth that is open.
func (s *solver) borders(b [2]float64, open float64, ask func(float64) (motion.Answer, error)) ([2]float64, error) {
	for side, want := range [2]motion.Answer{motion.Yes, motion.No} {
		for far := open; math.Abs(far-b[side]) > limitWidth/2; {
			mid := (far + b[side]) / 2
			a, err := ask(mid)
			if err != nil {
				return b, err
			}
			if a == want {
				b[side] = mid
			} else {
				far = mid
			}
		}
	}
	return b, nil
}

// glance answers at one growth. A way known from another growth may still exist there as
// it is: that is tried first, on the bodies, where somebody can.
func (s *solver) glance(l law, w *Way) (motion.Answer, error) {
	at := edge{l.growth, l.avoid}
	if w != nil {
		k := *w
		k.Growth = l.growth
		if s.exists(&k, l.avoid) == motion.Yes {
			s.edges[at] = glanced{motion.Yes, &k}
			return motion.Yes, nil
		}
	}
	a, found, err := s.decideTo(l, s.finer())
	s.edges[at] = glanced{a, found}
	s.b.boards = s.kept()
	return a, err
}

// finer is how often the lattice may be halved for a limit.
func (s *solver) finer() int {
	if s.b.sp.Made() < limitNodes {
		return min(limitFiner, s.halved+1)
	}
	return s.halved
}
