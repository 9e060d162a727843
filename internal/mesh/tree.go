package mesh

import (
	"math"
	"slices"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// Tree answers distance questions about one mesh: how far a point is from the
// solid, how far two solids are apart. It is a tree of axis-aligned boxes in
// flat arrays and is safe for use by several goroutines.
//
// The mesh may be several closed shells; the solid is where their winding number
// is one or more, so that shells which overlap are joined and a shell facing
// inwards is a hollow. Of a mesh that is not closed only the distances hold,
// not the signs.
type Tree struct {
	mesh  *Mesh
	tri   []geom.Triangle // in the order of the leaves
	norm  []geom.Vec      // their unit normals
	index []int32         // the mesh's number of tri[i]
	nodes []treeNode
	shell []int32 // of tri[i]; nil where there is one
	skin  *Tree   // the solid's boundary; nil where it is all of tri
}

// treeNode is a box by centre and half extents. An inner node's children are
// the next node and right; a leaf has count triangles from first.
type treeNode struct {
	centre, half geom.Vec
	right        int32
	first, count int32
}

// leafSize is the most triangles of a leaf: with more, the distance of two close
// meshes spends its time on triangles, with fewer on boxes (measured, flat
// between 2 and 4).
const leafSize = 3

// NewTree builds the tree of m, which must not change afterwards. It costs a
// few microseconds a triangle.
func NewTree(m *Mesh) *Tree {
	n := len(m.T)
	t := &Tree{mesh: m, tri: make([]geom.Triangle, n), index: make([]int32, n)}
	for i := range n {
		t.tri[i], t.index[i] = m.Triangle(i), int32(i)
	}
	t.grow()
	t.cover(m)
	return t
}

// NewFaceTree builds the tree of faces that bound nothing, for distances alone: there
// is no inside to it and no mesh.
func NewFaceTree(faces []geom.Triangle) *Tree {
	t := &Tree{tri: slices.Clone(faces), index: make([]int32, len(faces))}
	for i := range faces {
		t.index[i] = int32(i)
	}
	t.grow()
	return t
}

// Mesh is the mesh that the tree was made of.
func (t *Tree) Mesh() *Mesh { return t.mesh }

// Bounds is the box around what the tree holds.
func (t *Tree) Bounds() geom.Box {
	if len(t.nodes) == 0 {
		return geom.EmptyBox()
	}
	n := &t.nodes[0]
	return geom.EmptyBox().Add(r3.Sub(n.centre, n.half)).Add(r3.Add(n.centre, n.half))
}

// Triangles lists the triangles in the order of the tree's leaves, in which
// every half (from, middle, to) lies together. The slice must not be changed.
func (t *Tree) Triangles() []geom.Triangle { return t.tri }

// Index is the mesh's number of triangle i of Triangles.
func (t *Tree) Index(i int) int { return int(t.index[i]) }

// Shell numbers the closed surface to which triangle i of Triangles belongs;
// the numbers are those of the surface's first triangle.
func (t *Tree) Shell(i int) int {
	if t.shell == nil {
		return 0
	}
	return int(t.shell[i])
}

// Boundary is the tree of the solid's boundary: t itself, or, where shells
// overlap, what of their triangles no other shell covers.
func (t *Tree) Boundary() *Tree {
	if t.skin == nil {
		return t
	}
	return t.skin
}

// grow builds the nodes and puts tri and index in the order of the leaves.
func (t *Tree) grow() {
	n := len(t.tri)
	if n == 0 {
		return
	}
	b := builder{t: t, mid: make([]geom.Vec, n), order: make([]int32, n)}
	for i := range n {
		c := &t.tri[i]
		b.mid[i], b.order[i] = r3.Add(c[0], r3.Add(c[1], c[2])), int32(i)
	}
	b.build(0, n)
	tri, index := make([]geom.Triangle, n), make([]int32, n)
	for i, k := range b.order {
		tri[i], index[i] = t.tri[k], t.index[k]
	}
	t.tri, t.index = tri, index
	t.norm = make([]geom.Vec, n)
	for i := range tri {
		t.norm[i] = tri[i].Normal()
	}
}

// builder is a tree in the making: triples of the triangles' centres, and their
// order.
type builder struct {
	t     *Tree
	mid   []geom.Vec
	order []int32
}

// build makes the nodes of order[from:to] and returns the number of the first.
func (b *builder) build(from, to int) int32 {
	box, spread := geom.EmptyBox(), geom.EmptyBox()
	for _, k := range b.order[from:to] {
		for _, v := range b.t.tri[k] {
			box = box.Add(v)
		}
		spread = spread.Add(b.mid[k])
	}
	id := int32(len(b.t.nodes))
	b.t.nodes = append(b.t.nodes, treeNode{
		centre: r3.Scale(0.5, r3.Add(box.Lo, box.Hi)),
		half:   r3.Scale(0.5, r3.Sub(box.Hi, box.Lo)),
		first:  int32(from), count: int32(to - from),
	})
	if to-from <= leafSize {
		return id
	}
	axis := widest(r3.Sub(spread.Hi, spread.Lo))
	half := (from + to) / 2
	selectMiddle(b.order[from:to], half-from, func(k int32) float64 { return axis(b.mid[k]) })
	b.build(from, half)
	right := b.build(half, to)
	b.t.nodes[id].right, b.t.nodes[id].count = right, 0
	return id
}

// widest picks the coordinate in which v is largest.
func widest(v geom.Vec) func(geom.Vec) float64 {
	switch {
	case v.X >= v.Y && v.X >= v.Z:
		return func(p geom.Vec) float64 { return p.X }
	case v.Y >= v.Z:
		return func(p geom.Vec) float64 { return p.Y }
	default:
		return func(p geom.Vec) float64 { return p.Z }
	}
}

// selectMiddle reorders ids so that the k smallest keys come first (Hoare's
// selection; equal keys end up in an order that depends on the input only).
func selectMiddle(ids []int32, k int, key func(int32) float64) {
	lo, hi := 0, len(ids)-1
	for lo < hi {
		pivot := key(ids[(lo+hi)/2])
		i, j := lo, hi
		for i <= j {
			for key(ids[i]) < pivot {
				i++
			}
			for key(ids[j]) > pivot {
				j--
			}
			if i <= j {
				ids[i], ids[j] = ids[j], ids[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return
		}
	}
}

// distance2 is the squared distance of p to the node's box.
func (n *treeNode) distance2(p geom.Vec) float64 {
	x := max(0, math.Abs(p.X-n.centre.X)-n.half.X)
	y := max(0, math.Abs(p.Y-n.centre.Y)-n.half.Y)
	z := max(0, math.Abs(p.Z-n.centre.Z)-n.half.Z)
	return x*x + y*y + z*z
}

// Signed is the signed distance of p to the solid, mm: negative inside, where
// it is the distance to the solid's own boundary and not to a shell that lies
// within another. tri is the mesh's number of the nearest triangle, near the
// nearest point on it. An empty tree is +Inf away, tri -1.
//
// The distance is that of floating point, within 1e-9 of the mesh's size;
// where shells overlap, within 2e-6 mm.
func (t *Tree) Signed(p geom.Vec) (d float64, tri int, near geom.Vec) {
	if len(t.nodes) == 0 {
		return math.Inf(1), -1, geom.Vec{}
	}
	if !t.inside(p) {
		leaf, near, d := t.nearest(p, math.Inf(1))
		return d, int(t.index[leaf]), near
	}
	s := t.Boundary()
	leaf, near, d := s.nearest(p, math.Inf(1))
	if leaf < 0 {
		return math.Inf(-1), -1, geom.Vec{}
	}
	return -d, int(s.index[leaf]), near
}

// Inside tells whether p lies within the solid. On the surface it may say
// either.
func (t *Tree) Inside(p geom.Vec) bool { return len(t.nodes) > 0 && t.inside(p) }

// Within tells whether the mesh's surface comes nearer to p than far, mm.
func (t *Tree) Within(p geom.Vec, far float64) bool {
	leaf, _, _ := t.nearest(p, far)
	return leaf >= 0
}

// nearest is the leaf triangle nearest to p, if one is nearer than cut.
func (t *Tree) nearest(p geom.Vec, cut float64) (leaf int, near geom.Vec, d float64) {
	leaf = -1
	if len(t.nodes) == 0 {
		return leaf, near, cut
	}
	best := cut * cut
	type item struct {
		node int32
		d2   float64
	}
	var buf [64]item
	stack := append(buf[:0], item{0, t.nodes[0].distance2(p)})
	for len(stack) > 0 {
		it := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if it.d2 >= best {
			continue
		}
		n := &t.nodes[it.node]
		for k := n.first; k < n.first+n.count; k++ {
			q, _ := t.tri[k].Closest(p)
			if d2 := r3.Norm2(r3.Sub(p, q)); d2 < best {
				best, leaf, near = d2, int(k), q
			}
		}
		if n.count > 0 {
			continue
		}
		a, b := item{it.node + 1, t.nodes[it.node+1].distance2(p)}, item{n.right, t.nodes[n.right].distance2(p)}
		if a.d2 > b.d2 {
			a, b = b, a
		}
		if b.d2 < best {
			stack = append(stack, b)
		}
		if a.d2 < best {
			stack = append(stack, a)
		}
	}
	return leaf, near, math.Sqrt(best)
}
