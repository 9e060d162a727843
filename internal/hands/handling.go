package hands

import (
	"cmp"
	"context"
	"math"
	"slices"

	"feint/internal/diagram"
	"feint/internal/forces"
	"feint/internal/forces/load"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/motion"

	"gonum.org/v1/gonum/spatial/r3"
)

// Outcome is what a handling brings about.
type Outcome uint8

// The outcomes, in rising order.
const (
	Holds   Outcome = iota // nothing comes loose that has room to move
	Rattles                // something moves, but no step is skipped and the goal is not met
	Skips                  // what it loosens may let a solver leave out a step
	Opens                  // it alone brings the goal about
)

func (o Outcome) String() string {
	return [...]string{"holds", "only rattles", "skips a step", "reaches the goal"}[o]
}

// Loose is one way of one travel that a load sets free.
type Loose struct {
	Travel int
	Up     bool            // rising values
	From   forces.Interval // the level of the load from which it is free, in the load's unit
}

// Row is how the box stands one kind of load.
type Row struct {
	Kind    load.Kind
	Level   float64 // asked, in the load's unit (deg, g, rpm, mJ)
	Outcome Outcome // at most, for all that is not known
	Sure    bool    // the outcome comes about whatever is not known
	Step    int     // which step is skipped, else -1
	// Needs is the level at which the goal would be met: from where it may to where
	// it surely is; infinite where no level does it.
	Needs  forces.Interval
	Margin forces.Interval // Needs less Level: positive is room left
	First  *Loose          // what gives way first, of all that has room to move; nil if nothing can
	Moves  []int           // travels that move at the level, ascending
	Keeps  []int           // travels any one of which, held, keeps the goal unmet at the level, ascending; only where it may be met
}

// Levels are the loads by convention (common practice, no source): a shake of 5 g is
// hard for an adult's arm, 300 rpm is a box spun fast on a table or a string, and a
// knock is that of the box falling 50 mm.
const (
	TiltLevel  = 180.0
	SpinLevel  = 300.0
	KnockFall  = 50.0 // mm
	ShakeLevel = 5.0
)

// ShakeLevels are the shakes that are always asked, g.
func ShakeLevels() []float64 { return []float64{3, 5, 10} }

// Handling asks how the box stands being tilted, shaken, spun and knocked at the
// loosest growth asked, the hand moving nothing.
func Handling(ctx context.Context, c *Case, growth float64, o Options) ([]Row, error) {
	h, err := newHandler(ctx, c, growth, o)
	if err != nil {
		return nil, err
	}
	rows := []Row{h.row(load.Load{Kind: load.Tilt}, TiltLevel)}
	shakes := append(ShakeLevels(), o.Shakes...)
	slices.Sort(shakes)
	for _, g := range slices.Compact(shakes) {
		rows = append(rows, h.row(load.Load{Kind: load.Shake}, g))
	}
	rows = append(rows, h.row(load.Load{Kind: load.Spin}, SpinLevel),
		h.row(load.Load{Kind: load.Knock}, h.box*forces.Gravity*KnockFall))
	if rows[0].Outcome == Opens {
		h.inTurn(&rows[0])
	}
	return rows, h.b.trouble()
}

// newHandler lays out the situations at a growth, nothing moved by the hand.
func newHandler(ctx context.Context, c *Case, growth float64, o Options) (*handler, error) {
	b, err := newBench(ctx, c, o)
	if err != nil {
		return nil, err
	}
	h := &handler{b: b, growth: growth, box: c.Box.Total()}
	for i, parts := range b.lat.Pairs() {
		if err := b.lat.Refine(i, b.m.Needs(parts[0], parts[1], growth), firstWidth); err != nil {
			return nil, err
		}
	}
	for _, by := range [2]reading{strict, generous} {
		h.board[by] = b.board(law{by: by, growth: growth, avoid: -1, drives: func() []Drive { return nil }, idle: true, upset: true})
		h.goal[by] = b.region(&b.m.Goal, [2]func(mechanism.Bound) diagram.Set{b.lat.Within, b.lat.Touching}[by])
	}
	return h, nil
}

type handler struct {
	b      *bench
	growth float64
	box    float64 // kg
	board  [2]*Board
	goal   [2]diagram.Set
}

// row asks one load at one level.
func (h *handler) row(l load.Load, level float64) Row {
	ls := h.loose(l)
	r := Row{Kind: l.Kind, Level: level, Step: -1}
	r.Needs = forces.Interval{Lo: h.least(ls, generous), Hi: h.least(ls, strict)}
	r.Needs.Hi = max(r.Needs.Lo, r.Needs.Hi)
	r.Margin = r.Needs.Sub(forces.Exact(level))
	may := h.reach(ls, level, generous)
	r.Moves = h.moving(may)
	r.First = h.first(ls)
	switch {
	case r.Needs.Lo <= level:
		r.Outcome, r.Sure = Opens, r.Needs.Hi <= level
		r.Keeps = h.keeps(ls, level)
	case h.skips(&r, ls):
		r.Outcome = Skips
	case len(r.Moves) > 0:
		r.Outcome = Rattles
		r.Sure = len(h.moving(h.reach(ls, level, strict))) > 0
	default:
		r.Outcome, r.Sure = Holds, true
	}
	return r
}

// loose lists every way of every travel with the level that sets it free, at the
// start.
func (h *handler) loose(l load.Load) []Loose {
	ts, ok := h.held()
	l.Box = h.box
	var out []Loose
	for t := range ts {
		if !ok[t] {
			continue
		}
		f := h.levels(&ts[t], h.pull(t), l)
		for way, from := range f {
			if !math.IsInf(from.Lo, 1) && !math.IsNaN(from.Lo) {
				out = append(out, Loose{Travel: t, Up: way == 0, From: from})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Loose) int { return cmp.Compare(a.From.Lo, b.From.Lo) })
	return out
}

// held are the travels at the start with what holds them there, magnets too; those of a tool that
// is elsewhere do not count.
func (h *handler) held() (ts []load.Travel, ok []bool) {
	b := h.b
	ts, ok = b.c.Box.Travels(b.m.Start), make([]bool, len(b.m.Travels))
	for t := range ts {
		tr := &b.m.Travels[t]
		s := b.seat[tr.Part]
		ok[t] = s[0] < 0 || s[1] <= 0
		v := b.m.Start[t]
		ts[t].Hold, ts[t].Bias, ts[t].Barrier = holdAt(tr, v), biasAt(tr, v), barrierAt(tr, v)
		ts[t].Bias = ts[t].Bias.Add(h.pull(t).Push)
	}
	return ts, ok
}

// pull is what magnets do to a travel at the start.
func (h *handler) pull(t int) *Pull {
	if h.b.c.Pulls == nil {
		return &Pull{}
	}
	return &h.b.c.Pulls[t]
}

// going is the travel as it is held against one way, 0 forwards and 1 backwards.
func (p *Pull) going(t load.Travel, way int) load.Travel {
	t.Hold, t.Barrier = t.Hold.Add(p.Hold[way]), t.Barrier.Add(p.Part[way])
	return t
}

// barrierAt is the energy to leave the detent or latch at v, mJ: its force over half
// its width, or over its reach, at the most; and to go against the spring.
func barrierAt(t *mechanism.Travel, v float64) forces.Interval {
	most := 0.0
	for _, d := range t.Detents {
		if apart(t, v, d.At) <= d.Width/2 {
			most = max(most, d.Force*d.Width/2)
		}
	}
	for _, l := range t.Latches {
		if apart(t, v, l.At) <= latchWidth(&l) {
			most = max(most, l.Force*l.Reach)
		}
	}
	out := forces.Interval{Lo: most / 2, Hi: most}
	if s := t.Spring; s != nil {
		// from a mm or a degree against it to the whole of its travel
		way := t.Hi - t.Lo
		least := min(way, 1)
		if t.Kind != mechanism.Slide {
			least = min(way, math.Pi/180)
		}
		out = out.Add(forces.Interval{Lo: s.Preload * least, Hi: (s.Preload + s.Rate*way/2) * way})
	}
	return out
}

// levels is from which level on each way of a travel is free.
func (h *handler) levels(t *load.Travel, p *Pull, l load.Load) [2]forces.Interval {
	ways := func(l load.Load) [2]forces.Interval {
		f := t.Under(l)
		if !p.none() { // magnets resist each way by themselves
			one, two := p.going(*t, 0), p.going(*t, 1)
			f = load.Freed{Forward: one.Under(l).Forward, Backward: two.Under(l).Backward}
		}
		return [2]forces.Interval{f.Forward.Margin, f.Backward.Margin}
	}
	switch l.Kind {
	case load.Tilt:
		up := h.b.ups[0]
		l.Down = geom.Vec{X: -up.X, Y: -up.Y, Z: -up.Z}
		out := ways(l)
		for i := range out {
			out[i] = out[i].Scale(180 / math.Pi).Positive()
		}
		return out
	case load.Spin:
		var out [2]forces.Interval
		at := h.middle()
		for i, axis := range []geom.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
			l.Axis = geom.Line{Point: at, Dir: axis}
			for w, m := range ways(l) {
				if i == 0 {
					out[w] = m.Positive()
				} else {
					out[w] = forces.Interval{Lo: min(out[w].Lo, max(0, m.Lo)), Hi: min(out[w].Hi, max(0, m.Hi))}
				}
			}
		}
		return out
	case load.Shake, load.Knock:
	}
	out := ways(l)
	for i := range out {
		out[i] = out[i].Positive()
	}
	return out
}

// middle is the centre of mass of the box at the start.
func (h *handler) middle() geom.Vec {
	var sum geom.Vec
	total := 0.0
	for p := range h.b.m.Parts {
		w := h.b.c.Box.Mass[p].Moved(h.b.m.Pose(p, h.b.m.Start))
		sum = r3.Add(sum, r3.Scale(w.Mass, w.Centre))
		total += w.Mass
	}
	if total == 0 {
		return geom.Vec{}
	}
	return r3.Scale(1/total, sum)
}

// free tells whether a way is free at a level, by a reading.
func (l *Loose) free(level float64, by reading) bool {
	if by == strict {
		return l.From.Hi <= level
	}
	return l.From.Lo <= level
}

// reach is everywhere that what a level sets free can go.
func (h *handler) reach(ls []Loose, level float64, by reading) diagram.Set {
	b, free := h.b, h.board[by].free
	x := b.sp.And(b.start(), free)
	var both, up, down diagram.Levels
	for i := range ls {
		if ls[i].free(level, by) {
			k := diagram.LevelsOf(b.lat.Level(ls[i].Travel))
			if ls[i].Up {
				up |= k
			} else {
				down |= k
			}
		}
	}
	both = up & down
	for fresh := true; fresh && b.sp.Err() == nil; {
		before := x
		x = b.sp.Close(both, x, free)
		for k := range b.sp.Levels() {
			if one := diagram.LevelsOf(k); (up^down)&one != 0 {
				x = b.sp.Drift(k, up&one != 0, x, free)
			}
		}
		fresh = x != before
	}
	return x
}

// least is the least level at which the goal is met; infinite if none does it.
func (h *handler) least(ls []Loose, by reading) float64 {
	var levels []float64
	for i := range ls {
		at := ls[i].From.Lo
		if by == strict {
			at = ls[i].From.Hi
		}
		if !math.IsInf(at, 0) {
			levels = append(levels, at)
		}
	}
	slices.Sort(levels)
	i, _ := slices.BinarySearchFunc(levels, true, func(level float64, _ bool) int {
		if h.b.sp.Meets(h.reach(ls, level, by), h.goal[by]) {
			return 0
		}
		return -1
	})
	if i == len(levels) {
		return math.Inf(1)
	}
	return levels[i]
}

// rattle is how far a travel must be able to go to count as moving, in units of the
// lattice: gaps that guides leave are no motion.
const rattle = 4

// moving lists the travels that take more values within x than a rattle does. Values
// are counted and not their span: on a full turn a start at its seam has both ends.
func (h *handler) moving(x diagram.Set) []int {
	var out []int
	sp := h.b.sp
	n := len(sp.Levels())
	zero := make([]int32, n)
	for t := range h.b.m.Travels {
		k := h.b.lat.Level(t)
		var others diagram.Levels
		for l := range n {
			if l != k {
				others |= diagram.LevelsOf(l)
			}
		}
		units := int32(0)
		for _, r := range sp.Line(sp.Exists(others, x), k, zero) {
			units += r.Hi - r.Lo
		}
		if units > rattle {
			out = append(out, t)
		}
	}
	return out
}

// first is the way that gives way first of those with room to move.
func (h *handler) first(ls []Loose) *Loose {
	for i := range ls {
		l := &ls[i]
		one := []Loose{*l}
		if len(h.moving(h.reach(one, l.From.Lo, generous))) > 0 {
			return l
		}
	}
	return nil
}

// keeps lists the travels that need only be held, one of them, for the level not to
// meet the goal, whatever is in doubt: each is tried.
func (h *handler) keeps(ls []Loose, level float64) []int {
	var out []int
	for t := range h.b.m.Travels {
		rest := slices.DeleteFunc(slices.Clone(ls), func(l Loose) bool { return l.Travel == t })
		if len(rest) < len(ls) && !h.b.sp.Meets(h.reach(rest, level, generous), h.goal[generous]) {
			out = append(out, t)
		}
	}
	return out
}

// skips tells whether a step can be left out with what the level sets free, beside
// what the hand moves and turning lets fall, and not without. It is sure where what is
// surely free, and what the hand moves, do: of such a step first.
func (h *handler) skips(r *Row, ls []Loose) bool {
	m := h.b.m
	var own, byHand []Loose
	for t := range m.Travels {
		tr := &m.Travels[t]
		both := []Loose{{Travel: t, Up: true}, {Travel: t}}
		if tr.Moved != mechanism.ByContact || tr.Spring != nil {
			own = append(own, both...)
		}
		if tr.Moved == mechanism.ByHand && tr.Spring == nil && len(tr.Latches) == 0 {
			byHand = append(byHand, both...)
		}
	}
	for i := range m.Steps {
		if h.avoids(own, r.Level, i, generous) || !h.avoids(append(slices.Clone(own), ls...), r.Level, i, generous) {
			continue
		}
		sure := h.avoids(append(slices.Clone(byHand), ls...), r.Level, i, strict)
		if r.Step < 0 || sure {
			r.Step, r.Sure = i, sure
		}
		if sure {
			break
		}
	}
	return r.Step >= 0
}

// avoids tells by a reading whether the goal may be met without passing step i.
func (h *handler) avoids(ls []Loose, level float64, i int, by reading) bool {
	b := h.b
	round := [2]func(mechanism.Bound) diagram.Set{b.lat.Touching, b.lat.Inside}[by]
	whole := h.board[by].free
	h.board[by].free = b.sp.Minus(whole, b.region(&b.m.Steps[i], round))
	x := h.reach(ls, level, by)
	h.board[by].free = whole
	return b.sp.Meets(x, h.goal[by])
}

// inTurn asks again whether tilting alone opens the box, now with everything that
// is loose falling as far as it can in every attitude, and not stopping on the way.
func (h *handler) inTurn(r *Row) {
	var met [2]bool
	for _, by := range [2]reading{strict, generous} {
		b := h.b.board(law{by: by, growth: h.growth, avoid: -1, idle: true, drives: func() []Drive { return h.b.drives(by, h.b.weighed) }})
		b.Movers = nil
		met[by] = h.b.sp.Meets(b.Reach(b.Settle(h.b.start())), h.goal[by])
	}
	r.Sure = met[strict]
	if !met[generous] {
		r.Outcome, r.Needs = Rattles, forces.Interval{Lo: math.Inf(1), Hi: math.Inf(1)}
		r.Margin = r.Needs
	}
}

// Reaches tells the answer to "does the load reach the goal" as the motion has it.
func (r *Row) Reaches() motion.Answer {
	switch {
	case r.Outcome == Opens && r.Sure:
		return motion.Yes
	case r.Outcome == Opens:
		return motion.Undecided
	default:
		return motion.No
	}
}
