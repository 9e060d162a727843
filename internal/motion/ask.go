package motion

import (
	"runtime"
	"slices"

	"feint/internal/diagram"

	"golang.org/x/sync/errgroup"
)

// question is "is there a way from the start into the goal" under conditions.
type question struct {
	g     float64
	play  bool
	avoid int // the step to be avoided, -1 for none
	rest  int // the part that must rest where it starts, -1 for none
	limit *side
	what  string
}

// side keeps a travel on one side of a unit: below it, or, if above, beyond.
type side struct {
	travel int
	unit   int32
	above  bool
}

func ask(g float64) question { return question{g: g, avoid: -1, rest: -1} }

// refineBy is the factor between the widths at which maps are asked: cells are
// halved, so that two halvings pass between two looks at the diagrams.
const refineBy = 4

// freeFor is the free set with what the question forbids cut out. Strictly all
// that touches a forbidden region is cut out, generously only what lies within.
func (w *world) freeFor(q *question, by reading) diagram.Set {
	x := w.freeSet(q.g, q.play, by)
	if q.avoid >= 0 {
		round := rounding(w.touching)
		if by == generous {
			round = w.inside
		}
		x = w.sp.Minus(x, w.region(&w.m.Steps[q.avoid], round))
	}
	if q.rest >= 0 {
		for _, t := range w.m.Parts[q.rest].Travels {
			v := w.m.Start[t]
			x = w.sp.And(x, w.runs(t, v, v, w.axes[t].touching))
		}
	}
	if l := q.limit; l != nil {
		r := diagram.Run{Lo: 0, Hi: l.unit}
		if l.above {
			r = diagram.Run{Lo: l.unit, Hi: w.axes[l.travel].size}
		}
		x = w.sp.And(x, w.sp.Runs(w.level[l.travel], r))
	}
	return x
}

// look answers from the maps as they are; with No comes the certificate.
func (w *world) look(q *question) (Answer, *Certificate) {
	if w.opens(q, strict) == Yes {
		return Yes, nil
	}
	b := w.board(w.freeFor(q, generous))
	r := b.Reach(w.start)
	if w.sp.Meets(r, w.goal[generous]) {
		return Undecided, &Certificate{Free: b.Free, Reached: r}
	}
	return No, &Certificate{Free: b.Free, Reached: r}
}

// opens tells, for one reading, whether the goal is met.
func (w *world) opens(q *question, by reading) Answer {
	b := w.board(w.freeFor(q, by))
	if w.sp.Meets(b.Reach(w.start), w.goal[by]) {
		return Yes
	}
	return No
}

// decide refines the maps until the answer is sure or nothing that matters can
// be refined any more.
func (w *world) decide(q question) (Answer, *Certificate, error) {
	for {
		a, c := w.look(&q)
		if err := w.trouble(); err != nil {
			return Undecided, nil, err
		}
		if a != Undecided {
			return a, w.certify(&q, c), nil
		}
		more, err := w.sharpen(&q, c.Reached)
		if err != nil {
			return Undecided, nil, err
		}
		if !more {
			return Undecided, nil, nil
		}
	}
}

// certify completes the certificate of an answer "no".
func (w *world) certify(q *question, c *Certificate) *Certificate {
	if c == nil {
		return nil
	}
	c.What, c.Growth, c.Avoid = q.what, q.g, q.avoid
	c.Space, c.Travels, c.Goal = w.sp, slices.Clone(w.travel), w.goal[generous]
	c.Start = w.startPoint(c.Free)
	for _, p := range w.movers {
		var ls []int
		for _, t := range w.m.Parts[p].Travels {
			ls = append(ls, w.level[t])
		}
		c.Levels = append(c.Levels, ls)
	}
	return c
}

// startPoint is the units of the start, those in prefer if it has some there.
func (w *world) startPoint(prefer diagram.Set) []int32 {
	zero := make([]int32, len(w.axes))
	if p, ok := w.sp.Pick(w.sp.And(w.start, prefer), zero); ok {
		return p
	}
	p, _ := w.sp.Pick(w.start, zero)
	return p
}

// sharpen refines the maps that leave the question open, one step finer: those
// whose undecided cells the generous reading has reached. It is false if there
// is none, or none that may be refined further.
func (w *world) sharpen(q *question, reached diagram.Set) (bool, error) {
	may := func() diagram.Set { return w.freeFor(q, generous) }
	need := func(p *pair) float64 { return w.need(p, q.g, q.play) }
	if more, err := w.thread(q.what, may, need, reached); more || err != nil {
		return more, err
	}
	var coarse []*pair
	for _, p := range w.pairs {
		if !p.roomy() && !w.sp.Within(reached, p.set(w, w.need(p, q.g, q.play), strict)) {
			coarse = append(coarse, p)
		}
	}
	if err := w.trouble(); err != nil {
		return false, err
	}
	var todo []*pair
	for _, p := range coarse {
		if n := w.need(p, q.g, q.play); p.undecided(n) > 0 && w.next(p, n, q.play) > 0 {
			todo = append(todo, p)
		}
	}
	if slices.ContainsFunc(coarse, func(p *pair) bool { return w.need(p, q.g, q.play) < 0 }) {
		todo = w.telling(q, coarse, todo)
	}
	if len(todo) > 0 {
		w.opt.Progress(q.what, 0, 0)
		err := together(todo, func(p *pair) error {
			n := w.need(p, q.g, q.play)
			return p.refine(w.ctx, []float64{n}, w.next(p, n, q.play))
		})
		w.refresh()
		return err == nil, err
	}
	if more, err := w.within(q, coarse); more || err != nil {
		return more, err
	}
	more := false
	for _, p := range coarse {
		if _, _, direct := p.direct(w); !direct && p.halves < w.opt.LiftHalves {
			p.halves++
			p.forget()
			more = true
		}
	}
	w.refresh()
	return more, nil
}

// within asks the pairs that may touch but not overlap for overlaps, once: where faces lie
// flush while parts overlap elsewhere the distance alone is 0, however fine.
func (w *world) within(q *question, open []*pair) (bool, error) {
	need := -w.opt.FinestDepth
	var todo []*pair
	for _, p := range open {
		if n := w.need(p, q.g, q.play); n >= 0 && n <= BlockedMargin && p.undecided(n) > 0 && w.next(p, need, q.play) > 0 {
			todo = append(todo, p)
		}
	}
	if len(todo) == 0 {
		return false, nil
	}
	w.opt.Progress(q.what, 0, 0)
	err := together(todo, func(p *pair) error { return p.refine(w.ctx, []float64{need}, w.next(p, need, q.play)) })
	w.refresh()
	return err == nil, err
}

// telling are those of the pairs to be refined on which the answer hangs: with what is
// open of one of them taken for blocked there is no way left, whatever the others turn
// out to be. Where there is none it is all of them, unless the answer hangs on a pair
// that is as fine as can be: the others cannot make a yes then, and none of them alone
// a no. It costs a look at each pair, which refining where parts overlap is dear enough for.
func (w *world) telling(q *question, open, todo []*pair) []*pair {
	var out []*pair
	stuck := false
	for _, p := range open {
		x := w.sp.And(w.freeFor(q, generous), p.set(w, w.need(p, q.g, q.play), strict))
		switch {
		case w.sp.Meets(w.board(x).Reach(w.start), w.goal[generous]):
		case slices.Contains(todo, p):
			out = append(out, p)
		default:
			stuck = true
		}
	}
	if len(out) == 0 && !stuck {
		return todo
	}
	return out
}

// together does the same to several pairs at once. Every map is its own, so the
// order does not show.
func together[T any](ps []T, do func(T) error) error {
	var g errgroup.Group
	g.SetLimit(runtime.GOMAXPROCS(0))
	for _, p := range ps {
		g.Go(func() error { return do(p) })
	}
	return g.Wait()
}

// playCoarser is how much coarser maps are asked where play is allowed for: play is
// not known better than to some hundredths of a millimetre.
const playCoarser = 4

// fewCells are so few that it costs less to ask them for the finest at once than step
// by step: each look at a map begins with all of both meshes.
const fewCells = 64

// next is the width at which a map is to be asked next for a need; 0 if it has
// been asked for the finest.
func (w *world) next(p *pair, need float64, play bool) float64 {
	f, finest := p.fineness(need), w.opt.FinestWidth
	if need < 0 {
		finest = w.opt.FinestDepth
	}
	if play {
		finest *= playCoarser
	}
	switch {
	case f <= finest:
		return 0
	case len(p.cells) < fewCells:
		return finest
	case f > w.opt.FirstWidth:
		return w.opt.FirstWidth
	default:
		return max(f/refineBy, finest)
	}
}
