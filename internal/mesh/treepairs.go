package mesh

import (
	"feint/internal/geom"
)

// Pairs calls do with every pair of a triangle a of t, moved by g into the frame of
// u, and a triangle b of u that may be nearer to each other than far, mm; some that
// are not may come too. The triangles hold only until do returns.
func (t *Tree) Pairs(u *Tree, g geom.Motion, far float64, do func(a, b *geom.Triangle)) {
	if len(t.nodes) == 0 || len(u.nodes) == 0 {
		return
	}
	s := newSearch(t, u, g)
	s.best, s.share, s.do = far, 1, do // nothing makes best less: every pair within far is met
	s.visit(0, 0, s.bound(0, 0))
}
