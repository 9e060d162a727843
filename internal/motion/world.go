package motion

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"feint/internal/diagram"
	"feint/internal/mechanism"
)

// world is a mechanism with its maps, laid out on the levels of a space.
type world struct {
	ctx   context.Context
	m     *mechanism.Mechanism
	opt   Options
	axes  []axis // by travel
	pairs []*pair
	err   error

	sp     *diagram.Space
	tidied int              // edges left by the last tidying
	level  []int            // by travel
	travel []int            // by level
	movers []int            // the parts that travel
	moves  []diagram.Levels // by mover
	start  diagram.Set      // the units that the start touches
	goal   [2]diagram.Set   // by reading
	free   map[freeKey]diagram.Set
	fronts map[frontKey]fronts // of boards that were asked for their layers
	certs  []Certificate       // of the growths asked
	past   []Certificate       // of the limits beyond them
	sides  []Certificate       // of limits that every way passes
	rungs  *Ladder             // of the way told; may be nil
	made   int                 // nodes of spaces given up
}

// frontKey names a board by what is free, and the goal.
type frontKey struct{ free, goal diagram.Set }

// fronts are the layers of a board, and whether the last meets the goal.
type fronts struct {
	layers []diagram.Set
	ok     bool
}

type freeKey struct {
	g    float64
	play bool
	by   reading
}

// newWorld reads the maps and lays the travels out in the order of their number.
func newWorld(ctx context.Context, m *mechanism.Mechanism, maps []PairMap, o Options) (*world, error) {
	w := &world{ctx: ctx, m: m, opt: o}
	if len(m.Start) != len(m.Travels) {
		return nil, fmt.Errorf("motion: %d start values for %d travels", len(m.Start), len(m.Travels))
	}
	for t := range m.Travels {
		a, err := travelAxis(m, t)
		if err != nil {
			return nil, err
		}
		w.axes = append(w.axes, a)
	}
	for p := range m.Parts {
		if len(m.Parts[p].Travels) > 0 {
			w.movers = append(w.movers, p)
		}
	}
	for _, pm := range maps {
		p := newPair(pm)
		if err := p.check(w); err != nil {
			return nil, err
		}
		w.pairs = append(w.pairs, p)
	}
	w.guides()
	return w, w.layOut(upwards(len(m.Travels)))
}

// guides notes which pairs guide each other.
func (w *world) guides() {
	for _, p := range w.pairs {
		for _, play := range w.opt.Play {
			p.guide = p.guide || play.guides(p.a, p.b)
		}
	}
}

func upwards(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// layOut gives the travels their levels, top first, in a new space.
func (w *world) layOut(order []int) error {
	levels := make([]diagram.Level, len(order))
	w.level, w.travel = make([]int, len(order)), slices.Clone(order)
	for l, t := range order {
		w.level[t] = l
		levels[l] = diagram.Level{Size: w.axes[t].size, Cyclic: w.axes[t].cyclic}
	}
	if w.sp != nil {
		w.made += w.sp.Made()
	}
	var err error
	if w.sp, err = diagram.New(w.ctx, levels, diagram.Options{}); err != nil {
		return err
	}
	w.moves = w.moves[:0]
	for _, p := range w.movers {
		w.moves = append(w.moves, w.levels(w.m.Parts[p].Travels))
	}
	w.forget()
	w.start = diagram.All
	for t := range w.axes {
		w.start = w.sp.And(w.start, w.runs(t, w.m.Start[t], w.m.Start[t], w.axes[t].touching))
	}
	w.goal[strict] = w.region(&w.m.Goal, w.reachable)
	w.goal[generous] = w.region(&w.m.Goal, w.touching)
	return w.sp.Err()
}

func (w *world) levels(travels []int) diagram.Levels {
	var m diagram.Levels
	for _, t := range travels {
		m |= diagram.LevelsOf(w.level[t])
	}
	return m
}

// forget drops every set that comes from the maps.
func (w *world) forget() {
	for _, p := range w.pairs {
		p.forget()
	}
	w.free, w.fronts = map[freeKey]diagram.Set{}, map[frontKey]fronts{}
}

// layers are those of Board.Layers from the start, kept as long as the space keeps
// its sets. They must not be written to.
func (w *world) layers(free diagram.Set, by reading) ([]diagram.Set, bool) {
	key := frontKey{free, w.goal[by]}
	f, ok := w.fronts[key]
	if !ok {
		f.layers, f.ok = w.board(free).Layers(w.start, w.goal[by])
		w.fronts[key] = f
	}
	return f.layers, f.ok
}

func (w *world) fail(err error) {
	if w.err == nil {
		w.err = err
	}
}

// trouble is the first thing that makes the sets meaningless.
func (w *world) trouble() error { return cmp.Or(w.err, w.sp.Err()) }

func (w *world) runs(t int, lo, hi float64, round func(lo, hi float64) diagram.Run) diagram.Set {
	return w.sp.Runs(w.level[t], w.axes[t].bound(lo, hi, round)...)
}

// rounding makes one bound of a region a set.
type rounding func(b mechanism.Bound) diagram.Set

// inside holds the units that lie within the bound.
func (w *world) inside(b mechanism.Bound) diagram.Set {
	return w.runs(b.Travel, b.Lo, b.Hi, w.axes[b.Travel].inner)
}

// touching holds the units that have a value within the bound.
func (w *world) touching(b mechanism.Bound) diagram.Set {
	return w.runs(b.Travel, b.Lo, b.Hi, w.axes[b.Travel].touching)
}

// reachable holds the units within the bound, or, where the bound is narrower
// than a unit, those that have a value in it: settle then picks that value.
func (w *world) reachable(b mechanism.Bound) diagram.Set {
	if x := w.inside(b); x != diagram.Empty {
		return x
	}
	return w.touching(b)
}

func (w *world) region(r *mechanism.Region, by rounding) diagram.Set {
	x := diagram.All
	for _, b := range r.Bounds {
		x = w.sp.And(x, by(b))
	}
	return x
}

// need is the clearance a pair must have at growth g; with play the parts may be
// pushed that much nearer to each other, but not through what guides them.
func (w *world) need(p *pair, g float64, play bool) float64 {
	n := w.m.Needs(p.a, p.b, g)
	if play && !p.guide {
		n = max(n-w.play(p.a, g)-w.play(p.b, g), min(n, -playDepth))
	}
	return n
}

// playDepth is how deep an overlap play is credited with undoing, mm: of two
// parts in guides of the usual gaps (0.2 to 0.3 mm a side, common practice) not
// more is to be had in one direction, as pushing one side free jams the other.
// Off the round numbers in which gaps are drawn.
const playDepth = 0.1943

// play is the sideways play of a part at growth g: what the surfaces of part and
// guide take by growing is lost.
func (w *world) play(part int, g float64) float64 {
	most := 0.0
	for i := range w.opt.Play {
		o := &w.opt.Play[i]
		if o.Part != part {
			continue
		}
		lost := 2 * g
		for _, q := range o.Guides {
			lost = min(lost, w.m.Needs(part, q, g)-w.m.Needs(part, q, 0))
		}
		most = max(most, o.Sideways-lost)
	}
	return most
}

// freeSet is the configurations at which every pair has the clearance that it
// needs.
func (w *world) freeSet(g float64, play bool, by reading) diagram.Set {
	key := freeKey{g, play, by}
	if x, ok := w.free[key]; ok {
		return x
	}
	sets := make([]diagram.Set, 0, len(w.pairs))
	for _, p := range w.pairs {
		sets = append(sets, p.set(w, w.need(p, g, play), by))
	}
	x := w.all(sets)
	w.free[key] = x
	return x
}

// all is the common part of the sets. Sets of deep levels are joined first: the
// nodes made then lie low and are shared.
func (w *world) all(sets []diagram.Set) diagram.Set {
	slices.SortStableFunc(sets, func(a, b diagram.Set) int {
		return cmp.Compare(w.sp.Top(b), w.sp.Top(a))
	})
	x := diagram.All
	for _, y := range sets {
		x = w.sp.And(x, y)
	}
	return x
}

func (w *world) board(free diagram.Set) *Board {
	return &Board{Space: w.sp, Free: free, Moves: w.moves}
}

// refresh reads no map anew but drops the sets that depend on those that were
// refined.
func (w *world) refresh() { w.free = map[freeKey]diagram.Set{} }

const tidyAt = 2 << 20

// tidyEdges is at how many edges it is: a quarter of what a space holds, and 70 MB. Sets of
// sums of travels have few nodes with many edges.
const tidyEdges = 10 << 20

// tidy frees the sets that nothing will ask for again. It must not be called
// while other sets than those in hand are held.
func (w *world) tidy(inHand ...diagram.Set) {
	if w.sp.Live() < tidyAt && w.sp.Edges() < max(tidyEdges, 2*w.tidied) {
		return
	}
	keep := append(inHand, w.start, w.goal[strict], w.goal[generous])
	keep = append(keep, w.rungs.keeps()...)
	for _, c := range slices.Concat(w.certs, w.past, w.sides) {
		keep = append(keep, c.Free, c.Reached, c.Goal)
	}
	w.forget()
	w.sp.Collect(keep...)
	w.tidied = w.sp.Edges()
}
