package clearance

import (
	"container/heap"
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// soundings bounds the pieces that one search opens, so that a cell in which
// nothing is deep costs little.
const soundings = 600

// sounding is a search for a deep point, best first: of all pieces of surface,
// the one that may hold the deepest point is opened next.
type sounding struct {
	open   []piece
	best   float64 // depth of the deepest point seen
	proof  *proof
	enough float64 // a point as deep as this ends the search
}

// piece is a subtree of a form, or a part of one of its triangles.
type piece struct {
	e    *excavation
	most float64 // no point of it is deeper
	node int32   // -1 for a triangle
	tri  geom.Triangle
	id   int32 // of the triangle
}

func (s *sounding) Len() int           { return len(s.open) }
func (s *sounding) Less(i, j int) bool { return s.open[i].most > s.open[j].most }
func (s *sounding) Swap(i, j int)      { s.open[i], s.open[j] = s.open[j], s.open[i] }
func (s *sounding) Push(x any)         { s.open = append(s.open, x.(piece)) }

// Pop is the last piece; see heap.Interface.
func (s *sounding) Pop() any {
	p := s.open[len(s.open)-1]
	s.open = s.open[:len(s.open)-1]
	return p
}

func (s *sounding) node(e *excavation, n int32) {
	c, r := e.f.sphere(&e.f.nodes[n])
	d, _ := e.o.signed(e.s.pose.Apply(c))
	s.push(piece{e: e, most: r - d, node: n})
}

func (s *sounding) push(p piece) {
	if p.most > max(s.best, 0) {
		heap.Push(s, p)
	}
}

// triangle samples the middle of a piece of triangle id.
func (s *sounding) triangle(e *excavation, t geom.Triangle, id int32) {
	c := centroid(&t)
	r := math.Sqrt(max(r3.Norm2(r3.Sub(t[0], c)), r3.Norm2(r3.Sub(t[1], c)), r3.Norm2(r3.Sub(t[2], c))))
	d, _ := e.o.signed(e.s.pose.Apply(c))
	if -d > s.best && (len(e.f.roots) == 1 || !e.f.covered(c, e.f.body.shell[id])) {
		s.best, s.proof = -d, &proof{e.onA, c}
	}
	s.push(piece{e: e, most: r - d, node: -1, tri: t, id: id})
}

func (s *sounding) run() *proof {
	for n := 0; len(s.open) > 0 && n < soundings && s.best < s.enough; n++ {
		p := heap.Pop(s).(piece)
		if p.most <= s.best {
			break
		}
		if p.node < 0 {
			a, b := halves(&p.tri)
			s.triangle(p.e, a, p.id)
			s.triangle(p.e, b, p.id)
			continue
		}
		nd := &p.e.f.nodes[p.node]
		if nd.left < 0 {
			s.triangle(p.e, p.e.f.triangle(nd.next), nd.next)
			continue
		}
		s.node(p.e, nd.left)
		s.node(p.e, nd.next)
	}
	return s.proof
}
