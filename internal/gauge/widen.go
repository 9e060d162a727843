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
