package clearance

import (
	"cmp"
	"math"
	"slices"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// flat is a convex polygon of coplanar triangles. An upper bound of the distance
// to a surface needs the nearest convex piece of it, and a rod's strip of a
// hundred triangles is one such piece.
type flat struct {
	corners []int32 // vertices, counter-clockwise, without those along a side
	lead    int32   // the triangle whose plane it lies in
	off     float64 // no point of the polygon is farther from the surface
}

// flatTo is how far the corners of a flat may lie off its plane, and how far a
// side may cave in, mm. Coordinates of an STL file are right to 2^-24 of
// themselves, 5e-7 mm at 10 mm; what is used of it is added to every bound.
const flatTo = 2e-6

// flattener joins triangles to flats (S. Hertel and K. Mehlhorn, 1983: an edge
// between two convex faces goes if both its ends stay convex).
type flattener struct {
	b          *Body
	twin       []int32
	next, prev []int32 // of the directed edges
	face       []int32 // of a triangle, by union and find
	gone       []bool  // directed edges
}

// flatten sets the flats of the body.
func (b *Body) flatten(twin []int32) {
	n := 3 * len(b.mesh.T)
	f := &flattener{b: b, twin: twin, next: make([]int32, n), prev: make([]int32, n), gone: make([]bool, n), face: make([]int32, len(b.mesh.T))}
	for e := range f.next {
		k := e % 3
		f.next[e] = int32(e - k + (k+1)%3)
		f.prev[e] = int32(e - k + (k+2)%3)
	}
	for i := range f.face {
		f.face[i] = int32(i)
	}
	for pass := range 2 { // diagonals first: quads make better strips
		for e := range f.next {
			if int32(e) < twin[e] && (pass == 1 || f.longest(int32(e))) {
				f.drop(int32(e))
			}
		}
	}
	f.collect()
}

func (f *flattener) find(i int32) int32 {
	for f.face[i] != i {
		f.face[i] = f.face[f.face[i]]
		i = f.face[i]
	}
	return i
}

// origin is the vertex where a directed edge begins.
func (f *flattener) origin(e int32) geom.Vec { return f.b.mesh.V[f.b.mesh.T[e/3][e%3]] }

func (f *flattener) length(e int32) float64 {
	return r3.Norm2(r3.Sub(f.origin(e-e%3+(e%3+1)%3), f.origin(e)))
}

// longest tells whether e is the longest side of both its triangles.
func (f *flattener) longest(e int32) bool {
	l := f.length(e) * (1 + 1e-9)
	for _, x := range [2]int32{e, f.twin[e]} {
		o := x - x%3
		if f.length(o) > l || f.length(o+1) > l || f.length(o+2) > l {
			return false
		}
	}
	return true
}

// drop removes the edge e, with all that the two faces share beyond its ends, if
// what is left is convex and plane.
func (f *flattener) drop(e int32) {
	t := f.twin[e]
	if f.gone[e] {
		return
	}
	p, q := f.find(e/3), f.find(t/3)
	n := f.b.normal[p]
	if p == q || n == (geom.Vec{}) || r3.Dot(n, f.b.normal[q]) < 1-1e-9 || !f.plane(p, t) {
		return
	}
	in1, out1 := f.prev[e], f.next[t] // round the origin of e
	for f.twin[in1] == out1 {
		in1, out1 = f.prev[in1], f.next[out1]
	}
	in2, out2 := f.prev[t], f.next[e] // round its end
	for f.twin[in2] == out2 {
		in2, out2 = f.prev[in2], f.next[out2]
	}
	if !f.convex(n, in1, out1) || !f.convex(n, in2, out2) {
		return
	}
	for x := f.next[in1]; x != out2; x = f.next[x] {
		f.gone[x] = true
	}
	for x := f.next[in2]; x != out1; x = f.next[x] {
		f.gone[x] = true
	}
	f.next[in1], f.prev[out1] = out1, in1
	f.next[in2], f.prev[out2] = out2, in2
	f.face[q] = p
}

// plane tells whether the face that the directed edge t bounds lies in the plane
// of triangle p.
func (f *flattener) plane(p, t int32) bool {
	n, c := f.b.normal[p], r3.Dot(f.b.normal[p], f.origin(3*p))
	for x, first := t, true; first || x != t; x, first = f.next[x], false {
		if math.Abs(r3.Dot(n, f.origin(x))-c) > flatTo/2 {
			return false
		}
	}
	return true
}

// convex tells whether the loop turns left, or goes straight, from in to out.
func (f *flattener) convex(n geom.Vec, in, out int32) bool {
	a := r3.Sub(f.origin(out), f.origin(in))
	b := r3.Sub(f.origin(f.next[out]), f.origin(out))
	la, lb := norm(a), norm(b)
	if r3.Dot(a, b) < -0.999999*la*lb { // turns back on itself
		return false
	}
	return r3.Dot(n, r3.Cross(a, b)) >= -1e-7*min(la, lb)
}

// collect makes flats of the loops that are left.
func (f *flattener) collect() {
	b := f.b
	b.flatOf = make([]int32, len(b.mesh.T))
	area := make([]float64, len(b.mesh.T))
	for i := range b.flatOf {
		b.flatOf[i] = -1
		t := b.mesh.Triangle(i)
		area[f.find(int32(i))] += norm(r3.Cross(r3.Sub(t[1], t[0]), r3.Sub(t[2], t[0]))) / 2
	}
	broken := make([]bool, len(b.mesh.T))
	for e := range f.next {
		r := f.find(int32(e) / 3)
		if f.gone[e] || broken[r] || b.flatOf[r] >= 0 || b.normal[r] == (geom.Vec{}) {
			continue
		}
		g, ok := f.loop(int32(e), r, area[r])
		if broken[r] = !ok; ok {
			b.flatOf[r] = int32(len(b.flats))
			b.flats = append(b.flats, g)
		}
	}
	for i, t := range b.mesh.T {
		switch r := f.find(int32(i)); {
		case b.normal[i] == (geom.Vec{}):
		case !broken[r]:
			b.flatOf[i] = b.flatOf[r]
		default:
			b.flatOf[i] = int32(len(b.flats))
			b.flats = append(b.flats, flat{corners: []int32{t[0], t[1], t[2]}, lead: int32(i)})
		}
	}
}

// loop makes a flat of the loop of the edge e around the plane of triangle lead,
// which encloses the given area; it fails if that is not convex and plane after all.
func (f *flattener) loop(e, lead int32, area float64) (flat, bool) {
	o := flat{lead: lead}
	n := f.b.normal[lead]
	c := f.origin(3 * lead)
	u := r3.Unit(r3.Sub(f.origin(3*lead+1), c))
	w := r3.Cross(n, u)
	var all []spot
	for x, first := e, true; first || x != e; x, first = f.next[x], false {
		p := r3.Sub(f.origin(x), c)
		o.off = max(o.off, math.Abs(r3.Dot(n, p)))
		all = append(all, spot{r3.Dot(u, p), r3.Dot(w, p), f.b.mesh.T[x/3][x%3]})
	}
	if len(all) == 3 {
		o.corners, o.off = []int32{all[0].v, all[1].v, all[2].v}, 0
		return o, true
	}
	hull := convexHull(all)
	full, long := 0.0, 0.0
	for i, p := range hull {
		q := hull[(i+1)%len(hull)]
		full += (p.x*q.y - p.y*q.x) / 2
		long += hypot(q.x-p.x, q.y-p.y)
		o.corners = append(o.corners, p.v)
	}
	caved := 0.0
	for _, p := range all { // how deep each lies within the hull
		in := math.Inf(1)
		for i, a := range hull {
			b := hull[(i+1)%len(hull)]
			in = min(in, ((b.x-a.x)*(p.y-a.y)-(b.y-a.y)*(p.x-a.x))/hypot(b.x-a.x, b.y-a.y))
		}
		caved = max(caved, in)
	}
	o.off += caved
	return o, len(hull) >= 3 && o.off <= 2*flatTo && full-area <= 2*long*flatTo
}

// spot is a vertex in the plane of a flat.
type spot struct {
	x, y float64
	v    int32
}

// convexHull is the hull, counter-clockwise (A. Andrew's chains, 1979).
func convexHull(p []spot) []spot {
	s := slices.Clone(p)
	slices.SortFunc(s, func(a, b spot) int {
		return cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(a.y, b.y))
	})
	var h []spot
	chain := func(p spot, keep int) {
		for len(h) > keep {
			a, b := h[len(h)-2], h[len(h)-1]
			if (b.x-a.x)*(p.y-a.y)-(b.y-a.y)*(p.x-a.x) > 1e-12 {
				break
			}
			h = h[:len(h)-1]
		}
		h = append(h, p)
	}
	for _, q := range s {
		chain(q, 1)
	}
	keep := len(h)
	for _, q := range slices.Backward(s[:len(s)-1]) {
		chain(q, keep)
	}
	return h[:len(h)-1]
}

// closest is the point of the flat of triangle i nearest to p.
func (f *form) closest(p geom.Vec, i int32) geom.Vec {
	g := &f.body.flats[f.body.flatOf[i]]
	n := f.normal[g.lead]
	inside := true
	for k, v := range g.corners {
		a, b := f.v[v], f.v[g.corners[(k+1)%len(g.corners)]]
		if r3.Dot(n, r3.Cross(r3.Sub(b, a), r3.Sub(p, a))) < 0 {
			inside = false
			break
		}
	}
	if inside {
		return r3.Sub(p, r3.Scale(r3.Dot(n, r3.Sub(p, f.v[g.corners[0]])), n))
	}
	best, at := math.Inf(1), geom.Vec{}
	for k, v := range g.corners {
		a := f.v[v]
		d := r3.Sub(f.v[g.corners[(k+1)%len(g.corners)]], a)
		t := max(0, min(1, r3.Dot(r3.Sub(p, a), d)/r3.Norm2(d)))
		q := r3.Add(a, r3.Scale(t, d))
		if l := r3.Norm2(r3.Sub(p, q)); l < best {
			best, at = l, q
		}
	}
	return at
}

// far is an upper bound over the cell of the distance from the moving point x to
// the flat of triangle i: the distance to a convex set is convex, so the corners
// decide.
func (m *mover) far(x geom.Vec, i int32) float64 {
	var c [1 << MaxCoords]geom.Vec
	n, rest := m.s.corners(x, &c)
	worst := 0.0
	for _, q := range c[:n] {
		worst = max(worst, r3.Norm2(r3.Sub(q, m.o.closest(q, i))))
	}
	return math.Sqrt(worst) + rest + m.o.body.flats[m.o.body.flatOf[i]].off
}
