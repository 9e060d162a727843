package clearance

import (
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// critical is what the clearance of a cell hangs on: a pair of triangles, or a
// point of one part against the other part. After assess it also holds the
// value at the middle of the cell and how it changes: a at x moves off b along
// n, and coordinate i changes the value by up to loss[i] within the cell.
type critical struct {
	kind critKind
	a, b int32  // the triangles of the pair
	p    *proof // the point
	hint int32  // a triangle near the point

	value float64
	n, x  geom.Vec
	loss  [MaxCoords]float64
	total float64 // of loss
	y     geom.Vec
}

type critKind uint8

const (
	nothing critKind = iota
	byPair
	byPoint
)

// assess evaluates crit at the middle of the cell; it turns to nothing if it has
// no direction there.
func (w *worker) assess(k *critical) {
	switch k.kind {
	case nothing:
		return
	case byPair:
		ta, tb := w.a.placed(k.a), w.m.fb.triangle(k.b)
		d, x, y := ta.Distance(&tb)
		if d < 1e-9 {
			k.kind, k.x = nothing, x
			return
		}
		k.value, k.x, k.y, k.n = d, x, y, r3.Scale(1/d, r3.Sub(x, y))
	case byPoint:
		m := w.mover(k.p.onA)
		x := m.s.pose.Apply(k.p.p)
		d, h := m.o.signedFrom(x, k.hint)
		k.hint = h.tri
		if math.Abs(d) < 1e-9 {
			k.kind = nothing
			return
		}
		k.value = d
		k.n = r3.Scale(1/d, r3.Sub(x, h.at))
		k.x = x
		if !k.p.onA {
			k.x = w.fwd.pose.Apply(h.at)
			k.n = r3.Scale(-1, w.fwd.pose.Turn(k.n))
		}
	}
	k.total = 0
	for i := range w.fwd.n {
		k.loss[i] = math.Abs(r3.Dot(k.n, w.fwd.velocity(i, k.x))) * w.fwd.h[i]
		k.total += k.loss[i]
	}
}

func (w *worker) mover(onA bool) *mover {
	if onA {
		return &w.a
	}
	return &w.b
}

// maxBlind is how often a cell is divided on the strength of what its clearance
// hung on in the parent, without a look at its pairs.
const maxBlind = 2

// settle tightens the bounds of the leaf t.c; it returns the axis to divide it
// along, or -1 if it is done. The near pairs are left in stack[base:] and their
// floor in t, unless the cell is divided before they were looked at.
func (w *worker) settle(t *task, base int) int {
	c := t.c
	if w.fwd.n == 0 {
		c.lower, c.upper, c.proof = w.fixed(exactSteps)
		return -1
	}
	w.star.on = false
	w.assess(&t.crit)
	w.assess(&t.wit)
	if t.wit.kind != nothing && (t.crit.kind == nothing || t.wit.value < t.crit.value) {
		t.crit = t.wit
	}
	if t.crit.kind != nothing {
		if t.blind < maxBlind && w.straddles(c, &t.crit) {
			t.blind++
			return w.axis(c, &t.crit)
		}
		w.aim(t.crit.n)
		w.lower(c, &t.crit)
	}
	t.blind = 0
	if w.settled(c) {
		return -1
	}
	if sum(t.d.n) <= seekLevels {
		w.seek(c, t)
		if w.settled(c) {
			return -1
		}
	}
	if w.rough() {
		return w.byMiddle(c, t)
	}
	w.floor = t.floor
	w.gather(t.from, t.to, w.keep(c))
	t.from = base
	w.byPairs(c, t, base)
	t.floor = w.floor
	return w.axis(c, &t.crit)
}

func sum(n [MaxCoords]uint8) int {
	s := 0
	for _, k := range n {
		s += int(k)
	}
	return s
}

// straddles tells whether the border at an open threshold very likely runs
// through the cell, so that dividing it is all that can help.
func (w *worker) straddles(c *cell, k *critical) bool {
	if k.total <= 0.4*w.width {
		return false
	}
	for _, need := range w.open(c) {
		if math.Abs(k.value-need) < 0.7*k.total {
			return true
		}
	}
	return false
}

// axis is the coordinate along which most is lost, -1 if the cell is done.
func (w *worker) axis(c *cell, k *critical) int {
	if w.settled(c) || w.small(c) || w.flat(c, k) {
		return -1
	}
	if k.kind != nothing && k.total > w.width/8 && w.within(c, k) {
		best := 0
		for i := range w.fwd.n {
			if k.loss[i] > k.loss[best] {
				best = i
			}
		}
		return best
	}
	best, loss := 0, 0.0
	for i := range w.fwd.n {
		if l := w.extent(i); l > loss {
			best, loss = i, l
		}
	}
	return best
}

// flat tells whether, in a cell of a roomy map, the clearance stays so near to an open
// threshold that dividing the cell would tell no more at this width.
func (w *worker) flat(c *cell, k *critical) bool {
	if !w.m.roomy() || w.reach > longest || c.proof == nil || k.kind == nothing || k.total > w.width/4 {
		return false
	}
	for _, need := range w.open(c) {
		if math.Abs(k.value-need) > w.width/2 {
			return false
		}
	}
	return true
}

// within tells whether the first order lets the value come to an open threshold
// within the cell. If not, what spoils the bounds is beyond the first order.
func (w *worker) within(c *cell, k *critical) bool {
	for _, need := range w.open(c) {
		if math.Abs(k.value-need) <= k.total+w.width/4 {
			return true
		}
	}
	return false
}

// extent is about the displacement by coordinate i, of the part that moves less.
func (w *worker) extent(i int) float64 {
	f, s := w.lesser.f, w.lesser.s
	if !s.turns[i] {
		return s.h[i]
	}
	if f.round {
		return s.h[i] * hypot(f.nodes[f.root].box[1], s.m[i].Z)
	}
	most := 0.0
	for k := range f.balls {
		most = max(most, norm(s.velocity(i, s.pose.Apply(f.balls[k].c)))+f.balls[k].r)
	}
	return s.h[i] * most
}

// lift raises the lower bound.
func (c *cell) lift(l float64) { c.lower = max(c.lower, l) }

// press lowers the upper bound if p proves it.
func (c *cell) press(u float64, p *proof) {
	if u < c.upper {
		q := *p // candidates are moved on; what was proved is kept
		c.upper, c.proof = u, &q
	}
}

// lower tries to bring the upper bound below open thresholds by what k says, or
// at least near the value in a cell that moves it little.
func (w *worker) lower(c *cell, k *critical) {
	open := w.open(c)
	if len(open) == 0 {
		return
	}
	p := k.p
	if k.kind == byPair {
		p = &proof{true, w.inv.pose.Apply(k.x)}
	}
	if top := open[len(open)-1]; k.value < top {
		// aim at the least threshold that the first order promises, else the greatest
		for i := len(open) - 1; i >= 0 && open[i] > k.value+k.total; i-- {
			top = open[i]
		}
		c.press(w.cover(p, k.hint, top, 64), p)
	}
	if k.total <= w.width && c.upper > k.value+k.total {
		c.press(w.cover(p, k.hint, math.Inf(1), 1), p)
	}
}

// byPairs bounds the cell from its near pairs stack[base:] and puts into t.crit
// what it hangs on.
func (w *worker) byPairs(c *cell, t *task, base int) {
	touch := w.touch()
	for {
		open := w.open(c)
		if w.settled(c) {
			return
		}
		goal := w.goal(c, open)
		w.foremost(base)
		r, ok := w.prove(base, max(goal, touch), w.keep(c), geom.Vec{})
		if ok {
			w.apart(c, t, base)
			return
		}
		w.learn(c, t, &r)
		if open := w.open(c); len(open) == 0 || w.goal(c, open) < goal-w.width/8 {
			continue // the goal has come down
		}
		if goal < touch && c.upper < math.Inf(1) {
			w.byDepth(c, t, base)
		}
		return
	}
}

// foremost brings the pair with the least bound to the front: a proof that must
// fail then fails early, on a pair that matters.
func (w *worker) foremost(base int) {
	s := w.stack[base:]
	best := 0
	for i := range s {
		if s[i].lb < s[best].lb {
			best = i
		}
	}
	if len(s) > 0 {
		s[0], s[best] = s[best], s[0]
	}
}

// apart settles a cell all of whose pairs were shown to be apart.
func (w *worker) apart(c *cell, t *task, base int) {
	least := w.floor
	for i := base; i < len(w.stack); i++ {
		least = min(least, w.stack[i].lb)
	}
	w.beside(c, t, least)
}

// beside settles a cell all over which the surfaces are at least so far apart.
func (w *worker) beside(c *cell, t *task, least float64) {
	p, any := w.enclosed()
	switch {
	case !any:
		c.lift(least)
	case p != nil:
		c.press(-least+w.m.slack, p)
		if open := w.open(c); len(open) > 0 && open[0] < 0 {
			w.sunk(c, t, p.onA)
		}
	}
}

// sunk lowers the upper bound of a cell in which a shell lies within the other part.
func (w *worker) sunk(c *cell, t *task, onA bool) {
	k := critical{hint: -1}
	f := w.mover(onA).f
	for _, v := range f.body.spread {
		w.deeper(&k, onA, f.v[v], f.body.isBuried(v), -1)
	}
	if w.assess(&k); k.kind != nothing {
		t.crit, t.wit = k, k
		w.lower(c, &k)
	}
}

// enclosed tells whether a shell of either part lies within the other at the
// middle of the cell, for surfaces that are apart; p is a point of one that is
// not buried in its own part.
func (w *worker) enclosed() (p *proof, found bool) {
	for k, m := range []*mover{&w.a, &w.b} {
		for i := range m.f.body.shells {
			sh := &m.f.body.shells[i]
			x := m.f.v[sh.probe]
			if m.o.outside(m.s.pose.Apply(x)) {
				continue
			}
			found = true
			if !sh.buried {
				return &proof{onA: k == 0, p: x}, true
			}
		}
	}
	return nil, found
}

// learn takes from the pair that refuted a bound what the clearance hangs on, if
// nothing known is nearer or deeper, and tries to lower the upper bound by it.
func (w *worker) learn(c *cell, t *task, r *refute) {
	na, nb := &w.m.fa.nodes[r.pair.a], &w.m.fb.nodes[r.pair.b]
	if na.left < 0 && nb.left < 0 {
		w.learnFrom(c, t, triangles{na.next, nb.next})
	}
}

// learnFrom is learn from two triangles.
func (w *worker) learnFrom(c *cell, t *task, near triangles) {
	k := &t.crit
	n := critical{kind: byPair, a: near.a, b: near.b}
	w.assess(&n)
	cross := n.kind == nothing
	if !cross && (k.kind == nothing || n.value < k.value) {
		*k = n
		w.lower(c, k)
	}
	if w.mayDig(c, k, cross) {
		value := 0.0
		if k.kind != nothing {
			value = k.value
		}
		if p := w.dig(value, n.a, n.b, cross); p.kind != nothing {
			*k, t.wit = p, p
			w.lower(c, k)
		}
	}
	if k.kind != nothing {
		w.aim(k.n)
	} else if cross { // a touch: the common point bounds the cell
		p := &proof{true, w.inv.pose.Apply(n.x)}
		c.press(w.cover(p, -1, math.Inf(1), 1), p)
	}
}

// mayDig tells whether a better point may settle the greatest open threshold.
func (w *worker) mayDig(c *cell, k *critical, cross bool) bool {
	open := w.open(c)
	switch {
	case len(open) == 0:
		return false
	case cross:
		return k.kind != byPoint || k.value+k.total >= open[len(open)-1]
	default:
		return k.kind != byPoint && k.value-k.total < open[len(open)-1]
	}
}
