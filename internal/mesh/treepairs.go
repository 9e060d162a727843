package mesh

import (
	"feint/internal/geom"
)

// Pairs calls do with every pair of a triangle a of t, moved by g into the frame of
// u, and a triangle b of u that may be nearer to each other than far, mm; some that
// are not may come too.
func (t *Tree) Pairs(u *Tree, g geom.Motion, far float64, do func(a, b *geom.Triangle)) {
	if len(t.nodes) == 0 || len(u.nodes) == 0 {
		return
	}
	s := newSearch(t, u, g)
	type two struct{ a, b int32 }
	stack := []two{{0, 0}}
	for len(stack) > 0 {
		p := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if s.bound(p.a, p.b) >= far {
			continue
		}
		x, y := &t.nodes[p.a], &u.nodes[p.b]
		if x.count > 0 && y.count > 0 {
			s.pairs(x, y, far, do)
			continue
		}
		a1, b1, a2, b2 := s.halves(p.a, p.b)
		stack = append(stack, two{a2, b2}, two{a1, b1})
	}
}

// pairs goes over the triangles of two leaves.
func (s *search) pairs(x, y *treeNode, far float64, do func(a, b *geom.Triangle)) {
	for i := x.first; i < x.first+x.count; i++ {
		tri := &s.t.tri[i]
		moved := geom.Triangle{s.g.Apply(tri[0]), s.g.Apply(tri[1]), s.g.Apply(tri[2])}
		normal := s.g.Turn(s.t.norm[i])
		for j := y.first; j < y.first+y.count; j++ {
			u := &s.u.tri[j]
			if gapAlong(normal, &moved, u) < far && gapAlong(s.u.norm[j], u, &moved) < far {
				do(&moved, u)
			}
		}
	}
}
