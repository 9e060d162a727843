package mesh

import "slices"

// part is a triangle of the arrangement. Its corners turn positively about the
// normal of its region's plane; where that normal points is its front.
type part struct {
	v      [3]int32
	region int32
}

// complex is all triangles of the arrangement, sewn together by their points.
type complex struct {
	*arrangement
	parts   []part
	regions []region
}

// sew arranges every sheet and gives the new points their numbers, in the
// order of the sheets.
func (a *arrangement) sew() (*complex, error) {
	a.findRidges()
	cuts := make([]*cut, len(a.sheets))
	parallel(len(a.sheets), a.workers, func(i int) {
		if a.sheets[i].hit && !a.stopped() {
			cuts[i] = a.cutSheet(int32(i))
		}
	})
	if a.stopped() {
		return nil, ErrStopped
	}
	x := &complex{arrangement: a, parts: make([]part, 0, 2*len(a.faces)), regions: make([]region, 0, len(a.faces))}
	for i, c := range cuts {
		if c == nil {
			x.takeWhole(int32(i))
			continue
		}
		if c.err != nil {
			return nil, c.err
		}
		x.take(int32(i), c)
	}
	return x, nil
}

// findRidges notes the edges at which more than two faces meet, not all in one
// plane. Faces that share an edge are not crossed with each other; where a sheet
// runs through such an edge without a rim it must still be divided there.
func (a *arrangement) findRidges() {
	a.ridges = map[[2]int32]bool{}
	eachEdge(len(a.pts.pts), len(a.faces), func(i int) [3]int32 { return a.faces[i].v }, func(p, q int32, h []halfEdge) {
		if len(h) < 3 {
			return
		}
		for _, e := range h[1:] {
			if a.faces[e.part].plane != a.faces[h[0].part].plane {
				a.ridges[[2]int32{p, q}] = true
				return
			}
		}
	})
}

// takeWhole takes the faces of a sheet that nothing touches.
func (x *complex) takeWhole(plane int32) {
	var last *region
	for _, i := range x.sheets[plane].faces {
		f := &x.faces[i]
		j := jump{f.solid, int32(f.turn)}
		r := region{plane: plane}
		if last != nil && last.jumps[0] == j {
			r.jumps = last.jumps
		} else {
			r.jumps = []jump{j}
		}
		v := f.v
		if f.turn < 0 {
			v[1], v[2] = v[2], v[1]
		}
		x.parts = append(x.parts, part{v, int32(len(x.regions))})
		x.regions = append(x.regions, r)
		last = &x.regions[len(x.regions)-1]
	}
}

func (x *complex) take(plane int32, c *cut) {
	for l, id := range c.ids {
		if id < 0 {
			c.ids[l] = x.pts.id(c.at[l])
		}
	}
	base := int32(len(x.regions))
	for _, js := range c.regions {
		x.regions = append(x.regions, region{plane, js})
	}
	for i, t := range c.tris {
		x.parts = append(x.parts, part{[3]int32{c.ids[t[0]], c.ids[t[1]], c.ids[t[2]]}, base + c.in[i]})
	}
}

// halfEdge is one triangle's side of an edge a-b, a < b.
type halfEdge struct {
	b, part int32
	forward bool // the triangle runs from a to b: seen from its front it lies left of it
}

// edges calls fn for every edge with its half-edges, which fn may reorder, by
// rising a, then b. corners gives the triangles.
func eachEdge(points int, tris int, corners func(i int) [3]int32, fn func(a, b int32, h []halfEdge)) {
	start := make([]int32, points+1)
	each := func(do func(a int32, h halfEdge)) {
		for i := range tris {
			v := corners(i)
			for k := range 3 {
				a, b := v[k], v[(k+1)%3]
				if a < b {
					do(a, halfEdge{b, int32(i), true})
				} else {
					do(b, halfEdge{a, int32(i), false})
				}
			}
		}
	}
	each(func(a int32, _ halfEdge) { start[a+1]++ })
	for i := range points {
		start[i+1] += start[i]
	}
	all := make([]halfEdge, start[points])
	at := slices.Clone(start)
	each(func(a int32, h halfEdge) {
		all[at[a]] = h
		at[a]++
	})
	for a := range points {
		list := all[start[a]:start[a+1]]
		sortHalf(list)
		for i := 0; i < len(list); {
			j := i + 1
			for j < len(list) && list[j].b == list[i].b {
				j++
			}
			fn(int32(a), list[i].b, list[i:j:j])
			i = j
		}
	}
}

// sortHalf sorts by b and keeps the order of equals.
func sortHalf(l []halfEdge) {
	if len(l) > 40 {
		slices.SortStableFunc(l, func(x, y halfEdge) int { return int(x.b - y.b) })
		return
	}
	for i := 1; i < len(l); i++ {
		for j := i; j > 0 && l[j].b < l[j-1].b; j-- {
			l[j], l[j-1] = l[j-1], l[j]
		}
	}
}

// spoke is a half-plane that ends in an edge: part of the plane n.x = d, on
// the side to which n x (direction of the edge) points where forward.
type spoke struct {
	plane   int32
	forward bool
	what    int32
}

// turnAround sorts the spokes of the edge from point p to point q by angle,
// counter-clockwise about the direction p to q, beginning with the first. It is
// exact: for half-planes s n x d and t m x d the turn from one to the other
// has the sign of s t d.(n x m). It reports whether all differ.
func (a *arrangement) turnAround(p, q int32, spokes []spoke) bool {
	first := &a.planes[spokes[0].plane]
	var d *plane
	for _, s := range spokes[1:] {
		if o := &a.planes[s.plane]; o.n != first.n {
			d = o
			break
		}
	}
	if d == nil { // all in one plane: at most the two sides of the edge
		return len(spokes) == 1 || len(spokes) == 2 && spokes[0].forward != spokes[1].forward
	}
	dir := cross128(first.n, d.n)
	k := steepest(dir)
	up := a.pts.pts[q].compare(&a.pts.pts[p], k) * dir[k].sign()
	turn := func(s, t *spoke) int {
		m, n := &a.planes[s.plane], &a.planes[t.plane]
		v := up * tripleLagrange(first, d, m, n)
		if s.forward != t.forward {
			v = -v
		}
		return v
	}
	zero := spokes[0]
	sector := func(s *spoke) int { // 0 the first itself, 1 before the half turn, 2 at it, 3 beyond
		switch turn(&zero, s) {
		case 1:
			return 1
		case -1:
			return 3
		}
		if s.forward == zero.forward {
			return 0
		}
		return 2
	}
	distinct := true
	slices.SortFunc(spokes[1:], func(s, t spoke) int {
		x, y := sector(&s), sector(&t)
		if x != y {
			return x - y
		}
		c := -turn(&s, &t)
		if c == 0 && s.what != t.what {
			distinct = false
		}
		return c
	})
	for i := 1; i < len(spokes); i++ {
		distinct = distinct && sector(&spokes[i]) != 0
	}
	return distinct
}

// tripleLagrange is the sign of (p x q).(m x n) = (p.m)(q.n) - (p.n)(q.m):
// factors below 2^124.
func tripleLagrange(p, q, m, n *plane) int {
	pm, qn, pn, qm := dot3(p, m), dot3(q, n), dot3(p, n), dot3(q, m)
	if s := pm*qn - pn*qm; s > 1e-12*lengths(p, q, m, n) || s < -1e-12*lengths(p, q, m, n) {
		return signOf(s)
	}
	var a, b, l, r num
	a.set128(dot128(p.n, m.n))
	b.set128(dot128(q.n, n.n))
	l.mul(&a, &b)
	a.set128(dot128(p.n, n.n))
	b.set128(dot128(q.n, m.n))
	r.mul(&a, &b)
	l.sub(&l, &r)
	return l.sign()
}

func dot3(p, q *plane) float64 {
	return p.nf[0]*q.nf[0] + p.nf[1]*q.nf[1] + p.nf[2]*q.nf[2]
}

// lengths bounds the product of the normals' lengths from above.
func lengths(ps ...*plane) float64 {
	l := 1.0
	for _, p := range ps {
		l *= 2 * max(p.nf[p.drop], -p.nf[p.drop])
	}
	return l
}
