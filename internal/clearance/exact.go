package clearance

import (
	"cmp"
	"context"
	"math"
	"slices"
)

// exactTo is how far apart the bounds of At are, mm, before rounding.
const exactTo = 5e-7

// exactSteps bounds the search for the deepest point; it takes some thousands
// for curved surfaces of small facets, and some dozens for flat ones.
const exactSteps = 200000

// exact bounds the clearance at the coordinates q.
func (m *Map) exact(q []float64, steps int) (lower, upper float64) {
	lower, upper, _ = m.posed(q).fixed(steps)
	return lower, upper
}

// Deeper tells whether one part's surface lies deeper than depth, mm, within the other at
// one configuration (see At); it asks no more than that, and the answer "no" may be wrong
// by half the depth asked.
func (m *Map) Deeper(q []float64, depth float64) (bool, error) {
	x, err := m.coordinates(q)
	if err != nil {
		return false, err
	}
	w := m.posed(x)
	e := w.newExcavation(depth / 2)
	e.add(true, m.fa.root, -1)
	e.add(false, m.fb.root, -1)
	e.run(exactSteps, depth)
	return e.best >= depth, nil
}

// posed is a worker at the coordinates q.
func (m *Map) posed(q []float64) *worker {
	w := m.newWorker(context.Background(), nil, 1)
	h := make([]float64, len(q))
	w.fwd.set(m.chain, q, h)
	w.inv.set(m.back, q, h)
	return w
}

// fixed bounds the clearance at the pose of the sweeps, which must not move.
func (w *worker) fixed(steps int) (lower, upper float64, p *proof) {
	all := []pair{{a: w.m.fa.root, b: w.m.fb.root}}
	lower, upper, p, _ = w.distance(all, exactTo, math.Inf(1))
	if _, in := w.enclosed(); upper > w.m.slack && !in {
		return lower - w.m.slack, upper + w.m.slack, p
	}
	e := w.newExcavation(exactTo)
	e.add(true, w.m.fa.root, -1)
	e.add(false, w.m.fb.root, -1)
	e.run(steps, math.Inf(1))
	if e.proof != nil {
		p = e.proof
	}
	return -e.most - w.m.slack, -e.best + w.m.slack, p
}

// distance is the least distance of the pairs at the middle of the cell, by branch
// and bound, to within to; p is nil if none is nearer than cut.
func (w *worker) distance(pairs []pair, to, cut float64) (lower, upper float64, p *proof, near triangles) {
	type open struct {
		a, b int32
		lb   float64
	}
	still := *w
	still.fwd.rest()
	upper = cut
	fa, fb := w.m.fa, w.m.fb
	add := func(s []open, a, b int32) []open {
		return append(s, open{a, b, still.gap(&fa.nodes[a], &fb.nodes[b])})
	}
	var stack []open
	for _, q := range pairs {
		stack = add(stack, q.a, q.b)
	}
	slices.SortFunc(stack, func(x, y open) int { return cmp.Compare(y.lb, x.lb) })
	for len(stack) > 0 && upper > 0 {
		o := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if o.lb >= upper-to {
			continue
		}
		na, nb := &fa.nodes[o.a], &fb.nodes[o.b]
		k := len(stack)
		switch {
		case na.left < 0 && nb.left < 0:
			ta, tb := w.a.placed(na.next), fb.triangle(nb.next)
			if d, x, _ := ta.Distance(&tb); d < upper {
				upper, p, near = d, &proof{true, w.inv.pose.Apply(x)}, triangles{na.next, nb.next}
			}
			continue
		case nb.left < 0 || (na.left >= 0 && na.size > nb.size):
			stack = add(add(stack, na.left, o.b), na.next, o.b)
		default:
			stack = add(add(stack, o.a, nb.left), o.a, nb.next)
		}
		if stack[k].lb < stack[k+1].lb {
			stack[k], stack[k+1] = stack[k+1], stack[k]
		}
	}
	return max(0, upper-to), upper, p, near
}

// triangles is a pair of triangles.
type triangles struct{ a, b int32 }
