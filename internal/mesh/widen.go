package mesh

import (
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// Widened moves the marked faces of m into the material by d, mm (negative: out
// of it), and leaves the planes of all others. A vertex goes where its faces'
// planes go, in the least squares' sense.
func Widened(m *Mesh, marked []bool, d float64) *Mesh {
	type plane struct {
		n geom.Vec
		d float64
	}
	planes := make([][]plane, len(m.V))
	for i, t := range m.T {
		tr := m.Triangle(i)
		n := tr.Normal()
		if n == (geom.Vec{}) {
			continue
		}
		by := 0.0
		if marked[i] {
			by = -d
		}
	corner:
		for _, v := range t {
			for _, p := range planes[v] {
				if r3.Dot(p.n, n) > 1-1e-6 && p.d == by {
					continue corner
				}
			}
			planes[v] = append(planes[v], plane{n, by})
		}
	}
	o := &Mesh{V: make([]geom.Vec, len(m.V)), T: m.T}
	for i, v := range m.V {
		const damping = 1e-7 // keeps the shift within the span of the normals
		a := [3]geom.Vec{{X: damping}, {Y: damping}, {Z: damping}}
		var b geom.Vec
		for _, p := range planes[i] {
			a[0] = r3.Add(a[0], r3.Scale(p.n.X, p.n))
			a[1] = r3.Add(a[1], r3.Scale(p.n.Y, p.n))
			a[2] = r3.Add(a[2], r3.Scale(p.n.Z, p.n))
			b = r3.Add(b, r3.Scale(p.d, p.n))
		}
		det := r3.Dot(a[0], r3.Cross(a[1], a[2]))
		x := geom.Vec{
			X: r3.Dot(b, r3.Cross(a[1], a[2])) / det,
			Y: r3.Dot(b, r3.Cross(a[2], a[0])) / det,
			Z: r3.Dot(b, r3.Cross(a[0], a[1])) / det,
		}
		if l := r3.Norm(x); l > 3*math.Abs(d) {
			x = r3.Scale(3*math.Abs(d)/l, x)
		}
		o.V[i] = r3.Add(v, x)
	}
	return o
}
