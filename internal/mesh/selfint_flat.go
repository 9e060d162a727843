package mesh

// seams are the edges of triangles without area, by cluster of such triangles
// that hang together by edges. Such a triangle closes the gap between a long
// edge on one side and several short ones on the other; the triangles beside it
// touch along the seam and do not cross there.
type seams struct {
	*crossings
	cluster map[[2]int32]int32
}

func edgeKey(a, b int32) [2]int32 { return [2]int32{min(a, b), max(a, b)} }

func (c *crossings) seams() *seams {
	s := &seams{crossings: c, cluster: map[[2]int32]int32{}}
	sets := newForest(len(c.t))
	for pass := range 2 { // join the clusters, then name them
		for i, t := range c.t {
			if !c.flat[i] {
				continue
			}
			for k := range 3 {
				e := edgeKey(t[k], t[(k+1)%3])
				if j, ok := s.cluster[e]; ok && pass == 0 {
					sets.join(int32(i), j)
				}
				s.cluster[e] = sets.find(int32(i))
			}
		}
	}
	return s
}

// along tells whether triangles i and j, which have points in common, have
// them only along a seam: each has an edge on it, both edges are on one line,
// and the triangles are not folded onto each other.
func (s *seams) along(i, j int32) bool {
	t, u := s.t[i], s.t[j]
	for k := range 3 {
		a, b, p := t[k], t[(k+1)%3], t[(k+2)%3]
		g, ok := s.cluster[edgeKey(a, b)]
		if !ok {
			continue
		}
		for l := range 3 {
			c, d, q := u[l], u[(l+1)%3], u[(l+2)%3]
			if h, ok := s.cluster[edgeKey(c, d)]; ok && g == h &&
				s.collinear(a, b, c) && s.collinear(a, b, d) && !s.folded(i, a, b, p, q) {
				return true
			}
		}
	}
	return false
}

func (s *places) collinear(a, b, c int32) bool {
	return s.orient2(a, b, c, 0, 1) == 0 && s.orient2(a, b, c, 1, 2) == 0 && s.orient2(a, b, c, 2, 0) == 0
}
