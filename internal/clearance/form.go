package clearance

import (
	"math"
	"slices"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// form is a body in the coordinates that suit its motion: as drawn, with trees
// of axis-aligned boxes, or with z along the axis of a coaxial pair, with trees
// of cylindrical boxes.
type form struct {
	body      *Body
	round     bool        // cylindrical boxes
	to        geom.Motion // from the drawn frame to this one
	v         []geom.Vec
	t         [][3]int32
	normal    []geom.Vec
	edge      [][3]geom.Vec
	vertex    []geom.Vec
	nodes     []node
	points    []geom.Vec // of the clusters
	names     []int32    // of the points, index for index
	clusterOf []int32    // of the triangles: the largest cluster; -1 for one without area
	root      int32
	roots     []int32 // of the shells
	balls     []ball  // that hold all of it, unless it is round
}

// ball is a ball in the form's frame.
type ball struct {
	c geom.Vec
	r float64
}

// mostBalls is how many balls hold a body: of a long pin that turns about its axis one
// alone would reach far off it.
const mostBalls = 16

// surround finds them: the largest is taken apart until there are enough.
func (f *form) surround() []ball {
	nodes := []int32{f.root}
	sized := func(i int32) ball {
		c, r := f.sphere(&f.nodes[i])
		return ball{c, r}
	}
	out := []ball{sized(f.root)}
	for len(out) < mostBalls {
		best := 0
		for i := range out {
			if out[i].r > out[best].r {
				best = i
			}
		}
		n := &f.nodes[nodes[best]]
		if n.left < 0 {
			break
		}
		nodes[best], nodes = n.left, append(nodes, n.next)
		out[best], out = sized(n.left), append(out, sized(n.next))
	}
	return out
}

// node is a node of the tree of boxes. The six numbers of its box mean
// lo, hi of x, y, z; or r from, r to, middle angle, half angle, z from, z to.
type node struct {
	box  [6]float64
	size float64  // longest side, mm
	face geom.Vec // a cluster's mean normal, unit or zero
	left int32    // -1: a leaf
	next int32    // right child, or the triangle of a leaf
	from int32    // the vertices of a cluster in form.points: from, to; none if equal
	to   int32
}

// clusterSize is the largest number of triangles of a node that keeps its own
// list of vertices, for bounds along a direction. Measured on the conforming
// pair: 8 to 16 are alike, 4 and 32 slower.
const clusterSize = 16

func newForm(b *Body, axis geom.Line) *form {
	f := &form{body: b, t: b.mesh.T, v: b.mesh.V, normal: b.normal, edge: b.edge, vertex: b.vertex, to: geom.Identity()}
	if axis != (geom.Line{}) {
		f.round = true
		f.to = axisFrame(axis)
		if f.to != geom.Identity() {
			f.turn()
		}
	}
	f.plant()
	if !f.round && len(f.nodes) > 0 {
		f.balls = f.surround()
	}
	return f
}

// axisFrame is the motion that brings the axis to z; for the z axis itself it
// moves nothing, so that coordinates stay what they were.
func axisFrame(axis geom.Line) geom.Motion {
	k := axis.Dir
	x := geom.Vec{X: 1}
	if math.Abs(k.X) > 0.9 {
		x = geom.Vec{Y: 1}
	}
	x = r3.Unit(r3.Sub(x, r3.Scale(r3.Dot(x, k), k)))
	m := geom.Motion{R: [3]geom.Vec{x, r3.Cross(k, x), k}}
	m.T = r3.Scale(-1, m.Turn(axis.Point))
	return m
}

// turn carries vertices and normals into the frame.
func (f *form) turn() {
	f.v = make([]geom.Vec, len(f.body.mesh.V))
	for i, p := range f.body.mesh.V {
		f.v[i] = f.to.Apply(p)
	}
	f.vertex = make([]geom.Vec, len(f.v))
	for i, n := range f.body.vertex {
		f.vertex[i] = f.to.Turn(n)
	}
	f.normal = make([]geom.Vec, len(f.t))
	f.edge = make([][3]geom.Vec, len(f.t))
	for i, n := range f.body.normal {
		f.normal[i] = f.to.Turn(n)
		for k, e := range f.body.edge[i] {
			f.edge[i][k] = f.to.Turn(e)
		}
	}
}

// some is a triangle of the subtree n.
func (f *form) some(n int32) int32 {
	for f.nodes[n].left >= 0 {
		n = f.nodes[n].left
	}
	return f.nodes[n].next
}

// triangle gives the corners of triangle i.
func (f *form) triangle(i int32) geom.Triangle {
	t := f.t[i]
	return geom.Triangle{f.v[t[0]], f.v[t[1]], f.v[t[2]]}
}

// plant builds the tree: one for every shell, joined in order of size.
func (f *form) plant() {
	n := 0
	for s := range f.body.shells {
		n += len(f.body.shells[s].tris)
	}
	p := &planter{form: f, box: make([][6]float64, len(f.t)), key: make([]float64, len(f.t))}
	f.nodes = make([]node, 0, 2*n)
	f.clusterOf = slices.Repeat([]int32{-1}, len(f.t))
	for s := range f.body.shells {
		tris := append([]int32(nil), f.body.shells[s].tris...)
		for _, i := range tris {
			p.box[i] = f.boxOf(i)
		}
		if len(tris) == 0 {
			f.roots = append(f.roots, -1)
			continue
		}
		f.roots = append(f.roots, p.grow(tris))
	}
	f.root = -1
	for _, r := range f.roots {
		switch {
		case r < 0:
		case f.root < 0:
			f.root = r
		default:
			f.root = p.join(f.root, r)
		}
	}
}

// planter holds what is needed while a tree is built.
type planter struct {
	*form
	box [][6]float64
	key []float64
}

func (p *planter) join(l, r int32) int32 {
	box := p.merge(&p.nodes[l].box, &p.nodes[r].box)
	p.nodes = append(p.nodes, node{box: box, left: l, next: r, size: p.sizeOf(&box)})
	return int32(len(p.nodes) - 1)
}

// grow builds the tree of the triangles, split at the median along the longest
// side of their box.
func (p *planter) grow(tris []int32) int32 {
	var n int32
	if len(tris) == 1 {
		b := p.box[tris[0]]
		n = int32(len(p.nodes))
		p.nodes = append(p.nodes, node{box: b, left: -1, next: tris[0], size: p.sizeOf(&b)})
	} else {
		b := p.box[tris[0]]
		for _, i := range tris[1:] {
			b = p.merge(&b, &p.box[i])
		}
		p.rank(tris, &b)
		h := len(tris) / 2
		nth(tris, p.key, h)
		l := p.grow(tris[:h])
		n = p.join(l, p.grow(tris[h:]))
	}
	if len(tris) <= clusterSize {
		p.cluster(&p.nodes[n], tris)
		for _, i := range tris {
			p.clusterOf[i] = n
		}
	}
	return n
}

// cluster lists the vertices of a small node.
func (p *planter) cluster(n *node, tris []int32) {
	n.from = int32(len(p.points))
	var sum geom.Vec
	for _, i := range tris {
		sum = r3.Add(sum, p.normal[i])
		for _, v := range p.t[i] {
			if !slices.Contains(p.names[n.from:], v) {
				p.names = append(p.names, v)
				p.points = append(p.points, p.v[v])
			}
		}
	}
	n.to = int32(len(p.points))
	if l := norm(sum); l > 1e-3 {
		n.face = r3.Scale(1/l, sum)
	}
}

// rank gives every triangle its place along the longest side of the box b.
func (p *planter) rank(tris []int32, b *[6]float64) {
	if !p.round {
		axis := 0
		for k := 1; k < 3; k++ {
			if b[3+k]-b[k] > b[3+axis]-b[axis] {
				axis = k
			}
		}
		for _, i := range tris {
			p.key[i] = p.box[i][axis] + p.box[i][3+axis]
		}
		return
	}
	er, ez, et := b[1]-b[0], b[5]-b[4], 2*b[3]*b[1]
	for _, i := range tris {
		x := &p.box[i]
		switch {
		case et >= er && et >= ez:
			p.key[i] = wrap(x[2] - b[2])
		case ez >= er:
			p.key[i] = x[4] + x[5]
		default:
			p.key[i] = x[0] + x[1]
		}
	}
}

// nth reorders tris so that the k with the least keys come first (C. Hoare's
// selection, 1961); equal keys are ordered by number, so the result is one set.
func nth(tris []int32, key []float64, k int) {
	less := func(a, b int32) bool { return key[a] < key[b] || (key[a] == key[b] && a < b) }
	lo, hi := 0, len(tris)-1
	for lo < hi {
		p := tris[(lo+hi)/2]
		i, j := lo, hi
		for i <= j {
			for less(tris[i], p) {
				i++
			}
			for less(p, tris[j]) {
				j--
			}
			if i <= j {
				tris[i], tris[j] = tris[j], tris[i]
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
