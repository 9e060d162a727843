package clearance

import (
	"context"
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// pair is a pair of nodes that may come near in a cell, with the direction that
// last kept them apart.
type pair struct {
	a, b int32
	n    geom.Vec
	lb   float64
}

// worker refines cells one after the other.
type worker struct {
	m     *Map
	ctx   context.Context
	needs []float64
	width float64

	fwd, inv sweep
	a, b     mover
	stack    []pair
	reach    float64
}

func (m *Map) newWorker(ctx context.Context, needs []float64, width float64) *worker {
	w := &worker{m: m, ctx: ctx, needs: needs, width: width}
	w.a = mover{s: &w.fwd, f: m.fa, o: m.fb}
	w.b = mover{s: &w.inv, f: m.fb, o: m.fa}
	return w
}

func (m *Map) refine(ctx context.Context, needs []float64, width float64) error {
	w := m.newWorker(ctx, needs, width)
	w.stack = append(w.stack, pair{a: m.fa.root, b: m.fb.root})
	w.visit(&m.root, whole(), 0, 1, math.Inf(1))
	return ctx.Err()
}

// place sets the sweeps to the cell d.
func (w *worker) place(d dyadic) {
	var q, h [MaxCoords]float64
	n := len(w.m.chain.coords)
	for i := range n {
		lo, hi := d.limits(i, &w.m.chain.coords[i])
		q[i] = (lo + hi) / 2
		h[i] = max(hi-q[i], q[i]-lo) * (1 + 0x1p-50)
	}
	w.fwd.set(w.m.chain, q[:n], h[:n])
	w.inv.set(w.m.back, q[:n], h[:n])
	w.reach = w.bodyReach()
}

// bodyReach bounds the displacement of every point of a over the cell.
func (w *worker) bodyReach() float64 {
	f := w.m.fa
	b := &f.nodes[f.root].box
	if f.round {
		all, _ := w.fwd.reach(geom.Vec{X: b[1]}, 0)
		return all
	}
	c := geom.Vec{X: (b[0] + b[3]) / 2, Y: (b[1] + b[4]) / 2, Z: (b[2] + b[5]) / 2}
	all, _ := w.fwd.reach(w.fwd.pose.Apply(c), r3.Norm(geom.Vec{X: b[3] - c.X, Y: b[4] - c.Y, Z: b[5] - c.Z}))
	return all
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
	return len(w.open(c)) == 0 || c.upper-c.lower <= w.width
}

// pending tells whether any leaf under c needs work.
func (w *worker) pending(c *cell, d dyadic) bool {
	if c.kids != nil {
		return w.pending(&c.kids[0], d.half(c.axis, 0)) || w.pending(&c.kids[1], d.half(c.axis, 1))
	}
	if w.settled(c) {
		return false
	}
	w.place(d)
	return w.reach > w.width/2 || c.proof == nil
}

// visit refines the cell c, handing down the near pairs stack[from:to]; floor is
// a lower bound of the distance of all pairs that were dropped on the way.
func (w *worker) visit(c *cell, d dyadic, from, to int, floor float64) {
	if w.ctx.Err() != nil || !w.pending(c, d) {
		return
	}
	w.place(d)
	open := w.open(c)
	goal := min(open[len(open)-1], c.upper-w.width)
	keep := max(goal, 0)
	if open[0] < 0 {
		keep = max(keep, -open[0]+1e-6)
	}
	base := len(w.stack)
	floor, fine := w.gather(from, to, keep, floor)
	top := len(w.stack)
	if c.kids == nil {
		axis := w.settle(c, w.stack[base:top], floor, fine)
		if axis < 0 {
			w.stack = w.stack[:base]
			return
		}
		kid := cell{lower: c.lower, upper: c.upper, proof: c.proof}
		c.axis, c.kids = int8(axis), &[2]cell{kid, kid}
	}
	for k := range c.kids {
		w.visit(&c.kids[k], d.half(c.axis, uint64(k)), base, top, floor)
	}
	c.digest()
	w.stack = w.stack[:base]
}

// gap is a lower bound of the distance of two nodes over the cell.
func (w *worker) gap(a, b *node) float64 {
	s := &w.fwd
	if s.way == coaxial {
		return math.Sqrt(gap2(&a.box, &b.box, s.z, s.t, s.hz, s.ht))
	}
	c := geom.Vec{X: (a.box[0] + a.box[3]) / 2, Y: (a.box[1] + a.box[4]) / 2, Z: (a.box[2] + a.box[5]) / 2}
	e := geom.Vec{X: a.box[3] - c.X, Y: a.box[4] - c.Y, Z: a.box[5] - c.Z}
	x := s.pose.Apply(c)
	var h geom.Vec
	if s.way == slides {
		h = e
		for i := range s.n {
			h = r3.Add(h, r3.Scale(s.h[i], abs(s.m[i])))
		}
	} else {
		h = geom.Vec{X: r3.Dot(abs(s.pose.R[0]), e), Y: r3.Dot(abs(s.pose.R[1]), e), Z: r3.Dot(abs(s.pose.R[2]), e)}
	}
	dx := max(0, math.Abs(x.X-(b.box[0]+b.box[3])/2)-h.X-(b.box[3]-b.box[0])/2)
	dy := max(0, math.Abs(x.Y-(b.box[1]+b.box[4])/2)-h.Y-(b.box[4]-b.box[1])/2)
	dz := max(0, math.Abs(x.Z-(b.box[2]+b.box[5])/2)-h.Z-(b.box[5]-b.box[2])/2)
	d := math.Sqrt(dx*dx + dy*dy + dz*dz)
	if s.way == general && d > 0 {
		all, _ := s.reach(x, r3.Norm(e))
		d = max(0, d-all)
	}
	return d
}

func abs(v geom.Vec) geom.Vec {
	return geom.Vec{X: math.Abs(v.X), Y: math.Abs(v.Y), Z: math.Abs(v.Z)}
}

// gather appends the pairs within keep of each other, opened down to the size of
// the cell; fine is false if some are not yet triangles.
func (w *worker) gather(from, to int, keep, floor float64) (float64, bool) {
	fa, fb := w.m.fa, w.m.fb
	fine := true
	size := 2 * w.reach
	done := len(w.stack)
	for k := from; k < to; k++ {
		w.stack = append(w.stack, w.stack[k])
		for len(w.stack) > done {
			p := w.stack[len(w.stack)-1]
			na, nb := &fa.nodes[p.a], &fb.nodes[p.b]
			if g := w.gap(na, nb) - w.m.slack; g >= keep {
				floor = min(floor, g)
				w.stack = w.stack[:len(w.stack)-1]
				continue
			}
			la, lb := na.left < 0, nb.left < 0
			if (la && lb) || ((la || na.size < size) && (lb || nb.size < size)) {
				fine = fine && la && lb
				w.stack[len(w.stack)-1] = w.stack[done]
				w.stack[done] = p
				done++
				continue
			}
			if lb || (!la && na.size > nb.size) {
				w.stack[len(w.stack)-1].a = na.left
				w.stack = append(w.stack, pair{a: na.next, b: p.b})
			} else {
				w.stack[len(w.stack)-1].b = nb.left
				w.stack = append(w.stack, pair{a: p.a, b: nb.next})
			}
		}
	}
	return floor, fine
}
