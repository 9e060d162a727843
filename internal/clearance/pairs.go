package clearance

import (
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// memo keeps one number a node for the direction in use.
type memo struct {
	v   []float64
	gen []uint32
	now uint32
}

func (m *memo) grow(n int) { m.v, m.gen = make([]float64, n), make([]uint32, n) }

// starred is the direction on which most pairs of a cell are tried first.
type starred struct {
	on bool
	n  geom.Vec
	l  look
}

// aim makes n the direction that all pairs are tried on first.
func (w *worker) aim(n geom.Vec) {
	w.star = starred{on: true, n: n, l: w.fwd.look(n)}
	w.memoA.now++
	w.memoB.now++
}

// starBound is the bound of two clusters along the direction of aim.
func (w *worker) starBound(a, b int32) float64 {
	if w.memoA.gen[a] != w.memoA.now {
		w.memoA.gen[a] = w.memoA.now
		w.memoA.v[a] = w.star.l.least(&w.fwd, w.m.fa, &w.m.fa.nodes[a])
	}
	if w.memoB.gen[b] != w.memoB.now {
		w.memoB.gen[b] = w.memoB.now
		w.memoB.v[b] = most(w.star.n, w.m.fb, &w.m.fb.nodes[b])
	}
	return w.memoA.v[a] - w.memoB.v[b] - w.m.slack
}

// along is the bound of two clusters along n, a shifted by u.
func (w *worker) along(n geom.Vec, na, nb *node, u geom.Vec) float64 {
	l := w.fwd.look(n)
	return l.least(&w.fwd, w.m.fa, na) - most(n, w.m.fb, nb) + r3.Dot(n, u) - w.m.slack
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
	h := e
	if s.way == slides {
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
		all, _ := s.reach(x, norm(e))
		d = max(0, d-all)
	}
	return d
}

func abs(v geom.Vec) geom.Vec {
	return geom.Vec{X: math.Abs(v.X), Y: math.Abs(v.Y), Z: math.Abs(v.Z)}
}

// bound sets the lower bound of a pair from the directions at hand and the boxes.
func (w *worker) bound(p *pair, enough float64) {
	na, nb := &w.m.fa.nodes[p.a], &w.m.fb.nodes[p.b]
	p.lb = math.Inf(-1)
	if na.from < na.to && nb.from < nb.to {
		if w.star.on {
			p.lb = w.starBound(p.a, p.b)
			if p.lb >= enough {
				return
			}
		}
		if p.n != (geom.Vec{}) {
			p.lb = max(p.lb, w.along(p.n, na, nb, geom.Vec{}))
			if p.lb >= enough {
				return
			}
		}
	}
	p.lb = max(p.lb, w.gap(na, nb)-w.m.slack)
}

// gather appends the pairs of stack[from:to] that may be within keep of each
// other, opened down to the size of the cell, and lowers floor by the others.
func (w *worker) gather(from, to int, keep float64) {
	fa, fb := w.m.fa, w.m.fb
	size := 2 * w.reach
	done := len(w.stack)
	for k := from; k < to; k++ {
		w.stack = append(w.stack, w.stack[k])
		for len(w.stack) > done {
			if len(w.stack) > w.room {
				return
			}
			p := w.stack[len(w.stack)-1]
			w.bound(&p, keep)
			if p.lb >= keep {
				w.floor = min(w.floor, p.lb)
				w.stack = w.stack[:len(w.stack)-1]
				continue
			}
			na, nb := &fa.nodes[p.a], &fb.nodes[p.b]
			la, lb := na.left < 0, nb.left < 0
			if (la || na.size < size) && (lb || nb.size < size) {
				w.stack[len(w.stack)-1] = w.stack[done]
				w.stack[done] = p
				done++
				continue
			}
			w.split(len(w.stack) - 1)
		}
	}
}

// split replaces the pair at i by the halves of the larger node; the second half
// comes last on the stack.
func (w *worker) split(i int) {
	p := w.stack[i]
	na, nb := &w.m.fa.nodes[p.a], &w.m.fb.nodes[p.b]
	p.lb = math.Inf(-1)
	q := p
	if nb.left < 0 || (na.left >= 0 && na.size > nb.size) {
		p.a, q.a = na.left, na.next
	} else {
		p.b, q.b = nb.left, nb.next
	}
	w.stack[i] = p
	w.stack = append(w.stack, q)
}

// verdict of an attempt on a pair.
type verdict uint8

const (
	holds verdict = iota // the bound reaches the goal
	opens                // its halves must be looked at
	fails                // the pair is too near at the middle of the cell
	loses                // it is far enough there, but not all over the cell
)

// refute is why a proof of the lower bound failed.
type refute struct {
	why  verdict
	pair pair
}

// proveSize bounds the pairs that one attempt may open, so that a hopeless one
// in a large cell ends early.
const proveSize = 300

// proveMore is how many more pairs are looked at once one has shown that the
// cell must be divided, for one that shows more: that it may be blocked.
const proveMore = 24

// prove tries to show that all pairs of stack[base:], a shifted by u, are at
// least goal apart in the whole cell. Without a shift it drops the pairs that
// turn out beyond keep, and on failure it moves the offending pair to the front.
func (w *worker) prove(base int, goal, keep float64, u geom.Vec) (refute, bool) {
	shifted := u != (geom.Vec{})
	limit := len(w.stack) + proveSize
	var lost refute
	more := proveMore
	for i := base; i < len(w.stack); {
		if lost.why == loses {
			if more--; more < 0 {
				return lost, false
			}
		}
		p := &w.stack[i]
		if !shifted && p.lb >= goal {
			i++
			continue
		}
		v := w.attempt(p, goal, u)
		switch v {
		case holds:
			if !shifted && p.lb >= keep {
				w.floor = min(w.floor, p.lb)
				w.stack[i] = w.stack[len(w.stack)-1]
				w.stack = w.stack[:len(w.stack)-1]
				continue
			}
			i++
		case opens:
			w.split(i)
			if len(w.stack) > limit {
				return refute{why: loses, pair: *p}, false
			}
		default:
			r := refute{why: v, pair: *p}
			w.stack[base], w.stack[i] = w.stack[i], w.stack[base]
			if v == fails || shifted {
				return r, false
			}
			if lost.why != loses {
				lost = r
			}
			i++
		}
	}
	return lost, lost.why != loses
}

// attempt looks for a direction along which the pair, a shifted by u, is goal
// apart over the cell. Without a shift it keeps the direction and the bound.
func (w *worker) attempt(p *pair, goal float64, u geom.Vec) verdict {
	na, nb := &w.m.fa.nodes[p.a], &w.m.fb.nodes[p.b]
	shifted := u != (geom.Vec{})
	lb := p.lb
	if shifted {
		// pairs farther apart than the shift are none the worse for it
		lb = p.lb - norm(u)
		if lb >= goal {
			return holds
		}
	} else if lb == math.Inf(-1) {
		w.bound(p, goal)
		if lb = p.lb; lb >= goal {
			return holds
		}
	}
	if na.from == na.to || nb.from == nb.to {
		return opens
	}
	try := func(n geom.Vec) bool {
		l := w.along(n, na, nb, u)
		if l > lb && !shifted {
			p.n, p.lb = n, l
		}
		lb = max(lb, l)
		return lb >= goal
	}
	if shifted {
		if w.star.on && w.starBound(p.a, p.b)+r3.Dot(w.star.n, u) >= goal {
			return holds
		}
		if p.n != (geom.Vec{}) && try(p.n) {
			return holds
		}
	}
	if n := nb.face; n != (geom.Vec{}) && try(n) {
		return holds
	}
	if n := na.face; n != (geom.Vec{}) && try(r3.Scale(-1, w.fwd.pose.Turn(n))) {
		return holds
	}
	start := p.n
	if start == (geom.Vec{}) {
		start = geom.Vec{X: 1}
	}
	d, n := hulls(w.m.fa.points[na.from:na.to], &w.fwd.pose, u, w.m.fb.points[nb.from:nb.to], start, goal)
	if d > 0 && try(n) {
		return holds
	}
	if d >= goal && d > 0 { // the hulls are apart at the middle: the motion loses it
		return loses
	}
	if na.left >= 0 || nb.left >= 0 {
		return opens
	}
	return fails
}
