package mesh

import (
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// Distance is the least distance of the surface of t, moved by g, to the
// surface of u, mm: 0 where they cross. pt and pu are nearest points in the
// frame of u. Only what is nearer than cut is looked for: d is cut, and the
// points are zero, if there is nothing; cut may be +Inf.
//
// Surfaces are measured, not solids: of two solids one within the other the
// distance is that of their surfaces. Ask Signed for one point of each shell to
// tell.
func (t *Tree) Distance(u *Tree, g geom.Motion, cut float64) (d float64, pt, pu geom.Vec) {
	s := t.measure(u, g, cut)
	return s.best, s.pt, s.pu
}

func (t *Tree) measure(u *Tree, g geom.Motion, cut float64) *search {
	s := newSearch(t, u, g)
	s.best = cut
	if len(t.nodes) > 0 && len(u.nodes) > 0 {
		visit(s, 0, 0, s.bound(0, 0))
	}
	return s
}

func newSearch(t, u *Tree, g geom.Motion) *search {
	s := &search{t: t, u: u, g: g}
	s.col = [3]geom.Vec{
		{X: g.R[0].X, Y: g.R[1].X, Z: g.R[2].X},
		{X: g.R[0].Y, Y: g.R[1].Y, Z: g.R[2].Y},
		{X: g.R[0].Z, Y: g.R[1].Z, Z: g.R[2].Z},
	}
	for i := range 3 {
		s.absRow[i], s.absCol[i] = absVec(g.R[i]), absVec(s.col[i])
	}
	return s
}

// search is one question for a distance: two trees, a motion, the best so far.
type search struct {
	t, u           *Tree
	g              geom.Motion
	col            [3]geom.Vec // columns of g.R
	absRow, absCol [3]geom.Vec // magnitudes of rows and columns
	best           float64
	pt, pu         geom.Vec
	moved          geom.Triangle // a triangle of t, moved
}

func absVec(v geom.Vec) geom.Vec {
	return geom.Vec{X: math.Abs(v.X), Y: math.Abs(v.Y), Z: math.Abs(v.Z)}
}

// bound is a lower bound of the distance of node a of t to node b of u: the
// distance of their boxes along the axes of u, or along those of t.
func (s *search) bound(a, b int32) float64 {
	x, y := &s.t.nodes[a], &s.u.nodes[b]
	d := r3.Sub(s.g.Apply(x.centre), y.centre)
	g1 := geom.Vec{
		X: max(0, math.Abs(d.X)-r3.Dot(s.absRow[0], x.half)-y.half.X),
		Y: max(0, math.Abs(d.Y)-r3.Dot(s.absRow[1], x.half)-y.half.Y),
		Z: max(0, math.Abs(d.Z)-r3.Dot(s.absRow[2], x.half)-y.half.Z),
	}
	g2 := geom.Vec{
		X: max(0, math.Abs(r3.Dot(s.col[0], d))-x.half.X-r3.Dot(s.absCol[0], y.half)),
		Y: max(0, math.Abs(r3.Dot(s.col[1], d))-x.half.Y-r3.Dot(s.absCol[1], y.half)),
		Z: max(0, math.Abs(r3.Dot(s.col[2], d))-x.half.Z-r3.Dot(s.absCol[2], y.half)),
	}
	return math.Sqrt(max(r3.Norm2(g1), r3.Norm2(g2)))
}

// descent is a question asked of pairs of nodes of two trees: each has a value below
// which no pair of triangles under it lies, and what is over is not looked at.
type descent interface {
	bound(a, b int32) float64
	over(low float64) bool
	nodes(a, b int32) (x, y *treeNode)
	halves(a, b int32) (a1, b1, a2, b2 int32)
	leaves(x, y *treeNode)
}

// visit looks below nodes a and b, whose value is at least low, first where it is the
// least.
func visit[D descent](s D, a, b int32, low float64) {
	if s.over(low) {
		return
	}
	if x, y := s.nodes(a, b); x.count > 0 && y.count > 0 {
		s.leaves(x, y)
		return
	}
	a1, b1, a2, b2 := s.halves(a, b)
	low1, low2 := s.bound(a1, b1), s.bound(a2, b2)
	if low1 > low2 {
		a1, b1, low1, a2, b2, low2 = a2, b2, low2, a1, b1, low1
	}
	visit(s, a1, b1, low1)
	visit(s, a2, b2, low2)
}

// over tells whether a distance is no nearer than the best.
func (s *search) over(low float64) bool { return low >= s.best || s.best == 0 }

func (s *search) nodes(a, b int32) (x, y *treeNode) { return &s.t.nodes[a], &s.u.nodes[b] }

// halves divides the larger of two nodes, one of which is no leaf.
func (s *search) halves(a, b int32) (a1, b1, a2, b2 int32) {
	x, y := &s.t.nodes[a], &s.u.nodes[b]
	if y.count > 0 || (x.count == 0 && r3.Norm2(x.half) > r3.Norm2(y.half)) {
		return a + 1, b, x.right, b
	}
	return a, b + 1, a, y.right
}

// leaves goes over the triangles of two leaves.
func (s *search) leaves(x, y *treeNode) {
	for i := x.first; i < x.first+x.count; i++ {
		tri := &s.t.tri[i]
		s.moved = geom.Triangle{s.g.Apply(tri[0]), s.g.Apply(tri[1]), s.g.Apply(tri[2])}
		normal := s.g.Turn(s.t.norm[i])
		for j := y.first; j < y.first+y.count; j++ {
			u := &s.u.tri[j]
			if gapAlong(normal, &s.moved, u) < s.best && gapAlong(s.u.norm[j], u, &s.moved) < s.best {
				s.nearer(&s.moved, u)
			}
		}
	}
}

// nearer takes a pair that is nearer than the best so far.
func (s *search) nearer(a, b *geom.Triangle) {
	if d, p, q := a.Distance(b); d < s.best {
		s.best, s.pt, s.pu = d, p, q
	}
}

// gapAlong is the gap between the plane of t, whose unit normal is n, and u: a
// lower bound of the distance of the two triangles.
func gapAlong(n geom.Vec, t, u *geom.Triangle) float64 {
	at := r3.Dot(n, t[0])
	a, b, c := r3.Dot(n, u[0])-at, r3.Dot(n, u[1])-at, r3.Dot(n, u[2])-at
	return max(min(a, b, c), -max(a, b, c))
}
