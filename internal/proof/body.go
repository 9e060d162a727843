package proof

import (
	"math"
	"sync"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// body is a part in the frame of a travel, whose axis is the z axis. It is a
// binary tree over a list of triangles of which neighbours lie together.
type body struct {
	tri    []geom.Triangle
	normal []geom.Vec
	nodes  []node

	once   sync.Once // for the rest, which only depth asks for
	beside [][]int32 // the triangles at the sides of each
	face   []int32   // of each triangle, into faces
	faces  []*face
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
	plane     plane
	right     int32 // 0 for a leaf
	first, to int32 // the triangles
}

// plane bounds triangles that face about one way: n is the unit mean of their
// normals, zero where they do not, and no point of them lies beyond far along n.
type plane struct {
	n   geom.Vec
	far float64
}

// flatness is how long the mean of the normals of triangles must be for them to
// count as facing one way: within some 25 degrees of it.
const flatness = 0.9

// boxError widens boxes, mm and radians: far above rounding for parts of a
// metre (1e-12), and a part of slack.
const boxError = 1e-10

func newBody(tris []geom.Triangle, g geom.Motion) *body {
	cross, area := make([]geom.Vec, len(tris)), make([]float64, len(tris))
	b := &body{tri: make([]geom.Triangle, len(tris)), normal: make([]geom.Vec, len(tris)), nodes: make([]node, 0, 2*len(tris))}
	for i := range tris {
		for k, v := range tris[i] {
			b.tri[i][k] = g.Apply(v)
		}
		t := &b.tri[i]
		cross[i] = r3.Cross(r3.Sub(t[1], t[0]), r3.Sub(t[2], t[0]))
		area[i] = math.Sqrt(r3.Norm2(cross[i]))
		if area[i] > 0 {
			b.normal[i] = r3.Scale(1/area[i], cross[i])
		}
	}
	if len(tris) > 0 {
		b.build(0, int32(len(tris)), cross, area)
	}
	return b
}

// build makes the nodes of triangles from to to, whose doubled areas, as vectors
// and as lengths, are given.
func (b *body) build(from, to int32, cross []geom.Vec, area []float64) int32 {
	id := int32(len(b.nodes))
	if to-from == 1 {
		b.nodes = append(b.nodes, leaf(&b.tri[from], b.normal[from], from))
		return id
	}
	b.nodes = append(b.nodes, node{})
	left := b.build(from, (from+to)/2, cross, area)
	right := b.build((from+to)/2, to, cross, area)
	l, r := &b.nodes[left], &b.nodes[right]
	n := node{x: l.x.with(r.x), y: l.y.with(r.y), z: l.z.with(r.z), r: l.r.with(r.r), right: right, first: from, to: to}
	shift := 2 * math.Pi * math.Round((l.turn.mid()-r.turn.mid())/(2*math.Pi))
	n.turn = l.turn.with(span{r.turn.lo + shift, r.turn.hi + shift})
	n.size = diagonal(&n)
	n.plane = b.facing(from, to, cross, area)
	b.nodes[id] = n
	return id
}

// facing is the plane of triangles from to to. A plane of many is not looked
// for: it takes time and seldom serves.
func (b *body) facing(from, to int32, cross []geom.Vec, area []float64) plane {
	const most = 4096
	if to-from > most {
		return plane{}
	}
	sum, all := geom.Vec{}, 0.0
	for i := from; i < to; i++ {
		sum, all = r3.Add(sum, cross[i]), all+area[i]
	}
	l := math.Sqrt(r3.Norm2(sum))
	if l < flatness*all || l == 0 {
		return plane{}
	}
	p := plane{n: r3.Scale(1/l, sum), far: math.Inf(-1)}
	for i := from; i < to; i++ {
		for _, v := range b.tri[i] {
			p.far = max(p.far, r3.Dot(p.n, v))
		}
	}
	return p
}

// corners are those of the node's box.
func (n *node) corners() (c [8]geom.Vec) {
	for i := range c {
		c[i] = geom.Vec{X: n.x.lo, Y: n.y.lo, Z: n.z.lo}
		if i&1 != 0 {
			c[i].X = n.x.hi
		}
		if i&2 != 0 {
			c[i].Y = n.y.hi
		}
		if i&4 != 0 {
			c[i].Z = n.z.hi
		}
	}
	return c
}

func diagonal(n *node) float64 {
	return math.Sqrt(r3.Norm2(geom.Vec{X: n.x.hi - n.x.lo, Y: n.y.hi - n.y.lo, Z: n.z.hi - n.z.lo}))
}

// leaf is the node of one triangle.
func leaf(t *geom.Triangle, normal geom.Vec, i int32) node {
	around := func(a, b, c float64) span { return span{min(a, b, c) - boxError, max(a, b, c) + boxError} }
	n := node{
		x: around(t[0].X, t[1].X, t[2].X), y: around(t[0].Y, t[1].Y, t[2].Y), z: around(t[0].Z, t[1].Z, t[2].Z),
		first: i, to: i + 1,
	}
	n.size = diagonal(&n)
	if normal != (geom.Vec{}) {
		n.plane = plane{normal, max(r3.Dot(normal, t[0]), r3.Dot(normal, t[1]), r3.Dot(normal, t[2]))}
	}
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

// nearest is the distance of p to the nearest triangle.
func (b *body) nearest(p geom.Vec) float64 {
	_, d := b.nearestTriangle(p)
	return d
}

// nearestTriangle is the triangle nearest to p, -1 if there is none, and its distance.
func (b *body) nearestTriangle(p geom.Vec) (tri int32, dist float64) {
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
			if d := r3.Norm2(r3.Sub(p, q)); d < best {
				best, tri = d, n.first
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

// every calls do for the triangles within d of p, perhaps for more, until it says no; it
// tells whether it never did.
func (b *body) every(p geom.Vec, d float64, do func(tri int32) bool) bool {
	var look func(id int32) bool
	look = func(id int32) bool {
		n := &b.nodes[id]
		switch {
		case n.distance2(p) > d*d:
			return true
		case n.right == 0:
			return do(n.first)
		}
		return look(id+1) && look(n.right)
	}
	return len(b.nodes) == 0 || look(0)
}

// around lists, of every face within d of p, the triangle nearest to p.
func (b *body) around(p geom.Vec, d float64, out []int32) []int32 {
	b.once.Do(b.join)
	var dist [16]float64 // of those listed; more faces than that are not needed
	var look func(id int32)
	look = func(id int32) {
		n := &b.nodes[id]
		if n.distance2(p) > d*d {
			return
		}
		if n.right != 0 {
			look(id + 1)
			look(n.right)
			return
		}
		q, _ := b.tri[n.first].Closest(p)
		d2 := r3.Norm2(r3.Sub(p, q))
		if d2 > d*d {
			return
		}
		for k, other := range out {
			if b.face[other] == b.face[n.first] {
				if d2 < dist[k] {
					out[k], dist[k] = n.first, d2
				}
				return
			}
		}
		if len(out) < len(dist) {
			dist[len(out)] = d2
			out = append(out, n.first)
		}
	}
	look(0)
	return out
}

func (n *node) distance2(p geom.Vec) float64 {
	x, y, z := n.x.gap(span{p.X, p.X}), n.y.gap(span{p.Y, p.Y}), n.z.gap(span{p.Z, p.Z})
	return x*x + y*y + z*z
}
