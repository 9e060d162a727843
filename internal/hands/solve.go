package hands

import (
	"context"
	"fmt"
	"slices"

	"feint/internal/diagram"
	"feint/internal/motion"
)

// Solve asks what the box does in hands, at the growths asked (loose, tight) and
// as drawn. The maps are refined where an answer hangs on it.
func Solve(ctx context.Context, c *Case, growth [2]float64, o Options) (*Result, error) {
	s := &solver{ctx: ctx, c: c, opt: o.withDefaults(), seen: map[float64]*Way{}}
	s.r = &Result{Asked: growth, Ups: c.Mechanism.Ups()}
	if err := s.lay(); err != nil {
		return nil, err
	}
	for _, stage := range []func() error{s.openings, s.again, s.steps, s.limits} {
		if err := stage(); err != nil {
			return nil, err
		}
	}
	s.r.Nodes = s.b.sp.Made()
	s.r.Unit, s.r.solver = [2]float64{s.opt.Slide, s.opt.Turn}, s
	return s.r, nil
}

type solver struct {
	ctx context.Context
	c   *Case
	opt Options
	b   *bench
	r   *Result
	// bare holds the boards without conditions, by growth
	bare  map[float64]*[2]*Board
	width map[float64]float64 // to which the maps have been asked, by growth
	// halved is how often the lattice has been halved
	halved int
	shut   *Closure         // of the last answer no
	edges  map[edge]glanced // of growths at which limits were looked for
	seen   map[float64]*Way // known already, by growth
	// drawnAt is the halvings at which the box as drawn was asked about, and one more
	drawnAt int
}

func (s *solver) lay() error {
	s.opt.Progress("hands: laying out", 0, 0)
	b, err := newBench(s.ctx, s.c, s.opt)
	s.b, s.bare, s.width = b, map[float64]*[2]*Board{}, map[float64]float64{}
	return err
}

// boards gives the boards of a law, both readings.
func (s *solver) boards(l law) *[2]*Board {
	plain := l.avoid < 0
	if k, ok := s.bare[l.growth]; plain && ok {
		return k
	}
	var out [2]*Board
	for _, by := range [2]reading{strict, generous} {
		l.by = by
		out[by] = s.b.board(l)
	}
	if plain {
		s.bare[l.growth] = &out
	}
	return &out
}

func (s *solver) begin(b *Board) diagram.Set { return b.Settle(s.b.start()) }

// goal is the goal by a reading.
func (s *solver) goal(by reading) diagram.Set {
	if by == strict {
		return s.b.region(&s.b.m.Goal, s.b.lat.Within)
	}
	return s.b.region(&s.b.m.Goal, s.b.lat.Touching)
}

// finerMaps is how much finer the maps are asked, mostFiner how often, finally, the lattice
// is halved for one question.
const (
	firstWidth = 0.08
	finerMaps  = 4
	mostFiner  = 1
)

// refine asks every map for the need of a growth at the width, and drops the boards
// if that told anything new.
func (s *solver) refine(growth, width float64) error {
	if w, ok := s.width[growth]; ok && w <= width {
		return nil
	}
	s.width[growth] = width
	more := false
	for i, parts := range s.b.lat.Pairs() {
		need := s.b.m.Needs(parts[0], parts[1], growth)
		before := s.b.lat.Undecided(i, need)
		if before == 0 {
			continue
		}
		if err := s.b.lat.Refine(i, need, width); err != nil {
			return err
		}
		more = more || s.b.lat.Undecided(i, need) != before
	}
	if more {
		s.outdated()
	}
	for i := range s.b.lat.Pairs() {
		if err := s.refineReached(i, growth, width); err != nil {
			return err
		}
	}
	return nil
}

// outdated drops what was laid out before the maps told more.
func (s *solver) outdated() {
	s.b.boards = nil
	s.bare = map[float64]*[2]*Board{}
}

// A map of three coordinates or more is asked where the generous reading comes, from
// coarse on, as long as no more than mostReached of the cells there are open.
const (
	firstReached = 2.56 // mm
	mostReached  = 4000
)

// refineReached asks such a map.
func (s *solver) refineReached(i int, growth, width float64) error {
	if !s.b.lat.AlongWays(i) {
		return nil
	}
	parts := s.b.lat.Pairs()[i]
	need := s.b.m.Needs(parts[0], parts[1], growth)
	for at := firstReached; ; at = max(at/finerMaps, width) {
		b := s.boards(law{growth: growth, avoid: -1})[generous]
		reach := b.Reach(s.begin(b))
		if err := s.b.trouble(); err != nil {
			return err
		}
		open, err := s.b.lat.RefineIn(i, need, at, reach)
		if err != nil {
			return err
		}
		s.outdated()
		if at <= width || open > mostReached || open == 0 {
			return nil
		}
	}
}

// openings asks the three openings. What is asked of the box as drawn comes before the
// looser and the tighter one, whose ways are led meanwhile.
func (s *solver) openings() error {
	all := []asked{
		{&s.r.Drawn, 0, "does it open as drawn"},
		{&s.r.Tight, s.r.Asked[1], "does it open at the tight end"},
		{&s.r.Loose, s.r.Asked[0], "does it open at the loose end"},
	}
	for i := len(all) - 1; i >= 0 && s.opt.Begin != nil; i-- { // that of the loose end takes longest
		if err := s.foresee(law{growth: all[i].g, avoid: -1}); err != nil {
			return err
		}
	}
	for i := range all {
		if err := s.opening(&all[i]); err != nil {
			return err
		}
		if i == 0 && s.r.Drawn.Opens == motion.Yes {
			if err := s.drawn(); err != nil {
				return err
			}
		}
	}
	s.others()
	return s.b.trouble()
}

// drawn asks what is asked of the box as drawn, where it opens.
func (s *solver) drawn() error {
	s.drawnAt = s.halved + 1
	if err := s.way(); err != nil {
		return err
	}
	return s.traps()
}

// again asks of the box as drawn what could not be asked or told before others were asked.
func (s *solver) again() error {
	if s.drawnAt == s.halved+1 || s.drawnAt > 0 && s.r.Trap.Exists != motion.Undecided && s.r.Reset.Possible != motion.Undecided {
		return nil
	}
	s.r.Noes = slices.DeleteFunc(s.r.Noes, func(n No) bool { return n.fewest })
	return s.drawn()
}

// asked is an opening to be asked.
type asked struct {
	to   *Opening
	g    float64
	what string
}

func (s *solver) opening(o *asked) error {
	s.opt.Progress("hands: "+o.what, 0, 0)
	*o.to = Opening{Growth: o.g, Put: motion.Undecided}
	a, w, err := s.decide(law{growth: o.g, avoid: -1})
	if err != nil {
		return err
	}
	o.to.Opens = a
	switch a {
	case motion.Yes:
		o.to.Moves, o.to.Way = len(w.Moves), w
	case motion.No:
		s.no(No{What: o.what, Growth: o.g, Avoid: -1})
	case motion.Undecided:
	}
	s.beginning(o.to)
	return nil
}

// foresee looks for a way that decide will ask about, so that it is led meanwhile.
func (s *solver) foresee(l law) error {
	if err := s.refine(l.growth, firstWidth); err != nil {
		return err
	}
	a, w, err := s.look(l)
	if err != nil {
		return err
	}
	if a == motion.Yes {
		s.seen[l.growth] = w
		s.opt.Begin(w)
	}
	return nil
}

// others tries, where it is open whether it opens, the ways known from other growths.
func (s *solver) others() {
	all := [3]*Opening{&s.r.Drawn, &s.r.Tight, &s.r.Loose}
	for _, o := range all {
		for _, from := range all {
			if o.Opens != motion.Undecided || from.Way == nil {
				continue
			}
			k := *from.Way
			k.Growth = o.Growth
			if s.exists(&k, -1) == motion.Yes {
				o.Opens, o.Moves, o.Way, o.Start = motion.Yes, len(k.Moves), &k, motion.Yes
			}
		}
	}
}

// beginning tells whether the start is free, and whether the box opens by being
// put down.
func (s *solver) beginning(o *Opening) {
	bs := s.boards(law{growth: o.Growth, avoid: -1})
	sp := s.b.sp
	sure, may := s.begin(bs[strict]), s.begin(bs[generous])
	switch {
	case sure != diagram.Empty:
		o.Start = motion.Yes
	case may == diagram.Empty:
		o.Start = motion.No
	}
	switch {
	case !sp.Meets(may, s.goal(generous)):
		o.Put = motion.No
	case sure != diagram.Empty && sp.Within(sure, s.goal(strict)) && sp.Within(may, s.goal(generous)):
		o.Put = motion.Yes
	}
}

func (s *solver) way() error {
	if s.r.Drawn.Opens == motion.Yes {
		s.r.Way = s.r.Drawn.Way
		s.least(law{growth: 0, avoid: -1}, s.r.Way)
		s.fewest()
	}
	return s.b.trouble()
}

// fewest has it followed that the way drawn takes no fewer moves, where that is said.
func (s *solver) fewest() {
	w := s.r.Way
	if s.opt.Fewest == nil || w.Least < 1 {
		return
	}
	g := s.boards(law{growth: 0, avoid: -1})[generous]
	c := s.closure(&Closure{Board: g, Avoid: -1, Start: s.b.start(), Goal: s.goal(generous)})
	shown, detail, err := s.opt.Fewest(c, w.Least)
	n := No{What: fmt.Sprintf("does it open in fewer than %d moves", shown), Avoid: -1, Detail: detail, Err: err, fewest: true}
	if err != nil {
		n.What = fmt.Sprintf("does it open in fewer than %d moves", w.Least)
	}
	s.r.Noes = append(s.r.Noes, n)
}

// closure fills in of what board and levels it is.
func (s *solver) closure(c *Closure) *Closure {
	c.Parts = s.b.lat.Pairs()
	for l := range s.b.sp.Levels() {
		t := s.b.lat.Travel(l)
		if t >= len(s.b.m.Travels) {
			t = -1
		}
		c.Travels = append(c.Travels, t)
	}
	for i := range s.b.m.Tools {
		c.Tools = append(c.Tools, s.b.tool(i))
	}
	return c
}

// least tells of a way how many moves any takes.
func (s *solver) least(l law, w *Way) {
	g := s.boards(l)[generous]
	if least, ok := g.Layers(s.begin(g), s.goal(generous)); ok {
		w.Least = len(least) - 1
	}
	w.Fewest = w.Least == len(w.Moves)
}

func (s *solver) steps() error {
	for i := range s.b.m.Steps {
		s.opt.Progress("hands: steps", i, len(s.b.m.Steps))
		var st Step
		for _, k := range []struct {
			to *motion.Answer
			g  float64
		}{{&st.Unavoidable, 0}, {&st.Loose, s.r.Asked[0]}} {
			if s.bound(i, k.g) {
				*k.to = motion.Yes
				continue
			}
			l := law{growth: k.g, avoid: i}
			a, w, err := s.decide(l)
			if err != nil {
				return err
			}
			if a != motion.Yes {
				s.b.boards = s.kept()
			}
			*k.to = not(a)
			if a == motion.No {
				s.no(No{What: "can step " + s.b.m.Steps[i].Name + " be avoided", Growth: k.g, Avoid: i})
			}
			if a == motion.Yes && st.Shortcut == nil {
				st.Shortcut = w
				s.least(l, w)
			}
		}
		s.r.Steps = append(s.r.Steps, st)
	}
	return s.b.trouble()
}

// no notes an answer "no", unless hands that reach everything give it too.
func (s *solver) no(n No) {
	if r := s.opt.Bound; r != nil && n.Avoid < 0 {
		for _, o := range [3]motion.Opening{r.Drawn, r.Tight, r.Loose} {
			if o.Growth == n.Growth && o.Opens == motion.No {
				return
			}
		}
	}
	if n.Err = ErrNotFollowed; s.opt.Closed != nil {
		n.Detail, n.Err = s.opt.Closed(s.closure(s.shut))
	}
	s.r.Noes = append(s.r.Noes, n)
}

// bound tells whether hands that reach everything surely cannot avoid step i at the
// growth.
func (s *solver) bound(i int, growth float64) bool {
	r := s.opt.Bound
	if r == nil || i >= len(r.Steps) || r.Steps[i].Unavoidable != motion.Yes {
		return false
	}
	l := r.Steps[i].Bypass
	return growth >= 0 || l == nil || l.Below || l.Hi <= growth
}

// kept are the boards without conditions.
func (s *solver) kept() []*Board {
	var out []*Board
	for _, b := range s.b.boards {
		for _, k := range s.bare {
			if b == k[strict] || b == k[generous] {
				out = append(out, b)
			}
		}
	}
	return out
}

func not(a motion.Answer) motion.Answer {
	switch a {
	case motion.Yes:
		return motion.No
	case motion.No:
		return motion.Yes
	default:
		return motion.Undecided
	}
}
