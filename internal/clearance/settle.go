package clearance

import (
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// critical is the pair or the witness on which the clearance of a cell hangs:
// a point, where the middle pose has it, and the direction of its loss.
type critical struct {
	x, n geom.Vec
	ok   bool
}

// settle tightens the bounds of the leaf c from its near pairs; it returns the
// axis to divide it along, or -1 if it is done.
func (w *worker) settle(c *cell, near []pair, floor float64, fine bool) int {
	if w.fwd.n == 0 {
		c.lower, c.upper, c.proof = w.fixed()
		return -1
	}
	if c.proof != nil {
		w.tryProof(c, c.proof)
	}
	if w.settled(c) {
		return -1
	}
	if len(near) == 0 {
		w.byShells(c, floor)
		return w.axis(c, critical{})
	}
	if !fine {
		return w.axis(c, critical{})
	}
	crit := w.byPairs(c, near, floor)
	if w.settled(c) {
		return -1
	}
	return w.axis(c, crit)
}

// axis is the coordinate along which most is lost, -1 if the cell is done.
func (w *worker) axis(c *cell, crit critical) int {
	if w.settled(c) || (w.reach <= w.width/2 && c.proof != nil) {
		return -1
	}
	s := &w.fwd
	best, loss := -1, 0.0
	if crit.ok {
		for i := range s.n {
			if l := math.Abs(r3.Dot(crit.n, s.velocity(i, crit.x))) * s.h[i]; l > loss {
				best, loss = i, l
			}
		}
		if loss > w.width/8 {
			return best
		}
	}
	loss = 0
	for i := range s.n {
		if l := w.extent(i); l > loss {
			best, loss = i, l
		}
	}
	return best
}

// extent is the displacement by coordinate i, about.
func (w *worker) extent(i int) float64 {
	f := w.m.fa
	b := &f.nodes[f.root].box
	s := &w.fwd
	if !s.turns[i] {
		return s.h[i]
	}
	if f.round {
		return s.h[i] * math.Hypot(b[1], s.m[i].Z)
	}
	x := s.pose.Apply(geom.Vec{X: (b[0] + b[3]) / 2, Y: (b[1] + b[4]) / 2, Z: (b[2] + b[5]) / 2})
	r := r3.Norm(geom.Vec{X: b[3] - b[0], Y: b[4] - b[1], Z: b[5] - b[2]}) / 2
	return s.h[i] * (r3.Norm(s.velocity(i, x)) + r)
}

// lift raises the lower bound.
func (c *cell) lift(l float64) { c.lower = max(c.lower, l) }

// press lowers the upper bound if p proves it.
func (c *cell) press(u float64, p *proof) {
	if u < c.upper {
		c.upper, c.proof = u, p
	}
}

// byShells settles a cell in which the surfaces are at least gap > 0 apart: each
// shell is wholly within the other part or wholly outside.
func (w *worker) byShells(c *cell, gap float64) {
	if p := w.enclosed(); p != nil {
		c.press(-gap+w.m.slack, p)
		return
	}
	c.lift(gap - w.m.slack)
}

// enclosed finds a shell of either part that lies within the other, at the
// middle of the cell; the surfaces must be apart.
func (w *worker) enclosed() *proof {
	for k, m := range []*mover{&w.a, &w.b} {
		for i := range m.f.body.shells {
			sh := &m.f.body.shells[i]
			if sh.buried {
				continue
			}
			p := m.f.v[sh.probe]
			if d, _ := m.o.signed(m.s.pose.Apply(p)); d < 0 {
				return &proof{onA: k == 0, p: p}
			}
		}
	}
	return nil
}

// tryProof applies a point of one part over the cell.
func (w *worker) tryProof(c *cell, p *proof) (crit critical) {
	m := &w.b
	if p.onA {
		m = &w.a
	}
	x := m.s.pose.Apply(p.p)
	d, h := m.o.signed(x)
	if d < 0 {
		limit := max(0, -w.needs[0]) + w.width
		if l := m.deep(x, limit); l > 0 {
			c.press(-l+w.m.slack, p)
		}
	}
	t := m.o.triangle(h.tri)
	c.press(m.s.far(x, &t)+w.m.slack, p)
	crit.ok = h.dist > 0
	if crit.ok {
		crit.n = r3.Scale(1/h.dist, r3.Sub(x, h.at))
	}
	crit.x = x
	if !p.onA {
		crit.x, crit.n = p.p, w.fwd.pose.Turn(crit.n)
	}
	return crit
}

// byPairs bounds the cell from triangle pairs; pairs farther apart than floor
// have been dropped.
func (w *worker) byPairs(c *cell, near []pair, floor float64) critical {
	var crit critical
	var ca, cb *proof
	least, closest := floor, math.Inf(1)
	for i := range near {
		p := &near[i]
		ia, ib := w.m.fa.nodes[p.a].next, w.m.fb.nodes[p.b].next
		ta, tb := w.a.placed(ia), w.m.fb.triangle(ib)
		w.separate(p, ia, ib, &ta, &tb)
		if p.lb < min(w.needs[len(w.needs)-1], c.upper) {
			if d, x, y := ta.Distance(&tb); d < closest {
				closest = d
				crit = critical{x: x, ok: d > 0}
				if d > 0 {
					crit.n = r3.Scale(1/d, r3.Sub(x, y))
				}
				ca, cb = &proof{true, w.inv.pose.Apply(x)}, &proof{false, y}
			}
		}
		least = min(least, p.lb)
	}
	if least > w.m.slack {
		w.byShells(c, least)
	}
	if ca != nil && !w.settled(c) {
		w.tryProof(c, ca)
		w.tryProof(c, cb)
	}
	if least <= w.m.slack && !w.settled(c) {
		if cr := w.byDepth(c, near); cr.ok {
			crit = cr
		}
	}
	return crit
}

// separate looks for the direction that keeps a pair apart best over the cell.
func (w *worker) separate(p *pair, ia, ib int32, ta, tb *geom.Triangle) {
	p.lb = math.Inf(-1)
	try := func(n geom.Vec) {
		if n == (geom.Vec{}) {
			return
		}
		if l := w.fwd.apart(n, ta, tb, geom.Vec{}) - w.m.slack; l > p.lb {
			p.lb, p.n = l, n
		}
	}
	try(p.n)
	nb := w.m.fb.normal[ib]
	try(nb)
	try(r3.Scale(-1, nb))
	na := w.fwd.pose.Turn(w.m.fa.normal[ia])
	try(na)
	try(r3.Scale(-1, na))
	if d, x, y := ta.Distance(tb); d > 1e-12 {
		try(r3.Scale(1/d, r3.Sub(x, y)))
	}
}

// byDepth bounds a cell in which surfaces may cross.
func (w *worker) byDepth(c *cell, near []pair) (crit critical) {
	ofA, ofB := map[int32][]int32{}, map[int32][]int32{}
	for i := range near {
		ia, ib := w.m.fa.nodes[near[i].a].next, w.m.fb.nodes[near[i].b].next
		ofA[ia] = append(ofA[ia], ib)
		ofB[ib] = append(ofB[ib], ia)
	}
	e := w.excavate(w.width / 4)
	deepest := e.best
	var dirs []geom.Vec
	if e.proof != nil {
		crit = w.tryProof(c, e.proof)
		dirs = append(dirs, r3.Scale(-1, crit.n))
	}
	for _, need := range w.open(c) {
		if need < 0 && deepest <= -need && w.allShallow(-need-2*w.m.slack, ofA, ofB, dirs) {
			c.lift(need)
		}
	}
	return crit
}

// allShallow tells whether no surface lies deeper than depth in the cell.
func (w *worker) allShallow(depth float64, ofA, ofB map[int32][]int32, dirs []geom.Vec) bool {
	if depth <= 0 {
		return false
	}
	back := make([]geom.Vec, len(dirs))
	for i := range dirs {
		back[i] = r3.Scale(-1, w.inv.pose.Turn(dirs[i]))
	}
	for t, l := range ofA {
		if !w.a.shallow(w.a.placed(t), l, depth, dirs, 6) {
			return false
		}
	}
	for t, l := range ofB {
		if !w.b.shallow(w.b.placed(t), l, depth, back, 6) {
			return false
		}
	}
	return w.strayOutside(ofA, &w.a) && w.strayOutside(ofB, &w.b)
}

// strayOutside tells whether the shells without a near triangle lie outside.
// A shell with one is shallow there, and its triangles that are farther from
// the other surface than that are joined to it and so outside.
func (w *worker) strayOutside(of map[int32][]int32, m *mover) bool {
	met := make([]bool, len(m.f.roots))
	for t := range of {
		met[m.f.body.shell[t]] = true
	}
	for s, ok := range met {
		sh := &m.f.body.shells[s]
		if !ok && len(sh.tris) > 0 && !m.outside(m.s.pose.Apply(m.f.v[sh.probe])) {
			return false
		}
	}
	return true
}
