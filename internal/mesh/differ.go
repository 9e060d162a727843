package mesh

import (
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// SamePlace is how far, mm, a point may lie off a surface, in any direction, and
// still count as on it where two meshes are compared: far more than vertices within a
// metre are rounded by, far less than anything is told to.
const SamePlace = 1e-9

// mostPieces bounds into how many pieces a triangle is cut before all of it counts
// as changed.
const mostPieces = 256

// Changed lists what of the surface of m, as triangles, is not surface of old as
// well, facing the same way: every point of m that is in none of them lies within
// 2 SamePlace of the surface of old. What hardly differs may be listed too.
func Changed(m *Mesh, old *Tree) []geom.Triangle {
	known := make(map[geom.Triangle]bool, len(old.tri))
	for i := range old.tri {
		known[fromLeast(old.tri[i])] = true
	}
	var out []geom.Triangle
	for i := range m.T {
		t := m.Triangle(i)
		if known[fromLeast(t)] || t.Normal() == (geom.Vec{}) {
			continue
		}
		out = append(out, old.uncovered(t)...)
	}
	return out
}

// fromLeast is the triangle beginning with the corner that comes first.
func fromLeast(t geom.Triangle) geom.Triangle {
	less := func(a, b geom.Vec) bool {
		switch {
		case a.X != b.X:
			return a.X < b.X
		case a.Y != b.Y:
			return a.Y < b.Y
		default:
			return a.Z < b.Z
		}
	}
	k := 0
	for i := 1; i < 3; i++ {
		if less(t[i], t[k]) {
			k = i
		}
	}
	return geom.Triangle{t[k], t[(k+1)%3], t[(k+2)%3]}
}

// uncovered is what of t no triangle of the tree covers.
func (t *Tree) uncovered(x geom.Triangle) []geom.Triangle {
	n := x.Normal()
	left := [][]geom.Vec{x[:]}
	for _, i := range t.meeting(x) {
		if r3.Dot(t.norm[i], n) <= 0 || !flatWith(&x, t.tri[i][0], t.norm[i]) {
			continue
		}
		var rest [][]geom.Vec
		for _, p := range left {
			rest = append(rest, beside(p, &t.tri[i], t.norm[i])...)
		}
		if left = rest; len(left) > mostPieces {
			return []geom.Triangle{x}
		}
	}
	var out []geom.Triangle
	for _, p := range left {
		for k := 2; k < len(p); k++ {
			out = append(out, geom.Triangle{p[0], p[k-1], p[k]})
		}
	}
	return out
}

// flatWith tells whether x lies in the plane through p across n.
func flatWith(x *geom.Triangle, p, n geom.Vec) bool {
	for _, v := range x {
		if math.Abs(r3.Dot(n, r3.Sub(v, p))) > SamePlace {
			return false
		}
	}
	return true
}

// beside is the convex polygon p less the triangle c with normal n, p being flat
// with it, in convex pieces; pieces that lie within 2 SamePlace of c are left out.
func beside(p []geom.Vec, c *geom.Triangle, n geom.Vec) [][]geom.Vec {
	var out [][]geom.Vec
	for k := range c {
		away := r3.Cross(r3.Sub(c[(k+1)%3], c[k]), n)
		in, past := cutAlong(p, c[k], away)
		if past != nil && !allNear(past, c) {
			out = append(out, past)
		}
		if in == nil {
			return out
		}
		p = in
	}
	return out
}

// allNear tells whether a convex polygon lies within 2 SamePlace of c: the distance
// to a triangle is convex, so its corners tell.
func allNear(p []geom.Vec, c *geom.Triangle) bool {
	for _, v := range p {
		if q, _ := c.Closest(v); r3.Norm(r3.Sub(q, v)) > 2*SamePlace {
			return false
		}
	}
	return true
}

// cutAlong cuts a convex polygon along the plane through c: in lies against away,
// past along it; either is nil if there is nothing of it.
func cutAlong(p []geom.Vec, c, away geom.Vec) (in, past []geom.Vec) {
	least, most := math.Inf(1), math.Inf(-1)
	d := make([]float64, len(p))
	for i, v := range p {
		d[i] = r3.Dot(away, r3.Sub(v, c))
		least, most = min(least, d[i]), max(most, d[i])
	}
	switch {
	case most <= 0:
		return p, nil
	case least >= 0:
		return nil, p
	}
	for i, v := range p {
		k := (i + 1) % len(p)
		if d[i] <= 0 {
			in = append(in, v)
		}
		if d[i] >= 0 {
			past = append(past, v)
		}
		if d[i] < 0 && d[k] > 0 || d[i] > 0 && d[k] < 0 {
			x := r3.Add(v, r3.Scale(d[i]/(d[i]-d[k]), r3.Sub(p[k], v)))
			in, past = append(in, x), append(past, x)
		}
	}
	return in, past
}

// meeting lists the leaf triangles whose nodes' boxes come within SamePlace of the
// box of x.
func (t *Tree) meeting(x geom.Triangle) []int32 {
	return t.within(geom.EmptyBox().Add(x[0]).Add(x[1]).Add(x[2]), SamePlace)
}

// Around lists the triangles, by their places in Triangles, that may come within r of p,
// mm: all that do, and some more.
func (t *Tree) Around(p geom.Vec, r float64) []int32 { return t.within(geom.EmptyBox().Add(p), r) }

// within lists the triangles of the leaves whose boxes come within pad of b.
func (t *Tree) within(b geom.Box, pad float64) []int32 {
	if len(t.nodes) == 0 {
		return nil
	}
	mid, half := r3.Scale(0.5, r3.Add(b.Lo, b.Hi)), r3.Scale(0.5, r3.Sub(b.Hi, b.Lo))
	apart := func(n *treeNode) bool {
		d, h := r3.Sub(mid, n.centre), r3.Add(half, n.half)
		return math.Abs(d.X) > h.X+pad || math.Abs(d.Y) > h.Y+pad || math.Abs(d.Z) > h.Z+pad
	}
	var out []int32
	stack := []int32{0}
	for len(stack) > 0 {
		id := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		n := &t.nodes[id]
		switch {
		case apart(n):
		case n.count > 0:
			for k := n.first; k < n.first+n.count; k++ {
				out = append(out, k)
			}
		default:
			stack = append(stack, id+1, n.right)
		}
	}
	return out
}
