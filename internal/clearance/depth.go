package clearance

import (
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// byDepth bounds from below a cell in which surfaces may cross: see doc.go.
func (w *worker) byDepth(c *cell, t *task, base int) {
	open := w.open(c)
	if open[0] < 0 {
		if t.fathom++; t.fathom%middlesEvery == 1 {
			w.middles(c, t, base)
		}
		if t.fathom == fathomEvery && len(w.open(c)) > 0 {
			t.fathom = 0
			w.fathom(c, t, base)
		}
		open = w.open(c)
	}
	k := &t.crit
	if w.blocked || len(open) == 0 || k.kind == nothing {
		return
	}
	goal := w.goal(c, open)
	if open[0] >= 0 || goal > 0 || k.value-k.total < goal-w.width/4 {
		return
	}
	if !t.wide && !w.m.local && w.widen(open[0], base) {
		t.wide, w.wide = true, true
		goal = w.goal(c, open)
	}
	depth := -goal - 2*w.m.slack
	if depth <= 4*w.m.slack {
		return
	}
	if t.wide {
		u := r3.Scale(depth, k.n)
		w.aim(k.n)
		r, ok := w.prove(base, w.touch(), 0, u)
		if ok && w.shellsClear(u) {
			c.lift(goal)
		}
		if ok || (!w.against(&r.pair, k.n) && !w.lastChance(c, base, k.n)) {
			return
		}
	}
	if w.shallow(t, base, depth) {
		c.lift(goal)
	} else if f := w.shoal.found; f.kind != nothing {
		w.assess(&f)
		if f.kind != nothing && f.value < k.value {
			t.crit, t.wit = f, f
			w.lower(c, &f)
		}
	}
}

// against tells whether the two surfaces of a pair face each other so that a shift of
// the first part along n drives them together.
func (w *worker) against(p *pair, n geom.Vec) bool {
	a, b := w.fwd.pose.Turn(w.m.fa.nodes[p.a].face), w.m.fb.nodes[p.b].face
	return r3.Dot(b, n) < -againstCos || r3.Dot(a, n) > againstCos
}

// lastChance tells whether a cell is as small as they get and some surfaces in it face
// each other: what refuted the shift may be a face across it, flush or just past an edge,
// and so it may be in all parts of the cell.
func (w *worker) lastChance(c *cell, base int, n geom.Vec) bool {
	if !w.small(c) {
		return false
	}
	for i := base; i < len(w.stack); i++ {
		if w.stack[i].lb < w.touch() && w.against(&w.stack[i], n) {
			return true
		}
	}
	return false
}

// againstCos is the cosine from which on a face counts as facing along a direction.
const againstCos = 0.3

// widest is how many pairs a wide list may have at first.
const widest = 3000

// widen replaces the pairs stack[base:], which may cross, by all that come near enough
// to hinder a shift out of the depth need, if those are not too many.
func (w *worker) widen(need float64, base int) bool {
	top, floor := len(w.stack), w.floor
	w.stack = append(w.stack, pair{a: w.m.fa.root, b: w.m.fb.root})
	w.room = top + 1 + widest
	w.wide = true
	w.gather(top, top+1, w.far(need))
	w.wide = false
	full := len(w.stack) > w.room
	w.room = math.MaxInt
	if full {
		w.stack, w.floor = w.stack[:top], floor
		return false
	}
	w.stack = append(w.stack[:base], w.stack[top+1:]...)
	return true
}

// soundings bounds the pieces that one search opens, so that a cell in which
// nothing is deep costs little.
const soundings = 200

// fathomEvery is after how many looks at a cell and those it lies in that told
// nothing its depth is searched for, which is dear.
const (
	middlesEvery = 3 // for the middles of faces, which are cheaper
	fathomEvery  = 24
)

// fathom looks for a point deeper than every open threshold at the middle of the
// cell, where neither near corners nor a shift tell: the middle of a large face
// may lie deep within the other part although all its corners are outside
// (sill_test.go). What it finds is handed down with the critical point.
func (w *worker) fathom(c *cell, t *task, base int) {
	open := w.open(c)
	if len(open) == 0 {
		return
	}
	e := w.newExcavation(w.width / 4)
	e.best = -open[0] // what is less deep tells nothing
	if t.wit.kind != nothing {
		e.best = max(e.best, -t.wit.value)
	}
	for _, onA := range []bool{true, false} {
		seen := map[int32]bool{}
		for _, q := range w.stack[base:] {
			n, near := q.a, w.m.fb.some(q.b)
			if !onA {
				n, near = q.b, w.m.fa.some(q.a)
			}
			if q.lb <= 0 && !seen[n] {
				seen[n] = true
				e.add(onA, n, near)
			}
		}
	}
	e.run(soundings, -open[0]+w.reach+w.width)
	if e.proof == nil {
		return
	}
	p := e.proof
	k := critical{kind: byPoint, p: p, hint: -1}
	w.assess(&k)
	if k.kind == nothing || (t.crit.kind != nothing && k.value >= t.crit.value) {
		return
	}
	t.crit, t.wit = k, k
	w.lower(c, &k)
}

// shellsClear tells whether every shell of a, shifted by u, is outside b and
// every shell of b outside the shifted a, at the middle of the cell.
func (w *worker) shellsClear(u geom.Vec) bool {
	for i := range w.m.fa.body.shells {
		x := w.fwd.pose.Apply(w.m.fa.v[w.m.fa.body.shells[i].probe])
		if !w.m.fb.outside(r3.Add(x, u)) {
			return false
		}
	}
	for i := range w.m.fb.body.shells {
		y := r3.Sub(w.m.fb.v[w.m.fb.body.shells[i].probe], u)
		if !w.m.fa.outside(w.inv.pose.Apply(y)) {
			return false
		}
	}
	return true
}
