package clearance

import (
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// cover is an upper bound over the cell of the signed distance of the point p to
// the other part, if it can be shown to lie below target with at most budget
// evaluations; else +Inf. Where the bound over the cell as a whole is too weak
// the cell is divided, for this point only.
func (w *worker) cover(p *proof, hint int32, target float64, budget int) float64 {
	var s sweep
	m := *w.mover(p.onA)
	m.s = &s
	return w.coverBox(&m, p, hint, target, &budget, w.lo, w.hi)
}

func (w *worker) coverBox(m *mover, p *proof, hint int32, target float64, budget *int, lo, hi [MaxCoords]float64) float64 {
	if *budget--; *budget < 0 {
		return math.Inf(1)
	}
	if p.onA {
		w.box(m.s, nil, &lo, &hi)
	} else {
		var none sweep
		w.box(&none, m.s, &lo, &hi)
	}
	x := m.s.pose.Apply(p.p)
	d, h := m.o.signedFrom(x, hint)
	if d >= target-w.m.slack {
		return math.Inf(1)
	}
	if d < 0 {
		limit := w.width + 4*w.m.slack
		if w.needs[0] < 0 {
			limit -= w.needs[0]
		}
		if l := m.deepFrom(x, -d, limit); l > 0 && w.m.slack-l < target {
			return w.m.slack - l
		}
	}
	if u := m.far(x, h.tri) + w.m.slack; u < target {
		return u
	}
	// divide along the coordinate that by itself takes the point farthest away
	best, most := -1, 0.0
	moved := 0.0
	for i := range m.s.n {
		v := r3.Scale(m.s.h[i], m.s.velocity(i, x))
		moved = max(moved, norm(v))
		for _, q := range [2]geom.Vec{r3.Add(x, v), r3.Sub(x, v)} {
			if l := norm(r3.Sub(q, m.o.closest(q, h.tri))); l > most {
				best, most = i, l
			}
		}
	}
	if moved < w.width/8 || best < 0 {
		return math.Inf(1)
	}
	mid := (lo[best] + hi[best]) / 2
	lo2, hi2 := lo, hi
	hi2[best], lo2[best] = mid, mid
	l := w.coverBox(m, p, h.tri, target, budget, lo, hi2)
	if math.IsInf(l, 1) {
		return l
	}
	return max(l, w.coverBox(m, p, h.tri, target, budget, lo2, hi))
}

// dig looks for a point of either surface that is nearer or deeper than value,
// from the triangles ta of a and tb of b: their corners and on from there along
// the mesh, and where the two cross points of their sides.
func (w *worker) dig(value float64, ta, tb int32, cross bool) critical {
	best := critical{value: value, hint: -1}
	for k, t := range []int32{ta, tb} {
		m := w.mover(k == 0)
		own, top := critical{value: math.Inf(1), hint: [2]int32{tb, ta}[k]}, int32(-1)
		for _, v := range m.f.t[t] {
			if w.deeper(&own, k == 0, m.f.v[v], m.f.body.isBuried(v), -1) {
				top = v
			}
		}
		if top >= 0 {
			w.climb(&own, m, top)
			if own.value < best.value {
				best = own
			}
		}
	}
	if cross && best.value >= -1e-9 {
		w.digSides(&best, ta, tb)
	}
	w.assess(&best)
	return best
}

// climbSteps bounds the way uphill; a pin of 48 flats needs 12 to go a quarter round.
const climbSteps = 40

// climb goes from vertex v to ever deeper neighbours.
func (w *worker) climb(own *critical, m *mover, v int32) {
	for range climbSteps {
		next := int32(-1)
		for _, u := range m.f.body.around[m.f.body.first[v]:m.f.body.first[v+1]] {
			if w.deeper(own, own.p.onA, m.f.v[u], m.f.body.isBuried(u), -1) {
				next = u
			}
		}
		if next < 0 {
			return
		}
		v = next
	}
}

// deeper makes the point p the best if it lies deeper; shell is that of the
// point if it may be buried, else -1.
func (w *worker) deeper(best *critical, onA bool, p geom.Vec, buried bool, shell int32) bool {
	if buried {
		return false
	}
	m := w.mover(onA)
	hint := best.hint
	if best.kind == byPoint && best.p.onA != onA {
		hint = -1
	}
	d, h := m.o.signedFrom(m.s.pose.Apply(p), hint)
	if d >= best.value || (shell >= 0 && m.f.covered(p, shell)) {
		return false
	}
	*best = critical{kind: byPoint, p: &proof{onA, p}, hint: h.tri, value: d}
	return true
}

// digSides tries points of the sides of two crossing triangles.
func (w *worker) digSides(best *critical, ta, tb int32) {
	const parts = 8
	for k, t := range []int32{ta, tb} {
		m := w.mover(k == 0)
		shell := int32(-1)
		if len(m.f.roots) > 1 {
			shell = m.f.body.shell[t]
		}
		tri := m.f.triangle(t)
		for i := range tri {
			for j := 1; j < parts; j++ {
				f := float64(j) / parts
				p := r3.Add(r3.Scale(1-f, tri[i]), r3.Scale(f, tri[(i+1)%3]))
				w.deeper(best, k == 0, p, false, shell)
			}
		}
	}
}
