package hands

import (
	"context"
	"errors"
	"math"

	"feint/internal/diagram"
)

// Judge answers what a box does in hands when every pair of parts needs a clearance of its
// own, as with prints whose surfaces grow unequally. It is not for use by several
// goroutines at once.
//
// The law is not monotone: a looser print may let fall what then blocks the way. So an
// answer for some needs tells nothing of others by their order. What holds of many needs
// at once is had by Never only, which asks about all of a box of needs together; a way
// found at some needs must be led on the bodies at each other list of needs for itself.
//
// Needs are mm, in the order of Pairs.
type Judge struct {
	ctx context.Context
	c   *Case
	opt Options
	on  []*solver // by how often the units are halved; laid out when asked
	// least is the least need for which the maps are asked: what is free although parts
	// overlap more is dear to find.
	least float64
	asked map[mapNeed]float64 // to what width, mm
	made  int                 // nodes of spaces that were laid out anew
	last  int                 // nodes that the last question took
}

// mapNeed is a map by its place and a need that it was asked for.
type mapNeed struct {
	pair int
	need float64
}

// Needs are asked of the maps in steps, mm: those of parts that must be apart, and the
// coarser ones of parts that may overlap, which are dear. What a map knows at a step holds
// for every need beyond it, so the answers lose by this no more than a step.
const (
	apartStep   = 0.02
	overlapStep = 0.04
)

// NewJudge lays a case out on its maps as they are. Of the options only those of fineness
// and Progress are used. The maps are asked for no need below least.
func NewJudge(ctx context.Context, c *Case, least float64, o Options) (*Judge, error) {
	j := &Judge{ctx: ctx, c: c, opt: o.withDefaults(), least: least, asked: map[mapNeed]float64{}}
	_, _, err := j.at(0)
	return j, err
}

// Levels is how many levels of fineness there are: the widths of the maps, and then units
// halved again and again.
const Levels = 2 + limitFiner

// at is the solver of a level, with the width to which it asks the maps.
func (j *Judge) at(level int) (*solver, float64, error) {
	if level == 0 {
		s, err := j.halved(0)
		return s, firstWidth, err
	}
	s, err := j.halved(level - 1)
	return s, j.opt.Width, err
}

// halved is the solver whose units are halved so often.
func (j *Judge) halved(n int) (*solver, error) {
	for len(j.on) <= n {
		j.on = append(j.on, nil)
	}
	if j.on[n] == nil {
		s := &solver{ctx: j.ctx, c: j.c, opt: j.opt, r: &Result{Ups: j.c.Mechanism.Ups()}}
		s.opt.Slide, s.opt.Turn = math.Ldexp(s.opt.Slide, -n), math.Ldexp(s.opt.Turn, -n)
		if err := s.lay(); err != nil {
			return nil, err
		}
		j.on[n] = s
	}
	return j.on[n], nil
}

// Small tells whether the last question took so little that finer units are worth asking.
func (j *Judge) Small() bool { return j.last < limitNodes }

// Made counts the nodes made so far, a measure of the work.
func (j *Judge) Made() int {
	n := j.made
	for _, s := range j.on {
		if s != nil {
			n += s.b.sp.Made()
		}
	}
	return n
}

// Pairs are the parts of each pair, in the order of the needs.
func (j *Judge) Pairs() [][2]int { return j.on[0].b.lat.Pairs() }

// Never tells whether at all needs from lo to hi, each pair's by itself, nothing leads to
// the goal, out of step avoid if that is not negative. False says nothing.
//
// Why for all of them: let F(n) be where a pair may have the need n and S(n) where it
// surely has. For lo <= n <= hi F(n) lies in F(lo), and S(hi) in S(n) in S(lo) (a clearance
// that is enough for more is enough for less). The generous reading is asked with F(lo) for
// possibly free and S(hi) for surely free. Each of its operators does more, or as much, where
// more may be free or less surely is: a situation counts as free, or as at rest, or as in
// contact, a part as pushed on or let through. Two things would go the other way, and are
// made to go with it. A push counts only if the pair surely comes apart within some units:
// there S(lo) stands for surely (Pair.Apart). And a pair of which the sets tell nothing
// counts as never touching: here it counts as touching unless it is surely apart everywhere
// (bench.touches). So what the law allows at any n is reached, and what is not reached it
// allows at none.
func (j *Judge) Never(lo, hi []float64, avoid, level int) (bool, error) {
	s, width, err := j.at(level)
	if err != nil {
		return false, err
	}
	if err := j.refine(s, lo, hi, width); err != nil {
		return false, err
	}
	before := s.b.sp.Made()
	no, err := s.never(lo, hi, avoid)
	j.last = s.b.sp.Made() - before
	return no && err == nil, j.mended(s, err)
}

func (s *solver) never(lo, hi []float64, avoid int) (bool, error) {
	kept := s.b.boards
	defer func() { s.b.boards = kept }()
	l := law{by: generous, avoid: avoid, needs: make([][2]float64, len(lo))}
	for i := range lo {
		l.needs[i] = [2]float64{hi[i], lo[i]}
	}
	b := s.b.board(l)
	begin := s.begin(b)
	reach := b.Reach(begin)
	if err := s.b.trouble(); err != nil {
		return false, err
	}
	if begin == diagram.Empty { // no box at all if parts surely overlap at the start
		return !s.b.sp.Meets(s.b.start(), b.Possible()), s.b.trouble()
	}
	return !s.b.sp.Meets(reach, s.goal(generous)), s.b.trouble()
}

// Way is a way of the fewest moves by the strict reading at the needs, out of step avoid if
// that is not negative; nil if none is seen. It is a guess until it is led on the bodies
// (proof.Led): the strict reading is that of a box whose parts are a little fatter, and
// such a box may do otherwise.
func (j *Judge) Way(needs []float64, avoid, level int) (*Way, error) {
	s, width, err := j.at(level)
	if err != nil {
		return nil, err
	}
	if err := j.refine(s, needs, needs, width); err != nil {
		return nil, err
	}
	before := s.b.sp.Made()
	w, err := s.strictly(needs, avoid)
	if j.last = s.b.sp.Made() - before; err != nil {
		w = nil
	}
	return w, j.mended(s, err)
}

func (s *solver) strictly(needs []float64, avoid int) (*Way, error) {
	kept := s.b.boards
	defer func() { s.b.boards = kept }()
	l := law{by: strict, avoid: avoid, needs: make([][2]float64, len(needs))}
	for i, n := range needs {
		l.needs[i] = [2]float64{n, n}
	}
	b := s.b.board(l)
	layers, ok := b.Layers(s.begin(b), s.goal(strict))
	if err := s.b.trouble(); err != nil || !ok {
		return nil, err
	}
	w := s.tell(b, b.Narrow(layers, s.goal(strict)), 0)
	return w, s.b.trouble()
}

// mended is nil for an answer that took too much room: the space is laid out anew.
func (j *Judge) mended(s *solver, err error) error {
	if errors.Is(err, diagram.ErrLimit) {
		j.made += s.b.sp.Made()
		return s.lay()
	}
	return err
}

// refine asks the maps at the steps round the needs.
func (j *Judge) refine(s *solver, lo, hi []float64, width float64) error {
	for i := range lo {
		for _, n := range [2]float64{stepped(lo[i], math.Floor), stepped(hi[i], math.Ceil)} {
			k := mapNeed{i, n}
			if w, ok := j.asked[k]; n < j.least || ok && w <= width {
				continue
			}
			j.asked[k] = width
			if s.b.lat.Undecided(i, n) == 0 {
				continue
			}
			if err := s.b.lat.Refine(i, n, width); err != nil {
				return err
			}
		}
		if err := j.along(s, i, lo, width); err != nil {
			return err
		}
	}
	return s.b.trouble()
}

// along asks a map of three coordinates or more where the generous reading comes.
func (j *Judge) along(s *solver, i int, lo []float64, width float64) error {
	n := stepped(lo[i], math.Floor)
	k := mapNeed{i - len(lo), n} // a place of its own
	if w, ok := j.asked[k]; !s.b.lat.AlongWays(i) || n < j.least || ok && w <= width {
		return nil
	}
	j.asked[k] = width
	bench, kept := s.b, s.b.boards
	defer func() { bench.boards = kept }()
	for at := firstReached; ; at = max(at/finerMaps, width) {
		l := law{by: generous, avoid: -1, needs: make([][2]float64, len(lo))}
		for m, v := range lo {
			l.needs[m] = [2]float64{v, v}
		}
		b := s.b.board(l)
		reach := b.Reach(s.begin(b))
		if err := s.b.trouble(); err != nil {
			return j.mended(s, err)
		}
		open, err := s.b.lat.RefineIn(i, n, at, reach)
		if err != nil || at <= width || open > mostReached || open == 0 {
			return err
		}
		s.b.boards = kept
	}
}

// stepped rounds a need to the steps at which maps are asked.
func stepped(need float64, round func(float64) float64) float64 {
	step := apartStep
	if need < 0 {
		step = overlapStep
	}
	return round(need/step) * step
}
