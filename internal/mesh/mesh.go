package mesh

import (
	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// Mesh is an indexed triangle mesh, mm. Corners run counter-clockwise seen
// from outside. A Mesh is not changed once it has left the stage that made it.
type Mesh struct {
	V []geom.Vec
	T [][3]int32
}

// Triangle gives the corners of triangle i.
func (m *Mesh) Triangle(i int) geom.Triangle {
	t := m.T[i]
	return geom.Triangle{m.V[t[0]], m.V[t[1]], m.V[t[2]]}
}

// Volume is the signed volume, mm3, by the divergence theorem; positive for a
// closed outward-facing mesh.
func (m *Mesh) Volume() float64 {
	v := 0.0
	for _, t := range m.T {
		v += r3.Dot(m.V[t[0]], r3.Cross(m.V[t[1]], m.V[t[2]]))
	}
	return v / 6
}

// Area is the sum of the triangles' areas, mm2.
func (m *Mesh) Area() float64 {
	a := 0.0
	for i := range m.T {
		t := m.Triangle(i)
		a += r3.Norm(r3.Cross(r3.Sub(t[1], t[0]), r3.Sub(t[2], t[0]))) / 2
	}
	return a
}

// Bounds is the smallest axis-aligned box around the vertices.
func (m *Mesh) Bounds() geom.Box {
	b := geom.EmptyBox()
	for _, v := range m.V {
		b = b.Add(v)
	}
	return b
}

// Moved is a copy of m carried by g.
func (m *Mesh) Moved(g geom.Motion) *Mesh {
	o := &Mesh{V: make([]geom.Vec, len(m.V)), T: m.T}
	for i, v := range m.V {
		o.V[i] = g.Apply(v)
	}
	return o
}
