package motion

import (
	"context"
	"iter"
	"math"
	"sync/atomic"

	"feint/internal/clearance"
	"feint/internal/diagram"
	"feint/internal/mechanism"
)

// PairMap is what motion asks of a clearance map: the cells that tile the box of
// the coordinates of parts a and b, with bounds.
type PairMap interface {
	Parts() (a, b int)
	Coords() []clearance.Coord
	// Refine divides the cells that are undecided at any of the needs until they
	// are decided or no clearance changes in them by more than width, mm.
	Refine(ctx context.Context, needs []float64, width float64) error
	Cells() iter.Seq[clearance.Cell]
}

// Solve answers all questions about m. maps holds one map for every pair of
// parts that can meet; a pair without one is taken to be clear of each other.
// The error is that of a map, of the context, of a travel without limits, or
// diagram.ErrLimit.
//
// The answers "no" hold even if several parts are moved at once: a closed box of
// units that holds a possibly free configuration counts as free generously, so a
// motion of all parts never leaves the boxes that moves one after the other
// reach. The numbers of moves count moves of one part each.
func Solve(ctx context.Context, m *mechanism.Mechanism, maps []PairMap, o Options) (*Result, error) {
	w, err := newWorld(ctx, m, maps, o.withDefaults())
	if err != nil {
		return nil, err
	}
	s := &solver{w: w, r: &Result{Asked: o.Growth}}
	defer s.counts.wait()
	defer s.ahead.wait()
	for _, stage := range []func() error{
		s.first, s.openings, s.count, s.avoid, s.tell, s.bind, s.byBind, s.setOut, s.play, s.steps, s.way, s.rest, s.beyond, s.fewestShown,
	} {
		if err := stage(); err != nil {
			return nil, err
		}
		if err := w.trouble(); err != nil {
			return nil, err
		}
	}
	s.r.Certificates, s.r.Beyond = w.certs, w.past
	s.r.Nodes, s.r.world = w.made+w.sp.Made(), w
	return s.r, nil
}

// solver fills a Result stage by stage.
type solver struct {
	w       *world
	r       *Result
	avoided []avoided // by step
	counts  scout     // of moves
	ahead   scout     // for the way
	tight   *Way      // at the tight end, where it was walked
}

// first asks all maps coarsely for the growths on which the verdict rests, and
// picks the order of levels by the diagrams that this gives.
func (s *solver) first() error {
	w := s.w
	var done atomic.Int32
	w.opt.Progress("looking at pairs", 0, len(w.pairs))
	err := together(w.pairs, func(p *pair) error {
		if p.roomy() {
			return nil
		}
		var needs []float64
		for _, g := range []float64{0, s.r.Asked[1]} { // the loose end only where it is asked for: overlaps are dear
			needs = append(needs, w.need(p, g, false))
		}
		err := p.refine(w.ctx, needs, w.opt.FirstWidth)
		w.opt.Progress("looking at pairs", int(done.Add(1)), len(w.pairs))
		return err
	})
	if err != nil {
		return err
	}
	return w.chooseOrder()
}

// openings asks whether it opens as drawn, at the tight and at the loose end.
func (s *solver) openings() error {
	for _, o := range []struct {
		to   *Opening
		g    float64
		what string
	}{
		{&s.r.Drawn, 0, "does it open as drawn"},
		{&s.r.Tight, s.r.Asked[1], "does it open at the tight end"},
		{&s.r.Loose, s.r.Asked[0], "does it open at the loose end"},
	} {
		var err error
		if *o.to, err = s.opening(o.g, o.what); err != nil {
			return err
		}
	}
	// what opens at a growth opens at all smaller ones: the maps may tell it by now
	for _, o := range []*Opening{&s.r.Drawn, &s.r.Loose} {
		if q := ask(o.Growth); o.Opens == Undecided && s.w.opens(&q, strict) == Yes {
			o.Opens, o.Start = Yes, Yes
		}
	}
	return nil
}

func (s *solver) opening(g float64, what string) (Opening, error) {
	w := s.w
	w.tidy()
	q := ask(g)
	q.what = what
	out := Opening{Growth: g, Goal: w.goalAtStart()}
	a, cert, err := w.decide(q)
	if err != nil {
		return out, err
	}
	out.Opens = a
	if cert != nil {
		w.certs = append(w.certs, *cert)
	}
	switch out.Opens {
	case Yes:
		out.Start = Yes
	case No, Undecided:
		if out.Start, err = s.startFree(q); err != nil {
			return out, err
		}
	}
	return out, w.trouble()
}

// goalAtStart needs no map: the start is one point.
func (w *world) goalAtStart() Answer {
	for _, b := range w.m.Goal.Bounds {
		v := w.m.Start[b.Travel]
		in := v >= b.Lo && v <= b.Hi
		if w.axes[b.Travel].cyclic && b.Lo > b.Hi {
			in = v >= b.Lo || v <= b.Hi
		}
		if !in {
			return No
		}
	}
	return Yes
}

// startFree tells whether the start itself is free, refining the maps there.
func (s *solver) startFree(q question) (Answer, error) {
	w := s.w
	for {
		if w.sp.Meets(w.start, w.freeSet(q.g, q.play, strict)) {
			return Yes, w.trouble()
		}
		open := w.sp.And(w.start, w.freeSet(q.g, q.play, generous))
		if err := w.trouble(); err != nil || open == diagram.Empty {
			return No, err
		}
		if more, err := w.sharpen(&q, open); err != nil || !more {
			return Undecided, err
		}
	}
}

// bind brackets the growth above which no way is left.
func (s *solver) bind() error {
	q := ask(0)
	q.what = "where does it bind"
	f := newFinder(s.w, q)
	for _, o := range []Opening{s.r.Drawn, s.r.Tight, s.r.Loose} {
		f.learn(o.Growth, o.Opens)
	}
	if g, ok := s.w.startLimit(); ok {
		f.learn(g, No)
		f.fromNo = true
	}
	l, err := f.find()
	s.r.Fit.Bind = &l
	return err
}

// play takes up the play that was measured meanwhile.
func (s *solver) play() error {
	if later := s.w.opt.PlayLater; later != nil {
		s.w.opt.Play, s.w.opt.PlayLater = later(), nil
		s.w.guides()
	}
	return nil
}

// steps asks of every step whether it can be avoided as drawn, and up to which
// growth, the parts held straight and with their play.
func (s *solver) steps() error {
	for i := range s.w.m.Steps {
		st, err := s.step(i)
		if err != nil {
			return err
		}
		s.r.Steps = append(s.r.Steps, st)
		s.r.Fit.Leak = greatest(s.r.Fit.Leak, st.Bypass)
		s.r.Fit.LeakPlay = greatest(s.r.Fit.LeakPlay, st.BypassPlay)
	}
	return nil
}

func (s *solver) step(i int) (Step, error) {
	w := s.w
	w.opt.Progress("steps", i, len(w.m.Steps))
	d := &s.avoided[i]
	st, q := Step{Index: i, Unavoidable: not(d.drawn)}, d.q
	f := newFinder(w, q)
	f.learn(s.r.Fit.Bind.Hi, No) // where there is no way at all
	f.learn(0, d.drawn)
	f.learn(s.r.Asked[0], d.loose)
	f.fromNo = f.yes >= 0 // a shortcut in all the range is likely one up to where it binds
	l, err := f.find()
	if err != nil {
		return st, err
	}
	st.HoldsTo = l.Hi
	if l.Seen() || l.Hi > s.r.Asked[0] && !l.Below {
		st.Bypass = &l
	}
	if g := l.Lo; !math.IsInf(g, 0) {
		q.g = g
		st.Shortcut = w.shortest(&q)
	}
	st.BypassPlay, err = s.withPlay(q, l)
	return st, err
}

// withPlay is the bypass with the parts pushed about. What is free held straight
// is free with play, so the search starts from there.
func (s *solver) withPlay(q question, straight Limit) (*Limit, error) {
	if len(s.w.opt.Play) == 0 {
		if straight.Below {
			return nil, nil
		}
		return &straight, nil
	}
	q.play = true
	f := newFinder(s.w, q)
	f.learn(straight.Lo, Yes)
	// above the drawn size play is nearly used up and nothing is asked of it
	search := s.w.opt.Search
	f.n = min(f.n, max(f.yes, int(math.Ceil(-search[0]/(search[1]-search[0])*float64(f.grid)))))
	f.no = min(f.no, f.n+1)
	l, err := f.find()
	if err != nil || !l.Seen() {
		return nil, err
	}
	return &l, nil
}

func not(a Answer) Answer {
	switch a {
	case Yes:
		return No
	case No:
		return Yes
	default:
		return Undecided
	}
}

// greatest joins limits: the greatest of several growths, each known to lie
// within its own.
func greatest(a, b *Limit) *Limit {
	switch {
	case a == nil:
		return b
	case b == nil:
		return a
	}
	return &Limit{Lo: max(a.Lo, b.Lo), Hi: max(a.Hi, b.Hi), Above: a.Above || b.Above}
}
