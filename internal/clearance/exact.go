package clearance

import (
	"context"
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// exactTo is how far apart the bounds of At are, mm, before rounding.
const exactTo = 5e-7

// exact bounds the clearance at the coordinates q.
func (m *Map) exact(q []float64) (lower, upper float64) {
	w := m.newWorker(context.Background(), nil, 1)
	h := make([]float64, len(q))
	w.fwd.set(m.chain, q, h)
	w.inv.set(m.back, q, h)
	lower, upper, _ = w.fixed()
	return lower, upper
}

// fixed bounds the clearance at the pose of the sweeps, which must not move.
func (w *worker) fixed() (lower, upper float64, p *proof) {
	lower, upper, p = w.distance()
	if _, in := w.enclosed(); upper > w.m.slack && !in {
		return lower - w.m.slack, upper + w.m.slack, p
	}
	e := w.excavate(exactTo)
	if e.proof != nil {
		p = e.proof
	}
	return -max(e.best+e.to, e.least) - w.m.slack, -e.best + w.m.slack, p
}

// excavate finds the deepest point of either surface within the other part at
// the middle pose, to within to.
func (w *worker) excavate(to float64) *excavation {
	fwd, inv := w.fwd, w.inv
	fwd.rest()
	inv.rest()
	e := &excavation{to: to}
	for k, m := range []mover{{&fwd, w.m.fa, w.m.fb}, {&inv, w.m.fb, w.m.fa}} {
		e.mover, e.onA = &m, k == 0
		e.descend(m.f.root)
	}
	return e
}

// distance is the least distance of the surfaces, by branch and bound.
func (w *worker) distance() (lower, upper float64, p *proof) {
	type open struct {
		a, b int32
		lb   float64
	}
	upper = math.Inf(1)
	fa, fb := w.m.fa, w.m.fb
	add := func(s []open, a, b int32) []open { return append(s, open{a, b, w.gap(&fa.nodes[a], &fb.nodes[b])}) }
	stack := add(nil, fa.root, fb.root)
	for len(stack) > 0 && upper > 0 {
		o := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if o.lb >= upper-exactTo {
			continue
		}
		na, nb := &fa.nodes[o.a], &fb.nodes[o.b]
		k := len(stack)
		switch {
		case na.left < 0 && nb.left < 0:
			ta, tb := w.a.placed(na.next), fb.triangle(nb.next)
			if d, x, _ := ta.Distance(&tb); d < upper {
				upper, p = d, &proof{true, w.inv.pose.Apply(x)}
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
	return max(0, upper-exactTo), upper, p
}

// excavation looks for the deepest point of a surface within the other part.
type excavation struct {
	*mover
	onA   bool
	to    float64 // how exactly
	best  float64 // depth of the deepest point seen
	least float64 // no point is deeper than max(best + to, least)
	proof *proof
}

// descend searches the subtree n of the moving form.
func (e *excavation) descend(n int32) {
	nd := &e.f.nodes[n]
	c, r := e.f.sphere(nd)
	if d, _ := e.o.signed(e.s.pose.Apply(c)); r-d <= e.best {
		return
	}
	if nd.left >= 0 {
		e.descend(nd.left)
		e.descend(nd.next)
		return
	}
	t := e.f.triangle(nd.next)
	for k, v := range e.f.t[nd.next] {
		if e.f.body.buried == nil || !e.f.body.buried[v] {
			e.sample(t[k], -1)
		}
	}
	e.piece(t, e.f.body.shell[nd.next], 40)
}

// sample takes note of a point of the surface, not buried if its shell is given as -1.
func (e *excavation) sample(p geom.Vec, shell int32) float64 {
	d, _ := e.o.signed(e.s.pose.Apply(p))
	if -d > e.best && (shell < 0 || !e.f.covered(p, shell)) {
		e.best, e.proof = -d, &proof{e.onA, p}
	}
	return -d
}

// piece searches a piece of a triangle, in the moving form's frame.
func (e *excavation) piece(t geom.Triangle, shell int32, level int) {
	c := centroid(&t)
	r := math.Sqrt(max(r3.Norm2(r3.Sub(t[0], c)), r3.Norm2(r3.Sub(t[1], c)), r3.Norm2(r3.Sub(t[2], c))))
	own := shell
	if len(e.f.roots) == 1 {
		own = -1
	}
	d := e.sample(c, own)
	if d+r <= max(e.best+e.to, e.least) {
		return
	}
	if own >= 0 && e.f.sunk(c, r, shell) {
		return
	}
	depth := max(e.best+e.to, e.least)
	p := geom.Triangle{e.s.pose.Apply(t[0]), e.s.pose.Apply(t[1]), e.s.pose.Apply(t[2])}
	if d < depth && e.shallow(p, e.o.within(e.s.pose.Apply(c), r+depth+e.to), depth, nil, 0) {
		return
	}
	if level == 0 {
		e.least = max(e.least, d+r)
		return
	}
	a, b := halves(&t)
	e.piece(a, shell, level-1)
	e.piece(b, shell, level-1)
}

// sunk tells whether the ball of radius r about p lies within another shell than s.
func (f *form) sunk(p geom.Vec, r float64, s int32) bool {
	for o := range f.roots {
		if int32(o) != s && f.winding(p, int32(o)) > 0 && f.nearest(p, f.roots[o], math.Inf(1)).dist > r {
			return true
		}
	}
	return false
}

// within lists the triangles of f that come within r of p.
func (f *form) within(p geom.Vec, r float64) []int32 {
	var out []int32
	k := f.key(p)
	stack := []int32{f.root}
	for len(stack) > 0 {
		n := &f.nodes[stack[len(stack)-1]]
		stack = stack[:len(stack)-1]
		switch {
		case f.pointGap2(k, &n.box) > r*r:
		case n.left < 0:
			out = append(out, n.next)
		default:
			stack = append(stack, n.left, n.next)
		}
	}
	return out
}

// sphere is a ball around the box of n, in cartesian coordinates of the form.
func (f *form) sphere(n *node) (geom.Vec, float64) {
	b := &n.box
	if !f.round {
		c := geom.Vec{X: (b[0] + b[3]) / 2, Y: (b[1] + b[4]) / 2, Z: (b[2] + b[5]) / 2}
		return c, r3.Norm(geom.Vec{X: b[3] - c.X, Y: b[4] - c.Y, Z: b[5] - c.Z})
	}
	z, hz := (b[4]+b[5])/2, (b[5]-b[4])/2
	if b[3] > 1 { // round about the axis
		return geom.Vec{Z: z}, math.Hypot(b[1], hz)
	}
	s, co := math.Sincos(b[2])
	r := (b[0] + b[1]) / 2
	// a corner is off the middle by (b1-b0)/2 along the radius and by no more
	// than its chord round the axis.
	return geom.Vec{X: r * co, Y: r * s, Z: z}, math.Sqrt(hz*hz+math.Pow((b[1]-b[0])/2+2*b[1]*math.Sin(b[3]/2), 2)) * (1 + 1e-12)
}
