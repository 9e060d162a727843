package mesh

import "feint/internal/geom"

// Near is the point of the surface nearest to p if one is nearer than cut, mm,
// with its distance and the mesh's number of its triangle; tri is -1 and d is
// cut if none is. It does not tell on which side of the surface p lies: ask
// Signed for that. The nearer the cut, the cheaper the question.
func (t *Tree) Near(p geom.Vec, cut float64) (d float64, tri int, near geom.Vec) {
	leaf, near, d := t.nearest(p, cut)
	if leaf < 0 {
		return cut, -1, geom.Vec{}
	}
	return d, int(t.index[leaf]), near
}
