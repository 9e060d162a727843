package clearance

import (
	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// section is where one flat of a part crosses the surface of the other: the mean
// of the points in which sides of triangles pierce it.
type section struct {
	onA  bool
	flat int32
	tri  int32 // a triangle of the flat
	near int32 // and one of the other part
	sum  geom.Vec
	n    int
}

// sections bounds how many flats are looked at in one cell.
const sections = 24

// middles looks for depth in the middle of what the flats of each part have
// within the other, which all corners may miss: the middle of the points in which
// a flat is pierced lies deep where that is convex. What is found is handed down.
func (w *worker) middles(c *cell, t *task, base int) {
	var list []section
	for _, q := range w.stack[base:] {
		na, nb := &w.m.fa.nodes[q.a], &w.m.fb.nodes[q.b]
		if q.lb <= 0 && na.left < 0 && nb.left < 0 {
			list = w.pierce(list, na.next, nb.next)
		}
	}
	found := critical{hint: -1}
	for i := range list {
		if s := &list[i]; s.n > 2 {
			w.middle(&found, s)
		}
	}
	if found.kind == nothing {
		return
	}
	w.assess(&found)
	if found.kind == nothing || (t.crit.kind != nothing && found.value >= t.crit.value) {
		return
	}
	t.crit, t.wit = found, found
	w.lower(c, &found)
}

// middle makes the middle of s the best point known if it is deeper.
func (w *worker) middle(best *critical, s *section) {
	m := w.mover(s.onA)
	p := r3.Scale(1/float64(s.n), s.sum)
	if s.onA { // pierced points are in the frame of b
		p = w.inv.pose.Apply(p)
	}
	own := m.f.nearest(p, m.f.root, w.width/4)
	if own.tri < 0 {
		return // the flat is hollow there
	}
	shell := int32(-1)
	if len(m.f.roots) > 1 {
		shell = m.f.body.shell[own.tri]
	}
	k := critical{value: best.value, hint: s.near}
	if w.deeper(&k, s.onA, own.at, false, shell) {
		*best = k
	}
}

// pierce adds the points in which the sides of triangles ta of a and tb of b
// pierce the other, at the middle of the cell.
func (w *worker) pierce(list []section, ta, tb int32) []section {
	a, b := w.a.placed(ta), w.m.fb.triangle(tb)
	var hits [6]geom.Vec
	n := 0
	for k := range 3 {
		if x, ok := through(a[k], a[(k+1)%3], &b); ok {
			hits[n] = x
			n++
		}
		if x, ok := through(b[k], b[(k+1)%3], &a); ok {
			hits[n] = x
			n++
		}
	}
	for k, tri := range [2]int32{ta, tb} {
		if n == 0 {
			break
		}
		onA := k == 0
		m := w.mover(onA)
		s := flatIn(&list, onA, m.f.body.flatOf[tri])
		if s == nil {
			continue
		}
		s.tri, s.near = tri, [2]int32{tb, ta}[k]
		for _, x := range hits[:n] {
			s.sum = r3.Add(s.sum, x)
			s.n++
		}
	}
	return list
}

// flatIn is the section of a flat in the list, a new one if need be; nil for no
// flat or when there are too many.
func flatIn(list *[]section, onA bool, flat int32) *section {
	if flat < 0 {
		return nil
	}
	for i := range *list {
		if s := &(*list)[i]; s.onA == onA && s.flat == flat {
			return s
		}
	}
	if len(*list) >= sections {
		return nil
	}
	*list = append(*list, section{onA: onA, flat: flat})
	return &(*list)[len(*list)-1]
}

// through is where the segment from p to q pierces t (T. Möller and B. Trumbore,
// J. Graphics Tools 2 (1997) 21); only a guess, so rounding does not matter.
func through(p, q geom.Vec, t *geom.Triangle) (geom.Vec, bool) {
	d := r3.Sub(q, p)
	e1, e2 := r3.Sub(t[1], t[0]), r3.Sub(t[2], t[0])
	h := r3.Cross(d, e2)
	det := r3.Dot(e1, h)
	if det == 0 {
		return geom.Vec{}, false
	}
	s := r3.Sub(p, t[0])
	u := r3.Dot(s, h) / det
	g := r3.Cross(s, e1)
	v := r3.Dot(d, g) / det
	l := r3.Dot(e2, g) / det
	if u < 0 || v < 0 || u+v > 1 || l < 0 || l > 1 {
		return geom.Vec{}, false
	}
	return r3.Add(p, r3.Scale(l, d)), true
}
