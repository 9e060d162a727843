package proof

import (
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// body is a part in the frame of a travel, whose axis is the z axis. It is a
// binary tree over a list of triangles of which neighbours lie together.
type body struct {
	tri    []geom.Triangle
	normal []geom.Vec
	nodes  []node
}

// span is a closed interval.
type span struct{ lo, hi float64 }

func (s span) with(t span) span { return span{min(s.lo, t.lo), max(s.hi, t.hi)} }

func (s span) mid() float64 { return (s.lo + s.hi) / 2 }

// gap is the distance of two intervals, 0 where they meet.
func (s span) gap(t span) float64 { return max(0, t.lo-s.hi, s.lo-t.hi) }

// node bounds triangles in two ways: by x, y, z and by radius, angle and z.
// Angles may run beyond pi. A leaf is the triangle first, an inner node's
// children are the next node and right.
type node struct {
	x, y, z   span
	r, turn   span
	size      float64 // diagonal of the box, mm
	right     int32   // 0 for a leaf
	first, to int32   // the triangles
}

// boxError widens boxes, mm and radians: far above rounding for parts of a
// metre (1e-12), and a part of slack.
const boxError = 1e-10

func newBody(tris []geom.Triangle, g geom.Motion) *body {
	b := &body{tri: make([]geom.Triangle, len(tris)), normal: make([]geom.Vec, len(tris)), nodes: make([]node, 0, 2*len(tris))}
	for i := range tris {
		for k, v := range tris[i] {
			b.tri[i][k] = g.Apply(v)
		}
		b.normal[i] = b.tri[i].Normal()
	}
	if len(tris) > 0 {
		b.build(0, int32(len(tris)))
	}
	return b
}

func (b *body) build(from, to int32) int32 {
	id := int32(len(b.nodes))
	if to-from == 1 {
		b.nodes = append(b.nodes, leaf(&b.tri[from], from))
		return id
	}
	b.nodes = append(b.nodes, node{})
	left := b.build(from, (from+to)/2)
	right := b.build((from+to)/2, to)
	l, r := &b.nodes[left], &b.nodes[right]
	n := node{x: l.x.with(r.x), y: l.y.with(r.y), z: l.z.with(r.z), r: l.r.with(r.r), right: right, first: from, to: to}
	shift := 2 * math.Pi * math.Round((l.turn.mid()-r.turn.mid())/(2*math.Pi))
	n.turn = l.turn.with(span{r.turn.lo + shift, r.turn.hi + shift})
	n.size = diagonal(&n)
	b.nodes[id] = n
	return id
}

func diagonal(n *node) float64 {
	return r3.Norm(geom.Vec{X: n.x.hi - n.x.lo, Y: n.y.hi - n.y.lo, Z: n.z.hi - n.z.lo})
}

// leaf is the node of one triangle.
func leaf(t *geom.Triangle, i int32) node {
	around := func(a, b, c float64) span { return span{min(a, b, c) - boxError, max(a, b, c) + boxError} }
	n := node{
		x: around(t[0].X, t[1].X, t[2].X), y: around(t[0].Y, t[1].Y, t[2].Y), z: around(t[0].Z, t[1].Z, t[2].Z),
		first: i, to: i + 1,
	}
	n.size = diagonal(&n)
	n.r.hi = boxError + max(math.Hypot(t[0].X, t[0].Y), math.Hypot(t[1].X, t[1].Y), math.Hypot(t[2].X, t[2].Y))
	near, _ := (&geom.Triangle{flat(t[0]), flat(t[1]), flat(t[2])}).Closest(geom.Vec{})
	n.r.lo = max(0, r3.Norm(near)-boxError)
	if n.r.lo == 0 {
		n.turn = span{-math.Pi, math.Pi}
		return n
	}
	// The axis is outside, so that no side spans half a turn.
	a := math.Atan2(t[0].Y, t[0].X)
	n.turn = around(a, a+wrap(math.Atan2(t[1].Y, t[1].X)-a), a+wrap(math.Atan2(t[2].Y, t[2].X)-a))
	return n
}

func flat(v geom.Vec) geom.Vec { return geom.Vec{X: v.X, Y: v.Y} }

// wrap brings an angle into -pi to pi.
func wrap(a float64) float64 { return math.Remainder(a, 2*math.Pi) }

// nearest is the triangle nearest to p and its distance, -1 for an empty body.
func (b *body) nearest(p geom.Vec) (tri int32, d float64) {
	best := math.Inf(1)
	tri = -1
	var look func(id int32)
	look = func(id int32) {
		n := &b.nodes[id]
		if n.distance2(p) >= best {
			return
		}
		if n.right == 0 {
			q, _ := b.tri[n.first].Closest(p)
			if d2 := r3.Norm2(r3.Sub(p, q)); d2 < best {
				best, tri = d2, n.first
			}
			return
		}
		l, r := id+1, n.right
		if b.nodes[l].distance2(p) > b.nodes[r].distance2(p) {
			l, r = r, l
		}
		look(l)
		look(r)
	}
	if len(b.nodes) > 0 {
		look(0)
	}
	return tri, math.Sqrt(best)
}

func (n *node) distance2(p geom.Vec) float64 {
	x, y, z := n.x.gap(span{p.X, p.X}), n.y.gap(span{p.Y, p.Y}), n.z.gap(span{p.Z, p.Z})
	return x*x + y*y + z*z
}
