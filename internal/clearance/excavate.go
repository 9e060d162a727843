package clearance

import (
	"container/heap"
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// excavation is a search, best first, for the deepest point of the surface of
// either part within the other at one pose: of all pieces of surface the one that
// may hold the deepest point is looked at next.
type excavation struct {
	fwd, inv sweep // at rest
	a, b     mover
	open     []lump
	best     float64 // depth of the deepest point seen, 0 if none
	proof    *proof  // that point
	to       float64 // how exactly
	most     float64 // no point is deeper, once the search has ended
}

// lump is a subtree of a form or a piece of one of its triangles.
type lump struct {
	most float64 // no point of it is deeper
	onA  bool
	node int32 // -1 for a piece
	id   int32 // the piece's triangle
	tri  geom.Triangle
	hint int32 // a triangle of the other part near it, -1 for none
}

// newExcavation prepares a search at the middle of the cell, to within to.
func (w *worker) newExcavation(to float64) *excavation {
	e := &excavation{fwd: w.fwd, inv: w.inv, to: to}
	e.fwd.rest()
	e.inv.rest()
	e.a = mover{s: &e.fwd, f: w.m.fa, o: w.m.fb}
	e.b = mover{s: &e.inv, f: w.m.fb, o: w.m.fa}
	return e
}

func (e *excavation) Len() int           { return len(e.open) }
func (e *excavation) Less(i, j int) bool { return e.open[i].most > e.open[j].most }
func (e *excavation) Swap(i, j int)      { e.open[i], e.open[j] = e.open[j], e.open[i] }

// Push adds a lump; see heap.Interface.
func (e *excavation) Push(x any) { e.open = append(e.open, x.(lump)) }

// Pop is the last lump; see heap.Interface.
func (e *excavation) Pop() any {
	p := e.open[len(e.open)-1]
	e.open = e.open[:len(e.open)-1]
	return p
}

func (e *excavation) mover(onA bool) *mover {
	if onA {
		return &e.a
	}
	return &e.b
}

// add takes the subtree n of a part into the search; hint is a triangle of the
// other part that may be near, -1 for none.
func (e *excavation) add(onA bool, n, hint int32) {
	m := e.mover(onA)
	c, r := m.f.sphere(&m.f.nodes[n])
	d, h := m.o.signedFrom(m.s.pose.Apply(c), hint)
	e.push(lump{most: r - d, onA: onA, node: n, hint: h.tri})
}

func (e *excavation) push(p lump) {
	if p.most > e.best+e.to {
		heap.Push(e, p)
	}
}

// run opens at most limit lumps, and none once a point deeper than enough is
// known; it leaves the result in best, proof and most.
func (e *excavation) run(limit int, enough float64) {
	for n := 0; len(e.open) > 0; n++ {
		top := e.open[0]
		if top.most <= e.best+e.to {
			break
		}
		if n >= limit || e.best >= enough {
			e.most = top.most
			return
		}
		heap.Pop(e)
		e.expand(&top)
	}
	e.most = e.best + e.to
}

func (e *excavation) expand(p *lump) {
	if p.node < 0 {
		a, b, _ := p.tri.Halves()
		e.piece(p, a)
		e.piece(p, b)
		return
	}
	f := e.mover(p.onA).f
	nd := &f.nodes[p.node]
	if nd.left >= 0 {
		e.add(p.onA, nd.left, p.hint)
		e.add(p.onA, nd.next, p.hint)
		return
	}
	t := f.triangle(nd.next)
	for k, v := range f.t[nd.next] {
		if !f.body.isBuried(v) {
			e.sample(p.onA, t[k], -1, p.hint)
		}
	}
	e.piece(&lump{onA: p.onA, node: -1, id: nd.next, most: p.most, hint: p.hint}, t)
}

// sample takes note of the depth of a point of the surface, which may be buried
// in its own part if its shell is given, not -1.
func (e *excavation) sample(onA bool, p geom.Vec, shell, hint int32) (float64, hit) {
	m := e.mover(onA)
	d, h := m.o.signedFrom(m.s.pose.Apply(p), hint)
	if -d > e.best && (shell < 0 || !m.f.covered(p, shell)) {
		e.best, e.proof = -d, &proof{onA, p}
	}
	return -d, h
}

// piece looks at the piece t of the lump it is part of.
func (e *excavation) piece(of *lump, t geom.Triangle) {
	m := e.mover(of.onA)
	c := centroid(&t)
	r := math.Sqrt(max(r3.Norm2(r3.Sub(t[0], c)), r3.Norm2(r3.Sub(t[1], c)), r3.Norm2(r3.Sub(t[2], c))))
	shell := int32(-1)
	if len(m.f.roots) > 1 {
		shell = m.f.body.shell[of.id]
	}
	d, h := e.sample(of.onA, c, shell, of.hint)
	most := min(of.most, d+r)
	if most <= e.best+e.to || (shell >= 0 && m.f.sunk(c, r, shell)) {
		return
	}
	placed := geom.Triangle{m.s.pose.Apply(t[0]), m.s.pose.Apply(t[1]), m.s.pose.Apply(t[2])}
	if most = min(most, m.held(&placed, h.tri)); most <= e.best+e.to {
		return
	}
	depth := e.best + e.to
	if d >= 0 && d < depth && m.exits(placed, h, r, depth) {
		return
	}
	e.push(lump{most: most, onA: of.onA, node: -1, id: of.id, tri: t, hint: h.tri})
}

// held is an upper bound of the depth of all points of p: see hugs. The triangles
// are the nearest to the corners, and to the middle.
func (m *mover) held(p *geom.Triangle, middle int32) float64 {
	near := []int32{middle}
	for k := range p {
		if _, h := m.o.signedFrom(p[k], middle); h.tri != middle {
			near = append(near, h.tri)
		}
	}
	return m.hug(p, near)
}

// exits tries to show p no deeper than depth by the ways out from its middle.
func (m *mover) exits(p geom.Triangle, h hit, r, depth float64) bool {
	c := centroid(&p)
	dirs := make([]geom.Vec, 0, 2)
	if h.dist > 0 {
		dirs = append(dirs, r3.Scale(1/h.dist, r3.Sub(h.at, c)))
	}
	dirs = append(dirs, m.o.normal[h.tri])
	near := m.o.within(c, r+depth+1e-6)
	for _, n := range dirs {
		u := r3.Scale(depth, n)
		if m.clears(&p, near, u) && m.outside(r3.Add(p[0], u)) {
			return true
		}
	}
	return false
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
		return c, norm(geom.Vec{X: b[3] - c.X, Y: b[4] - c.Y, Z: b[5] - c.Z})
	}
	z, hz := (b[4]+b[5])/2, (b[5]-b[4])/2
	if b[3] > 1 { // round about the axis
		return geom.Vec{Z: z}, hypot(b[1], hz)
	}
	s, co := math.Sincos(b[2])
	r := (b[0] + b[1]) / 2
	// a corner is off the middle by (b1-b0)/2 along the radius and by no more
	// than its chord round the axis.
	return geom.Vec{X: r * co, Y: r * s, Z: z}, math.Sqrt(hz*hz+math.Pow((b[1]-b[0])/2+2*b[1]*math.Sin(b[3]/2), 2)) * (1 + 1e-12)
}
