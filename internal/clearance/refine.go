package clearance

import (
	"context"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"feint/internal/geom"
)

// pair is a pair of nodes that may come near in a cell, with the direction that
// last kept them apart and a lower bound of their distance over the cell.
type pair struct {
	a, b int32
	n    geom.Vec
	lb   float64
}

// worker refines cells one after the other.
type worker struct {
	m     *Map
	ctx   context.Context
	needs []float64 // rising
	width float64

	fwd, inv sweep
	a, b     mover
	stack    []pair
	floor    float64            // of the pairs dropped so far on the way to the cell
	lesser   *mover             // the part that moves less in the cell, as seen from the other
	reach    float64            // by how much at most
	lo, hi   [MaxCoords]float64 // the cell
	memoA    memo
	memoB    memo
	star     starred
	shoal    shallows
	wide     bool                                  // of the task
	room     int                                   // of the stack, for gather
	putOff   int                                   // the level at which cells are put off as jobs; 0: never
	jobs     []job                                 // put off
	inherits bool                                  // the thresholds were asked before a part changed
	blocked  bool                                  // only what is blocked is looked for
	where    func(lo, hi *[MaxCoords]float64) bool // of the cells that matter; nil: all
	divided  int                                   // cells
}

// A map of three coordinates or more is roomy: where the clearance hardly changes in it
// cells may be longer than they may be in other maps, up to longest.
const (
	roomyCoords = 3
	longest     = 0.5 // mm of motion to either side
)

func (m *Map) roomy() bool { return len(m.chain.coords) >= roomyCoords }

func (m *Map) newWorker(ctx context.Context, needs []float64, width float64) *worker {
	w := &worker{m: m, ctx: ctx, needs: needs, width: width, room: math.MaxInt}
	w.a = mover{s: &w.fwd, f: m.fa, o: m.fb}
	w.b = mover{s: &w.inv, f: m.fb, o: m.fa}
	w.memoA.grow(len(m.fa.nodes))
	w.memoB.grow(len(m.fb.nodes))
	return w
}

func (m *Map) refine(ctx context.Context, needs []float64, width float64, blocked bool) error {
	w := m.newWorker(ctx, needs, width)
	w.blocked = blocked
	w.inherits = len(needs) == 1 && has(m.inherited, needs[0], width)
	return w.all()
}

// all does what is left of the whole map.
func (w *worker) all() error {
	m := w.m
	if w.mark(&m.root, whole()) {
		w.putOff = spawnLevel
		w.stack = append(w.stack, pair{a: m.fa.root, b: m.fb.root})
		w.visit(task{c: &m.root, to: 1, floor: math.Inf(1)})
		w.spawn()
	}
	m.root.digestAll()
	return w.ctx.Err()
}

// spawnLevel is after how many divisions the halves of the map are handed to
// several workers: what becomes of a cell depends only on what it is handed, so
// their number and order do not show.
const spawnLevel = 5

// job is a cell to be visited with the near pairs handed down to it.
type job struct {
	task
	pairs []pair
}

// spawn does the jobs put off, on all processors.
func (w *worker) spawn() {
	var next atomic.Int64
	var wg sync.WaitGroup
	var divided atomic.Int64
	for range min(runtime.GOMAXPROCS(0), len(w.jobs)) {
		wg.Go(func() {
			o := w.m.newWorker(w.ctx, w.needs, w.width)
			o.blocked, o.where = w.blocked, w.where
			for {
				i := int(next.Add(1)) - 1
				if i >= len(w.jobs) {
					divided.Add(int64(o.divided))
					return
				}
				j := &w.jobs[i]
				o.stack = append(o.stack[:0], j.pairs...)
				j.from, j.to = 0, len(o.stack)
				o.visit(j.task)
			}
		})
	}
	wg.Wait()
	w.divided += int(divided.Load())
}

// place sets the sweeps to the cell d.
func (w *worker) place(d dyadic) {
	n := len(w.m.chain.coords)
	for i := range n {
		w.lo[i], w.hi[i] = d.limits(i, &w.m.chain.coords[i])
	}
	w.box(&w.fwd, &w.inv, &w.lo, &w.hi)
	w.lesser, w.reach = &w.a, bodyReach(&w.a)
	if !w.m.roomy() {
		return
	}
	if r := bodyReach(&w.b); r < w.reach {
		w.lesser, w.reach = &w.b, r
	}
}

// box sets sweeps to a box of coordinates; inv may be nil.
func (w *worker) box(fwd, inv *sweep, lo, hi *[MaxCoords]float64) {
	var q, h [MaxCoords]float64
	n := len(w.m.chain.coords)
	for i := range n {
		q[i] = (lo[i] + hi[i]) / 2
		h[i] = max(hi[i]-q[i], q[i]-lo[i]) * (1 + 0x1p-50)
	}
	fwd.set(w.m.chain, q[:n], h[:n])
	if inv != nil {
		inv.set(w.m.back, q[:n], h[:n])
	}
}

// bodyReach bounds the displacement of every point of a part, as seen from the other,
// over the cell. The clearance changes by no more, whichever of the two it is: a small
// knob that turns in a long box moves less than the box does as seen from the knob.
func bodyReach(m *mover) float64 {
	f := m.f
	if f.round {
		all, _ := m.s.reach(geom.Vec{X: f.nodes[f.root].box[1]}, 0)
		return all
	}
	most := 0.0
	for i := range f.balls {
		all, _ := m.s.reach(m.s.pose.Apply(f.balls[i].c), f.balls[i].r)
		most = max(most, all)
	}
	return most
}

// open lists the thresholds that the bounds leave undecided.
func (w *worker) open(c *cell) []float64 {
	lo, hi := 0, len(w.needs)
	for lo < hi && w.needs[lo] <= c.lower {
		lo++
	}
	for hi > lo && w.needs[hi-1] > c.upper {
		hi--
	}
	return w.needs[lo:hi]
}

// settled tells whether a leaf needs no more work, its reach left aside.
func (w *worker) settled(c *cell) bool {
	return c.upper-c.lower <= w.width || len(w.open(c)) == 0
}

// small tells whether the cell moves nothing by more than half the width.
func (w *worker) small(c *cell) bool { return w.reach <= w.width/2 && c.proof != nil }

// mark notes which cells have leaves under them that need work.
func (w *worker) mark(c *cell, d dyadic) bool {
	switch {
	case !w.matters(d):
		c.todo = false
	case c.kids != nil:
		l, r := w.mark(&c.kids[0], d.half(c.axis, 0)), w.mark(&c.kids[1], d.half(c.axis, 1))
		c.todo = l || r
	default:
		// a small cell too: it may not have been tried at these thresholds, or only as
		// part of a larger one
		c.todo = !w.settled(c) && (c.fresh || !w.inherits)
	}
	return c.todo
}

// matters tells whether the cell is one of those asked.
func (w *worker) matters(d dyadic) bool {
	if w.where == nil {
		return true
	}
	var lo, hi [MaxCoords]float64
	for i := range w.m.chain.coords {
		lo[i], hi[i] = d.limits(i, &w.m.chain.coords[i])
	}
	return w.where(&lo, &hi)
}

// task is a cell to be refined: with the near pairs stack[from:to], the lower
// bound floor of all pairs dropped on the way, and what its clearance hung on
// in its parent.
type task struct {
	c        *cell
	d        dyadic
	from, to int
	floor    float64
	crit     critical
	wit      critical  // the best point so far of one part within the other
	blind    int       // divisions on the strength of crit alone
	weak     pieceOf   // that could not be shown shallow the last time
	wide     bool      // the pairs are all that hinder a shift out of the deepest threshold, not only those that may cross
	shown    []pieceOf // nodes shown no deeper than shownAt
	shownAt  float64
	fathom   int // looks in vain since the deepest point was searched for
}

// visit refines a cell and all under it.
func (w *worker) visit(t task) {
	if !t.c.todo || w.ctx.Err() != nil {
		return
	}
	w.place(t.d)
	w.wide = t.wide
	base := len(w.stack)
	if t.c.kids != nil {
		if !w.rough() {
			w.floor = t.floor
			w.star.on = false // it holds for the cell that was looked at last
			w.gather(t.from, t.to, w.keep(t.c))
			t.from, t.floor = base, w.floor
		}
		t.crit, t.wit = critical{}, critical{}
	} else {
		axis := w.settle(&t, base)
		if axis < 0 {
			w.stack = w.stack[:base]
			t.c.todo = false
			return
		}
		kid := cell{lower: t.c.lower, upper: t.c.upper, proof: t.c.proof, todo: true, fresh: t.c.fresh}
		t.c.axis, t.c.kids = int8(axis), &[2]cell{kid, kid}
		w.divided++
	}
	if t.from == base {
		t.to = len(w.stack)
	}
	var pairs []pair // one copy for both halves
	for k := range t.c.kids {
		kid := t
		kid.c, kid.d = &t.c.kids[k], t.d.half(t.c.axis, uint64(k))
		if !w.matters(kid.d) {
			kid.c.todo = false
			continue
		}
		if w.putOff == 0 || sum(kid.d.n) < w.putOff {
			w.visit(kid)
			continue
		}
		if pairs == nil {
			pairs = slices.Clone(w.stack[t.from:t.to])
		}
		w.jobs = append(w.jobs, job{kid, pairs})
	}
	t.c.todo = w.putOff > 0 // its halves may be jobs yet
	w.stack = w.stack[:base]
}

// keep is the distance up to which pairs matter in the cell and below it.
func (w *worker) keep(c *cell) float64 {
	open := w.open(c)
	if len(open) == 0 {
		return 0
	}
	k := max(w.goal(c, open), w.touch())
	if open[0] < 0 && w.wide {
		k = max(k, w.far(open[0]))
	}
	return k
}

// touch is the distance from which surfaces count as apart.
func (w *worker) touch() float64 { return 4 * w.m.slack }

// leeway is by how much more than a threshold a lower bound is tried for, mm, so that
// it can be loosened a little when it is taken over by a map of changed parts.
const leeway = 1e-7

// goal is the lower bound that would settle the cell.
func (w *worker) goal(c *cell, open []float64) float64 {
	g := min(open[len(open)-1]+leeway, c.upper-w.width*(1-1e-6))
	if open[0] < 0 {
		// a lower bound of depth beyond the deepest that is asked would cost the
		// wider lists of all pairs and tell nothing
		g = max(g, open[0]+leeway-w.beyond(open[0]))
	}
	return g
}

// beyond is by how much deeper than the deepest threshold lower bounds are tried
// for, so that where the clearance hardly changes along the border of a threshold a
// long cell will do.
func (w *worker) beyond(need float64) float64 {
	if w.wide {
		return min(w.width, -need/10)
	}
	return w.width
}

// far is the distance up to which pairs hinder a shift out of the depth need.
func (w *worker) far(need float64) float64 { return w.beyond(need) - need + 16*w.m.slack }

// digestAll sets the bounds of all divided cells from their halves.
func (c *cell) digestAll() {
	if c.kids != nil {
		c.kids[0].digestAll()
		c.kids[1].digestAll()
		c.digest()
	}
}
