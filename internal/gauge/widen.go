package gauge

import (
	"math"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// facing is how near in front of a face the inner part must be for the face to be
// one of the hollow's, mm.
const facing = 0.7

// smooth is the angle between neighbours below which they are one face, radians.
const smooth = 31 * math.Pi / 180

// hollow marks the triangles of piece that belong to the hollow: those with the
// inner part close in front of them, and all that go over smoothly into such,
// but not what the cut made (cutter is the surface of the cutting body).
func hollow(piece *mesh.Mesh, cutter, inner *mesh.Tree) []bool {
	n := len(piece.T)
	normal := make([]geom.Vec, n)
	cut := make([]bool, n)
	group := make([]int32, n)
	for i := range n {
		t := piece.Triangle(i)
		normal[i] = t.Normal()
		group[i] = int32(i)
		c := r3.Scale(1.0/3, r3.Add(t[0], r3.Add(t[1], t[2])))
		if _, k, _ := cutter.Near(c, 1e-3); k >= 0 {
			face := cutter.Mesh().Triangle(k)
			cut[i] = r3.Dot(face.Normal(), normal[i]) > 0.999
		}
	}
	find := func(i int32) int32 {
		for group[i] != i {
			group[i] = group[group[i]]
			i = group[i]
		}
		return i
	}
	first := map[[2]int32]int32{}
	for i, t := range piece.T {
		for k := range 3 {
			key := [2]int32{min(t[k], t[(k+1)%3]), max(t[k], t[(k+1)%3])}
			j, ok := first[key]
			if !ok {
				first[key] = int32(i)
				continue
			}
			if !cut[i] && !cut[j] && r3.Dot(normal[i], normal[j]) > math.Cos(smooth) {
				a, b := find(int32(i)), find(j)
				group[max(a, b)] = min(a, b)
			}
		}
	}
	near := map[int32]bool{}
	for i := range n {
		if !cut[i] && !near[find(int32(i))] && faces(piece.Triangle(i), normal[i], inner) {
			near[find(int32(i))] = true
		}
	}
	out := make([]bool, n)
	for i := range n {
		out[i] = !cut[i] && near[find(int32(i))]
	}
	return out
}

// faces tells whether the inner part lies close in front of some place of t.
func faces(t geom.Triangle, n geom.Vec, inner *mesh.Tree) bool {
	todo := []geom.Triangle{t}
	for len(todo) > 0 {
		t := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		c := r3.Scale(1.0/3, r3.Add(t[0], r3.Add(t[1], t[2])))
		if d, k, q := inner.Near(c, facing); k >= 0 && d > 0 {
			face := inner.Mesh().Triangle(k)
			if r3.Dot(r3.Sub(q, c), n) > 0.8*d && r3.Dot(face.Normal(), n) < -0.5 {
				return true
			}
		}
		e, long := 0, 0.0
		for i := range 3 {
			if d := r3.Norm(r3.Sub(t[(i+1)%3], t[i])); d > long {
				e, long = i, d
			}
		}
		if long > 1.5 {
			a, b, o := t[e], t[(e+1)%3], t[(e+2)%3]
			m := r3.Scale(0.5, r3.Add(a, b))
			todo = append(todo, geom.Triangle{a, m, o}, geom.Triangle{m, b, o})
		}
	}
	return false
}

// widened moves the marked faces of m into the material by d, mm (negative: out
// of it), and leaves the planes of all others. A vertex goes where its faces'
// planes go, in the least squares' sense.
func widened(m *mesh.Mesh, marked []bool, d float64) *mesh.Mesh {
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
	o := &mesh.Mesh{V: make([]geom.Vec, len(m.V)), T: m.T}
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
