package clearance

import "math"

// Large cells are told blocked by points that stay near, or within, the other
// part all over the cell. Without them a threshold above the gap of a conforming
// pair would keep all its surface in the lists.

// seekLevels is how many divisions deep such points are sought; below, witnesses
// come from near pairs.
const seekLevels = 7

// candidate is a vertex with its signed distance to the other part at the middle
// of the cell, and the greatest seen in the cell.
type candidate struct {
	p     *proof
	d     float64
	worst float64
	hint  int32
}

// seekKeep is how many candidates are looked at closely.
const seekKeep = 4

// seek looks for a point that settles thresholds all over the cell.
func (w *worker) seek(c *cell, t *task) {
	open := w.open(c)
	top := open[len(open)-1] + w.width/4
	var few [seekKeep]candidate
	n := 0
	add := func(onA bool, v int32) {
		m := w.mover(onA)
		if m.f.body.isBuried(v) {
			return
		}
		p := m.f.v[v]
		d, h := m.o.signed(m.s.pose.Apply(p))
		k := candidate{p: &proof{onA, p}, d: d, hint: h.tri}
		for i := range n {
			if few[i].d == d && few[i].p.p == p {
				return
			}
			if k.d < few[i].d {
				few[i], k = k, few[i]
			}
		}
		if n < len(few) && k.d < top {
			few[n] = k
			n++
		}
	}
	w.seeds(add, w.stack[t.from:t.to], top)
	w.tryFew(c, t, few[:n])
}

// seeds proposes the vertices spread over both parts, and the corners of the
// nearest of the pairs if that is nearer than cut.
func (w *worker) seeds(add func(onA bool, v int32), pairs []pair, cut float64) {
	for _, v := range w.m.fa.body.spread {
		add(true, v)
	}
	for _, v := range w.m.fb.body.spread {
		add(false, v)
	}
	_, _, p, near := w.distance(pairs, w.width/2, cut)
	if p == nil {
		return
	}
	for _, v := range w.m.fa.t[near.a] {
		add(true, v)
	}
	for _, v := range w.m.fb.t[near.b] {
		add(false, v)
	}
}

// tryFew applies the candidates, the one that looks best at the corners of the
// cell first.
func (w *worker) tryFew(c *cell, t *task, few []candidate) {
	for i := range few {
		few[i].worst = max(few[i].d, w.atCorners(&few[i]))
		for k := i; k > 0 && few[k].worst < few[k-1].worst; k-- {
			few[k], few[k-1] = few[k-1], few[k]
		}
	}
	budget := 256
	if sum(t.d.n) == 0 {
		budget = 1 << 17
	}
	for i := range few {
		k := &few[i]
		open := w.open(c)
		if len(open) == 0 || w.settled(c) {
			return
		}
		target := w.aimed(k.worst, open)
		if target > open[len(open)-1]+3*w.width/4 {
			continue
		}
		if u := w.cover(k.p, k.hint, target, budget); u < math.Inf(1) {
			c.press(u, k.p)
			t.crit = critical{kind: byPoint, p: k.p, hint: k.hint}
			w.assess(&t.crit)
			t.wit = t.crit
		}
	}
}

// aimed is the upper bound to try for with a point whose greatest distance seen
// is worst: the least threshold above it, and no looser than half a width where
// the lower bound is to meet it.
func (w *worker) aimed(worst float64, open []float64) float64 {
	target := worst + w.width/2
	for i := len(open) - 1; i >= 0 && open[i] > worst; i-- {
		if open[i] < target || worst < 0 {
			target = open[i]
		}
	}
	return target
}

// atCorners is the greatest signed distance of the candidate at the corners of
// the cell.
func (w *worker) atCorners(k *candidate) float64 {
	var s, none sweep
	m := *w.mover(k.p.onA)
	m.s = &s
	worst := math.Inf(-1)
	n := len(w.m.chain.coords)
	for bits := range 1 << n {
		var x [MaxCoords]float64
		for i := range n {
			x[i] = w.lo[i]
			if bits>>i&1 == 1 {
				x[i] = w.hi[i]
			}
		}
		if k.p.onA {
			w.box(&s, nil, &x, &x)
		} else {
			w.box(&none, &s, &x, &x)
		}
		d, _ := m.o.signedFrom(s.pose.Apply(k.p.p), k.hint)
		worst = max(worst, d)
	}
	return worst
}
