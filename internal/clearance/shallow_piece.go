package clearance

import (
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

func (s *shallows) cluster(q pieceOf) bool {
	f, o := s.form(q.onA), s.form(!q.onA)
	return s.node(f, q, []int32{o.root})
}

// node is piece for a node, unless it has been shown before.
func (s *shallows) node(f *form, q pieceOf, near []int32) bool {
	m := s.marks(q.onA)
	if m.shown[q.node] == m.now {
		return true
	}
	nd := f.nodes[q.node]
	p := patch{onA: q.onA, in: nd, pts: f.points[nd.from:nd.to], tri: -1}
	if nd.left < 0 {
		p.tri = nd.next
	}
	if !s.piece(&p, near) {
		return false
	}
	m.shown[q.node] = m.now
	s.shown = append(s.shown, q)
	return true
}

// piece tells whether no point of p is shown to be deeper, looking at its parts if
// need be; near lists the nodes of the other part that something p is part of may meet.
func (s *shallows) piece(p *patch, near []int32) bool {
	if s.left--; s.left < 0 {
		return false
	}
	near = s.near(p, near)
	f := s.form(p.onA)
	if p.tri < 0 {
		if s.plain(p, near) {
			return true
		}
		return s.node(f, pieceOf{p.onA, p.in.left}, near) && s.node(f, pieceOf{p.onA, p.in.next}, near)
	}
	t := f.triangle(p.tri)
	if p.part {
		t = geom.Triangle{p.pts[0], p.pts[1], p.pts[2]}
	}
	v := s.clears(p, &t, near)
	if v == holds {
		return true
	}
	a, b, long := t.Halves()
	if s.found.kind != nothing && s.found.value < -s.depth || long < s.w.width/4 || (v == loses && long < s.depth) {
		return false
	}
	return s.half(p, a, near) && s.half(p, b, near)
}

func (s *shallows) half(of *patch, t geom.Triangle, near []int32) bool {
	nd := node{box: s.form(of.onA).boxAround(&t), face: of.in.face, left: -1}
	return s.piece(&patch{onA: of.onA, in: nd, pts: t[:], tri: of.tri, part: true}, near)
}

// clears looks for a shift that takes the triangle out of the other part.
func (s *shallows) clears(p *patch, t *geom.Triangle, near []int32) verdict {
	lost := fails
	try := func(n geom.Vec) bool {
		u := r3.Scale(s.depth, n)
		switch s.apart(p, near, n, u) {
		case holds:
			return s.out(p, u)
		case loses:
			lost = loses
		default:
		}
		return false
	}
	if s.n != (geom.Vec{}) && try(s.n) {
		return holds
	}
	n := s.sample(p, t)
	if s.found.kind != nothing && s.found.value < -s.depth {
		return loses
	}
	if n != (geom.Vec{}) && try(n) {
		return holds
	}
	own := p.in.face
	if p.onA {
		own = r3.Scale(-1, s.w.fwd.pose.Turn(own))
	}
	if own != (geom.Vec{}) && try(own) {
		return holds
	}
	return lost
}

// sample looks at some points of the triangle at the middle of the cell, for one
// deeper than what is known; it returns the shortest shift of a that takes the
// deepest of them out.
func (s *shallows) sample(p *patch, t *geom.Triangle) geom.Vec {
	w := s.w
	m := w.mover(p.onA)
	shell := int32(-1)
	if len(m.f.roots) > 1 {
		shell = m.f.body.shell[p.tri]
	}
	least, hint := math.Inf(1), int32(-1)
	var n geom.Vec
	for _, c := range [4]geom.Vec{centroid(t), t[0], t[1], t[2]} {
		x := m.s.pose.Apply(c)
		d, h := m.o.signedFrom(x, hint)
		hint = h.tri
		if d >= least {
			continue
		}
		least, n = d, m.o.normal[h.tri]
		if d < s.found.value {
			w.deeper(&s.found, p.onA, c, false, shell)
		}
	}
	if !p.onA {
		n = r3.Scale(-1, w.fwd.pose.Turn(n))
	}
	return n
}

// near picks the clusters that the piece may meet when shifted, of nodes.
func (s *shallows) near(p *patch, of []int32) []int32 {
	o := s.form(!p.onA)
	var room [64]int32
	stack := append(room[:0], of...)
	out := make([]int32, 0, len(of)+8)
	for len(stack) > 0 {
		n := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		nd := &o.nodes[n]
		switch {
		case s.gap(p, nd) >= s.depth+s.w.touch()+s.w.m.slack:
		case nd.from < nd.to:
			out = append(out, n)
		default:
			stack = append(stack, nd.left, nd.next)
		}
	}
	return out
}

// plain tries the likely direction alone.
func (s *shallows) plain(p *patch, near []int32) bool {
	if s.n == (geom.Vec{}) {
		return false
	}
	u := r3.Scale(s.depth, s.n)
	l := s.w.fwd.look(s.n)
	own := s.reach(p, &l, s.n)
	for _, k := range near {
		if !s.straight(p, k, u, &l, own) {
			return false
		}
	}
	return s.out(p, u)
}

// straight is off along the likely direction alone.
func (s *shallows) straight(p *patch, k int32, u geom.Vec, l *look, own float64) bool {
	touch := s.w.touch()
	if s.along(p, k, s.n, u, l, own) >= touch {
		return true
	}
	nd := &s.form(!p.onA).nodes[k]
	if s.gap(p, nd)-s.depth-s.w.m.slack >= touch {
		return true
	}
	return nd.left >= 0 && s.straight(p, nd.left, u, l, own) && s.straight(p, nd.next, u, l, own)
}

func (s *shallows) gap(p *patch, o *node) float64 {
	if p.onA {
		return s.w.gap(&p.in, o)
	}
	return s.w.gap(o, &p.in)
}

// apart tells whether p keeps off all the clusters near while a is shifted by u,
// along n.
func (s *shallows) apart(p *patch, near []int32, n, u geom.Vec) verdict {
	l := s.w.fwd.look(n)
	own := s.reach(p, &l, n)
	for _, k := range near {
		if v := s.off(p, k, n, u, &l, own); v != holds {
			return v
		}
	}
	return holds
}

// reach is the least of p along n if it moves, else the greatest.
func (s *shallows) reach(p *patch, l *look, n geom.Vec) float64 {
	w := s.w
	if p.onA {
		return l.leastOf(&w.fwd, w.m.fa, &p.in, p.pts)
	}
	return mostOf(n, p.pts)
}

// along is a bound of the distance of p to the node k along n.
func (s *shallows) along(p *patch, k int32, n, u geom.Vec, l *look, own float64) float64 {
	w := s.w
	if p.onA {
		return own - most(n, w.m.fb, &w.m.fb.nodes[k]) + r3.Dot(n, u) - w.m.slack
	}
	return l.least(&w.fwd, w.m.fa, &w.m.fa.nodes[k]) - own + r3.Dot(n, u) - w.m.slack
}

// off tells whether p keeps off the node k; l and own belong to the direction n,
// which is tried first.
func (s *shallows) off(p *patch, k int32, n, u geom.Vec, l *look, own float64) verdict {
	w := s.w
	touch := w.touch()
	nd := &s.form(!p.onA).nodes[k]
	if s.along(p, k, n, u, l, own) >= touch || s.gap(p, nd)-norm(u)-w.m.slack >= touch {
		return holds
	}
	try := func(n geom.Vec) bool {
		l := w.fwd.look(n)
		return s.along(p, k, n, u, &l, s.reach(p, &l, n)) >= touch
	}
	a, b, pa, pb := &p.in, nd, p.pts, s.form(!p.onA).points[nd.from:nd.to]
	if !p.onA {
		a, b, pa, pb = b, a, pb, pa
	}
	if b.face != (geom.Vec{}) && try(b.face) {
		return holds
	}
	if a.face != (geom.Vec{}) && try(r3.Scale(-1, w.fwd.pose.Turn(a.face))) {
		return holds
	}
	d, g := hulls(pa, &w.fwd.pose, u, pb, n, touch)
	if d > 0 && try(g) {
		return holds
	}
	if nd.left < 0 {
		if d > 0 {
			return loses
		}
		return fails
	}
	for _, c := range [2]int32{nd.left, nd.next} {
		if v := s.off(p, c, n, u, l, own); v != holds {
			return v
		}
	}
	return holds
}

// out tells whether a point of p is outside the other part, a shifted by u, at the
// middle of the cell.
func (s *shallows) out(p *patch, u geom.Vec) bool {
	w := s.w
	if p.onA {
		return w.m.fb.outside(r3.Add(w.fwd.pose.Apply(p.pts[0]), u))
	}
	return w.m.fa.outside(w.inv.pose.Apply(r3.Sub(p.pts[0], u)))
}
