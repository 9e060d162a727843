package mating

import (
	"math"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// skin is a part's surface as samples, and its division into smooth faces.
type skin struct {
	tree    *mesh.Tree
	box     geom.Box
	samples []sample
	face    []int32 // of every triangle: the smooth face that it belongs to
}

// sample is a place of a face with the area that it stands for.
type sample struct {
	at, n geom.Vec
	area  float64
	tri   int32
}

// smooth is the angle between neighbours below which they are one face, radians:
// a circle of twelve chords has 30 degrees.
const smooth = 31 * math.Pi / 180

func newSkin(t *mesh.Tree, spacing float64) *skin {
	m := t.Mesh()
	s := &skin{tree: t, box: m.Bounds()}
	normals := make([]geom.Vec, len(m.T))
	for i := range m.T {
		tr := m.Triangle(i)
		normals[i] = tr.Normal()
	}
	s.face = faces(m, normals)
	s.sample(normals, spacing)
	return s
}

// sample divides the faces, and makes one of samples of one face that lie in one
// cell of the spacing and look the same way within a tenth of a radian or two:
// facets of round surfaces are slivers, and each has samples of its own. The first
// one stands for all.
func (s *skin) sample(normals []geom.Vec, spacing float64) {
	type key struct {
		face int32
		at   [3]int16
		n    [3]int8
	}
	cell := func(v float64) int16 { return int16(math.Floor(v / spacing)) }
	turn := func(v float64) int8 { return int8(math.Round(v * 6)) }
	first := map[key]int{}
	m := s.tree.Mesh()
	for i, n := range normals {
		if n == (geom.Vec{}) {
			continue
		}
		tr := m.Triangle(i)
		for q := range tr.Pieces(spacing) {
			at := r3.Scale(1.0/3, r3.Add(q[0], r3.Add(q[1], q[2])))
			area := math.Sqrt(r3.Norm2(r3.Cross(r3.Sub(q[1], q[0]), r3.Sub(q[2], q[0])))) / 2
			id := key{s.face[i], [3]int16{cell(at.X), cell(at.Y), cell(at.Z)}, [3]int8{turn(n.X), turn(n.Y), turn(n.Z)}}
			if k, ok := first[id]; ok {
				s.samples[k].area += area
				continue
			}
			first[id] = len(s.samples)
			s.samples = append(s.samples, sample{at, n, area, int32(i)})
		}
	}
}

// faces numbers the smooth faces of m by their first triangle: neighbours across
// an edge at less than smooth belong together.
func faces(m *mesh.Mesh, normals []geom.Vec) []int32 {
	f := make([]int32, len(m.T))
	for i := range f {
		f[i] = int32(i)
	}
	find := func(i int32) int32 {
		for f[i] != i {
			f[i] = f[f[i]]
			i = f[i]
		}
		return i
	}
	first := map[[2]int32]int32{}
	for i, t := range m.T {
		for k := range 3 {
			key := [2]int32{min(t[k], t[(k+1)%3]), max(t[k], t[(k+1)%3])}
			j, ok := first[key]
			if !ok {
				first[key] = int32(i)
				continue
			}
			if r3.Dot(normals[i], normals[j]) > math.Cos(smooth) {
				a, b := find(int32(i)), find(j)
				f[max(a, b)] = min(a, b)
			}
		}
	}
	for i := range f {
		f[i] = find(int32(i))
	}
	return f
}
