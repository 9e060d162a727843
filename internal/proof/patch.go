package proof

import (
	"math"

	"feint/internal/geom"
	"feint/internal/mechanism"

	"gonum.org/v1/gonum/spatial/r3"
)

// patch is a convex part of a triangle of s.a, with its middle, the radius about
// that, and bounds of how far its points move from their places in the middle of
// the interval and how far their arcs leave the chords: at most r h^2/2 for half
// the angle h (error of linear interpolation).
type patch struct {
	p          []geom.Vec
	mid        geom.Vec
	size       float64
	reach, bow float64
}

func (n *intrusion) patch(p []geom.Vec) patch {
	c := patch{p: p}
	far := 0.0
	for _, v := range p {
		c.mid = r3.Add(c.mid, r3.Scale(1/float64(len(p)), v))
		far = max(far, math.Hypot(v.X, v.Y))
	}
	for _, v := range p {
		c.size = max(c.size, r3.Norm(r3.Sub(v, c.mid)))
	}
	switch h := n.at.h; n.s.kind {
	case mechanism.Slide:
		c.reach = h
	case mechanism.Turn:
		c.reach, c.bow = h*far, far*h*h/2
	default:
		c.reach, c.bow = h*math.Hypot(far, n.s.pitch), far*h*h/2
	}
	return c
}

// piece shows a part of a triangle of s.a to be shallow over the interval.
func (n *intrusion) piece(p []geom.Vec) result {
	if n.pieces++; n.pieces > n.most {
		return unknown
	}
	c := n.patch(p)
	tri, d := n.s.b.nearestTriangle(n.at.g.Apply(c.mid))
	if d+c.size+c.reach <= n.allowed {
		return shallow
	}
	x := n.sign(c.mid, d)
	switch {
	case x < -n.allowed-slack:
		n.worst = -x
		return deep
	case x-c.size-c.reach >= -n.allowed:
		return shallow
	case x > slack && n.meetsNothing(&c):
		return shallow
	}
	ok, where := n.keepsNear(&c)
	if ok {
		return shallow
	}
	if c.size < c.reach || c.size < slack {
		return unknown
	}
	parts := n.along(where, &c)
	if f := n.s.b.faceOf(tri); len(parts) < 2 && f.n != (geom.Vec{}) { // what is beyond its plane may be outside
		parts = n.along(cut{m: f.n, at: f.far}, &c)
	}
	if len(parts) < 2 {
		parts = halves(&c)
	}
	for _, q := range parts {
		if r := n.piece(q); r != shallow {
			return r
		}
	}
	return shallow
}

// mostSeparated is how many triangles are tried before a patch is divided.
const mostSeparated = 48

// meetsNothing tells whether a plane parts the patch, wherever it is within the interval,
// from each triangle of s.b that it could come to: that of the triangle, or one square to
// the nearest way to it from the patch's middle. A patch whose middle is outside then is
// wholly so.
func (n *intrusion) meetsNothing(c *patch) bool {
	mid := n.at.g.Apply(c.mid)
	hull := make([]geom.Vec, 0, 16)
	for _, p := range c.p {
		hull = append(hull, n.ends[0].Apply(p), n.ends[1].Apply(p))
	}
	looked := 0
	parted := func(m geom.Vec, t *geom.Triangle) bool {
		most := max(r3.Dot(m, t[0]), r3.Dot(m, t[1]), r3.Dot(m, t[2])) + c.bow + flatError
		for _, p := range hull {
			if r3.Dot(m, p) < most {
				return false
			}
		}
		return true
	}
	return n.s.b.every(mid, c.size+c.reach+c.bow+flatError, func(i int32) bool {
		if looked++; looked > mostSeparated {
			return false
		}
		t, m := &n.s.b.tri[i], n.s.b.normal[i]
		if m != (geom.Vec{}) && (parted(m, t) || parted(r3.Scale(-1, m), t)) {
			return true
		}
		q, _ := t.Closest(mid)
		way := r3.Sub(mid, q)
		d := r3.Norm(way)
		return d > slack && parted(r3.Scale(1/d, way), t)
	})
}

// cut is a plane in the frame of s.b along which to divide a patch: on one side
// of it (or, for a strip, on both) a face may serve that does not serve for all.
type cut struct {
	m     geom.Vec
	at    float64
	strip bool
}

// keepsNear tries every face of s.b that is near enough to the patch. If none
// serves it tells where to divide, if it can.
func (n *intrusion) keepsNear(c *patch) (ok bool, where cut) {
	mid := n.at.g.Apply(c.mid)
	n.near = n.s.b.around(mid, n.allowed, n.near[:0])
	for _, tri := range n.near {
		ok, w := n.keepsTo(tri, c, mid)
		if ok {
			return true, cut{}
		}
		if where == (cut{}) {
			where = w
		}
	}
	return false, where
}

// keepsTo tells whether the patch stays within the allowed distance of a triangle
// of s.b, or of the plane face that the triangle is part of. The distance to a
// triangle is convex, so that the corners at both ends of the interval decide, but
// for the bow of their arcs. So they do for the height over a face, if all of the
// hull lies over it; at is one of its points.
func (n *intrusion) keepsTo(tri int32, c *patch, at geom.Vec) (ok bool, where cut) {
	hull := make([]geom.Vec, 0, 16)
	for _, p := range c.p {
		hull = append(hull, n.ends[0].Apply(p), n.ends[1].Apply(p))
	}
	f := n.s.b.faceOf(tri)
	within, lowest, highest := true, math.Inf(1), math.Inf(-1)
	for _, p := range hull {
		q, _ := n.s.b.tri[tri].Closest(p)
		within = within && r3.Norm(r3.Sub(p, q))+c.bow <= n.allowed+slack/2
		h := r3.Dot(f.n, p) - f.far
		lowest, highest = min(lowest, h), max(highest, h)
	}
	most := n.allowed - c.bow - flatError
	switch {
	case within:
		return true, cut{}
	case highest > most || highest < -most:
		return false, cut{}
	case lowest < -most: // another face may serve what is deeper
		return false, cut{m: f.n, at: f.far - most}
	}
	// the point must lie over the triangle itself: its nearest point is then its
	// foot on the plane
	q, _ := n.s.b.tri[tri].Closest(at)
	foot := r3.Sub(at, r3.Scale(r3.Dot(f.n, at)-f.far, f.n))
	if r3.Norm(r3.Sub(q, foot)) > flatError {
		return false, cut{}
	}
	ok, side := f.covers(hull, q, c.bow+2*flatError)
	m := r3.Cross(r3.Sub(side[1], side[0]), f.n)
	if l := r3.Norm(m); l > 0 {
		m = r3.Scale(1/l, m)
		where = cut{m: m, at: r3.Dot(m, side[0]), strip: true}
	}
	return ok, where
}

// along divides a patch by a cut, so far off that the motion over the interval
// does not carry one part across: what a level leaves to the face, and the rest;
// of a strip, what is on either side, and the strip itself.
func (n *intrusion) along(w cut, c *patch) [][]geom.Vec {
	if w == (cut{}) {
		return nil
	}
	off := 0.0
	for _, p := range c.p {
		mid := r3.Dot(w.m, n.at.g.Apply(p))
		for _, g := range &n.ends {
			off = max(off, math.Abs(r3.Dot(w.m, g.Apply(p))-mid))
		}
	}
	off += c.bow + 8*flatError
	m := geom.Vec{}
	for i, row := range n.at.g.R { // the cut in the frame of s.a
		m = r3.Add(m, r3.Scale([3]float64{w.m.X, w.m.Y, w.m.Z}[i], row))
	}
	at := w.at - r3.Dot(w.m, n.at.g.T)
	if !w.strip {
		return split(c.p, m, at+off)
	}
	parts := split(c.p, m, at-off)
	last := parts[len(parts)-1]
	return append(parts[:len(parts)-1], split(last, m, at+off)...)
}

// halves cuts a patch across its longest extent.
func halves(c *patch) [][]geom.Vec {
	far := c.p[0]
	for _, v := range c.p {
		if r3.Norm2(r3.Sub(v, c.mid)) > r3.Norm2(r3.Sub(far, c.mid)) {
			far = v
		}
	}
	m := r3.Unit(r3.Sub(far, c.mid))
	return split(c.p, m, r3.Dot(m, c.mid))
}

// split cuts a convex polygon where m . p = at: what is below, then what is
// above, or the whole if the cut leaves next to nothing on one side.
func split(p []geom.Vec, m geom.Vec, at float64) [][]geom.Vec {
	var below, above []geom.Vec
	lo, hi := 0.0, 0.0
	for i, v := range p {
		w := p[(i+1)%len(p)]
		a, b := r3.Dot(m, v)-at, r3.Dot(m, w)-at
		lo, hi = min(lo, a), max(hi, a)
		if a <= 0 {
			below = append(below, v)
		}
		if a >= 0 {
			above = append(above, v)
		}
		if a*b < 0 {
			x := r3.Add(v, r3.Scale(a/(a-b), r3.Sub(w, v)))
			below, above = append(below, x), append(above, x)
		}
	}
	if lo > -slack || hi < slack {
		return [][]geom.Vec{p}
	}
	return [][]geom.Vec{below, above}
}

func middle(t *geom.Triangle) geom.Vec {
	return r3.Scale(1.0/3, r3.Add(t[0], r3.Add(t[1], t[2])))
}
