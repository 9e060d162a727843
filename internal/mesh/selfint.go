package mesh

import (
	"slices"
)

// SelfIntersections lists pairs of triangles that have more in common than a
// corner or an edge, at most limit of them (0: all), sorted. Corners at the
// same place count as one, whatever their numbers. Triangles without area are
// left out: Check names them. The answer is exact for any finite coordinates.
func (m *Mesh) SelfIntersections(limit int) [][2]int32 {
	return newCrossings(m).find(limit)
}

// crossings looks for triangles of one mesh that cross.
type crossings struct {
	*places
	t    [][3]int32 // corners by place
	flat []bool     // without area
	axes [][2]uint8 // axes of the projection in which the triangle is largest
}

func newCrossings(m *Mesh) *crossings {
	c := &crossings{places: newPlaces(m), t: make([][3]int32, len(m.T)), flat: make([]bool, len(m.T)), axes: make([][2]uint8, len(m.T))}
	same := samePlaces(c.f)
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

func (c *crossings) find(limit int) [][2]int32 {
	box := make([]bounds, len(c.t))
	for i, t := range c.t {
		box[i] = boundsOf(&c.f[t[0]], &c.f[t[1]], &c.f[t[2]])
	}
	var out [][2]int32
	newBoxTree(box).pairs(func(i, j int32) {
		if limit > 0 && len(out) >= limit || c.flat[i] || c.flat[j] {
			return
		}
		i, j = min(i, j), max(i, j)
		if c.cross(i, j) {
			out = append(out, [2]int32{i, j})
		}
	})
	slices.SortFunc(out, func(x, y [2]int32) int {
		if x[0] != y[0] {
			return int(x[0] - y[0])
		}
		return int(x[1] - y[1])
	})
	return out
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
	case 0:
		if c.apart(i, j) || c.apart(j, i) {
			return false
		}
		for k := range 3 {
			if c.pierces(t[k], t[(k+1)%3], j) || c.pierces(u[k], u[(k+1)%3], i) {
				return true
			}
		}
		return false
	case 1:
		return c.pierces(t[(p[0]+1)%3], t[(p[0]+2)%3], j) || c.pierces(u[(q[0]+1)%3], u[(q[0]+2)%3], i)
	case 2:
		return c.folded(i, t[p[0]], t[p[1]], t[3-p[0]-p[1]], u[3-q[0]-q[1]])
	}
	return true
}

// apart tells whether j lies strictly on one side of i's plane.
func (c *crossings) apart(i, j int32) bool {
	t, u := c.t[i], c.t[j]
	s := c.orient3(t[0], t[1], t[2], u[0])
	return s != 0 && s == c.orient3(t[0], t[1], t[2], u[1]) && s == c.orient3(t[0], t[1], t[2], u[2])
}

// folded tells whether two triangles on the edge ab, with apexes p (of
// triangle i) and q, lie on each other.
func (c *crossings) folded(i, a, b, p, q int32) bool {
	x, y := int(c.axes[i][0]), int(c.axes[i][1])
	if c.orient2(a, b, p, x, y) != c.orient2(a, b, q, x, y) {
		return false
	}
	return c.orient3(a, b, p, q) == 0
}

// pierces tells whether the segment ab and triangle i have a point in common.
func (c *crossings) pierces(a, b, i int32) bool {
	t := c.t[i]
	s := c.orient3(t[0], t[1], t[2], a)
	r := c.orient3(t[0], t[1], t[2], b)
	if s*r > 0 {
		return false
	}
	if s == 0 && r == 0 {
		return c.overlaps(a, b, i)
	}
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
	return s == 0 || s != c.orient2(a, b, t[1], x, y) || s != c.orient2(a, b, t[2], x, y)
}
