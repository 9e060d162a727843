package mesh

import (
	"feint/internal/geom"
)

// tries is how often the limit of cleaning is raised around what still
// crosses, growth by how much. Three times reach 5 times the least limit,
// 3e-4 mm; more bends the surface more than arranging it anew would.
const (
	tries  = 3
	growth = 1.7
)

// settle rounds the surface to the grid and cleans it: everywhere, or, where
// that makes faces cross that did not before, only around those that cross by
// rounding alone. Triangles that still cross are returned with the mesh.
func (s *surface) settle() (*Mesh, [][2]int32) {
	m, crossed := s.clean(slightest)
	if len(crossed) == 0 {
		return m, nil
	}
	if n, x := s.clean(noArea); len(x) < len(crossed) {
		return n, x
	}
	return m, crossed
}

// noArea is the limit under which only triangles without area are cleaned:
// the least height of any other is 1 over the longest edge of the grid.
const noArea = 1 / (4.0 * Reach * Units)

// clean rounds and cleans with the limit given, and with more of it around
// what crosses.
func (s *surface) clean(least float64) (*Mesh, [][2]int32) {
	g := s.snap()
	limit := make([]float64, len(g.p))
	for i := range limit {
		limit[i] = least
	}
	var best *Mesh
	var crossed [][2]int32
	for range tries + 1 {
		g.clean(limit)
		m := g.mesh()
		x := m.faults(s.workers)
		if best == nil || len(x) < len(crossed) {
			best, crossed = m, x
		}
		if len(x) == 0 {
			break
		}
		raise(limit, g, x)
	}
	return best, crossed
}

// raise lifts the limit at the corners of the triangles x of g.
func raise(limit []float64, g *gridMesh, x [][2]int32) {
	lifted := map[int32]bool{}
	for _, p := range x {
		for _, i := range p {
			for _, v := range g.t[i] {
				if !lifted[v] {
					lifted[v] = true
					limit[v] = max(slightest/growth, limit[v]) * growth
				}
			}
		}
	}
}

// faults lists triangles that cross, and those without area as pairs with
// themselves.
func (m *Mesh) faults(workers int) [][2]int32 {
	c := newCrossings(m)
	out := c.find(0, workers)
	for i, f := range c.flat {
		if f {
			out = append(out, [2]int32{int32(i), int32(i)})
		}
	}
	return out
}

// middle is the centre of triangle i.
func (m *Mesh) middle(i int32) geom.Vec {
	t := m.Triangle(int(i))
	return geom.Vec{
		X: (t[0].X + t[1].X + t[2].X) / 3, Y: (t[0].Y + t[1].Y + t[2].Y) / 3, Z: (t[0].Z + t[1].Z + t[2].Z) / 3,
	}
}
