package mesh

import (
	"slices"
)

// SelfIntersections lists pairs of triangles that have more in common than a
// corner or an edge, at most limit of them (0: all), sorted. Corners at the
// same place count as one, whatever their numbers. Triangles without area are
// left out, and what touches along them is no crossing: Check names them. The answer is exact for any finite coordinates.
func (m *Mesh) SelfIntersections(limit int) [][2]int32 {
	return newCrossings(m).find(limit, 1)
}

// crossings looks for triangles of one mesh that cross.
type crossings struct {
	*places
	t    [][3]int32 // corners by place
	flat []bool     // without area
	axes [][2]uint8 // axes of the projection in which the triangle is largest
	n    [][3]int64 // exact normals, on the grid
}

func newCrossings(m *Mesh) *crossings {
	c := &crossings{places: newPlaces(m), t: make([][3]int32, len(m.T)), flat: make([]bool, len(m.T)), axes: make([][2]uint8, len(m.T))}
	same := samePlaces(c.f)
	if c.g != nil {
		c.n = make([][3]int64, len(m.T))
	}
	for i, t := range m.T {
		for k, v := range t {
			c.t[i][k] = same[v]
		}
		c.flat[i] = c.project(i)
	}
	return c
}

// samePlaces gives for every point the first one with equal coordinates.
func samePlaces(f [][3]float64) []int32 {
	at := make(map[[3]float64]int32, len(f))
	out := make([]int32, len(f))
	for i, p := range f {
		for k := range p {
			p[k] += 0 // -0 is 0
		}
		j, ok := at[p]
		if !ok {
			j = int32(i)
			at[p] = j
		}
		out[i] = j
	}
	return out
}

// project chooses the axes for triangle i and tells whether it has no area.
func (c *crossings) project(i int) bool {
	a, b, d := c.t[i][0], c.t[i][1], c.t[i][2]
	if a == b || b == d || d == a {
		return true
	}
	if c.g != nil {
		n := normal(&[3][3]int64{c.g[a], c.g[b], c.g[d]})
		k := widestOf([3]float64{float64(n[0]), float64(n[1]), float64(n[2])})
		c.n[i], c.axes[i] = n, [2]uint8{uint8(k+1) % 3, uint8(k+2) % 3}
		return n == [3]int64{}
	}
	var u, v [3]float64
	for k := range 3 {
		u[k], v[k] = c.f[b][k]-c.f[a][k], c.f[d][k]-c.f[a][k]
	}
	k := widestOf(cross3(&u, &v))
	for n := range 3 {
		drop := (k + n) % 3
		x, y := (drop+1)%3, (drop+2)%3
		if c.orient2(a, b, d, x, y) != 0 {
			c.axes[i] = [2]uint8{uint8(x), uint8(y)}
			return false
		}
	}
	return true
}

func (c *crossings) find(limit, workers int) [][2]int32 {
	box := make([]bounds, len(c.t))
	for i, t := range c.t {
		box[i] = boundsOf(&c.f[t[0]], &c.f[t[1]], &c.f[t[2]])
	}
	var near [][2]int32
	newBoxTree(box).pairs(func(i, j int32) {
		if !c.flat[i] && !c.flat[j] {
			near = append(near, [2]int32{min(i, j), max(i, j)})
		}
	})
	const chunk = 1024
	found := make([][][2]int32, (len(near)+chunk-1)/chunk)
	parallel(len(found), workers, func(n int) {
		for _, p := range near[n*chunk : min(len(near), (n+1)*chunk)] {
			if c.cross(p[0], p[1]) {
				found[n] = append(found[n], p)
			}
		}
	})
	out := slices.Concat(found...)
	if len(out) > 0 && slices.Contains(c.flat, true) {
		s := c.seams()
		out = slices.DeleteFunc(out, func(p [2]int32) bool { return s.along(p[0], p[1]) })
	}
	slices.SortFunc(out, func(x, y [2]int32) int {
		if x[0] != y[0] {
			return int(x[0] - y[0])
		}
		return int(x[1] - y[1])
	})
	if limit > 0 && len(out) > limit {
		out = out[:limit]
	}
	return out
}

// side is the exact side of i's plane on which v lies.
func (c *crossings) side(i, v int32) int {
	t := c.t[i]
	if c.g == nil {
		return c.orient3(t[0], t[1], t[2], v)
	}
	p, q := &c.g[t[0]], &c.g[v]
	return dot128(c.n[i], [3]int64{q[0] - p[0], q[1] - p[1], q[2] - p[2]}).sign()
}

// cross tells whether triangles i and j have more in common than corners.
func (c *crossings) cross(i, j int32) bool {
	t, u := c.t[i], c.t[j]
	n := 0
	var p, q [3]int // corners of t and of u at the same place
	for a := range 3 {
		for b := range 3 {
			if t[a] == u[b] {
				p[n], q[n] = a, b
				n++
			}
		}
	}
	switch n {
	case 0, 1:
		var s, r [3]int // sides of u's corners of t's plane, of t's of u's
		for k := range 3 {
			if n == 0 || k != q[0] {
				s[k] = c.side(i, u[k])
			}
		}
		if one(s, n, q[0]) {
			return false
		}
		for k := range 3 {
			if n == 0 || k != p[0] {
				r[k] = c.side(j, t[k])
			}
		}
		if one(r, n, p[0]) {
			return false
		}
		for k := range 3 {
			l := (k + 1) % 3
			if (n == 0 || (k != p[0] && l != p[0])) && c.pierces(t[k], t[l], r[k], r[l], j) {
				return true
			}
			if (n == 0 || (k != q[0] && l != q[0])) && c.pierces(u[k], u[l], s[k], s[l], i) {
				return true
			}
		}
		return false
	case 2:
		return c.folded(i, t[p[0]], t[p[1]], t[3-p[0]-p[1]], u[3-q[0]-q[1]])
	}
	return true
}

// one tells whether all corners lie strictly on one side; with n = 1 the
// corner shared does not count.
func one(s [3]int, n, shared int) bool {
	a, b, c := s[0], s[1], s[2]
	if n == 1 {
		a, b, c = s[(shared+1)%3], s[(shared+2)%3], s[(shared+1)%3]
	}
	return a != 0 && a == b && b == c
}

// folded tells whether two triangles on the edge ab, with apexes p (of
// triangle i) and q, lie on each other.
func (c *crossings) folded(i, a, b, p, q int32) bool {
	x, y := int(c.axes[i][0]), int(c.axes[i][1])
	if c.orient2(a, b, p, x, y) != c.orient2(a, b, q, x, y) {
		return false
	}
	return c.side(i, q) == 0
}

// pierces tells whether the segment ab, whose ends lie on sides s and r of
// triangle i's plane, and the triangle have a point in common.
func (c *crossings) pierces(a, b int32, s, r int, i int32) bool {
	if s*r > 0 {
		return false
	}
	if s == 0 && r == 0 {
		return c.overlaps(a, b, i)
	}
	t := c.t[i]
	x := c.orient3(a, b, t[0], t[1])
	y := c.orient3(a, b, t[1], t[2])
	if x*y < 0 {
		return false
	}
	z := c.orient3(a, b, t[2], t[0])
	return (x >= 0 && y >= 0 && z >= 0) || (x <= 0 && y <= 0 && z <= 0)
}

// overlaps is pierces for a segment in the triangle's plane.
func (c *crossings) overlaps(a, b, i int32) bool {
	t := c.t[i]
	x, y := int(c.axes[i][0]), int(c.axes[i][1])
	turn := c.orient2(t[0], t[1], t[2], x, y)
	// apart where an edge's line has both ends strictly outside, or where the
	// segment's line has all corners strictly on one side
	for k := range 3 {
		p, q := t[k], t[(k+1)%3]
		if c.orient2(p, q, a, x, y) == -turn && c.orient2(p, q, b, x, y) == -turn {
			return false
		}
	}
	s := c.orient2(a, b, t[0], x, y)
	return s != c.orient2(a, b, t[1], x, y) || s != c.orient2(a, b, t[2], x, y)
}
