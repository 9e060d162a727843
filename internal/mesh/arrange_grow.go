package mesh

import (
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// Faces of two solids that were drawn flush but lie askew to the axes come to
// lie within a unit or two of each other once their corners are rounded, cross
// each other at no angle to speak of, and cannot be rounded again. Where that
// is so the later of the two solids is grown, so that what was drawn flush is
// cut through or overlaps: stride for each of the solids before it that it is
// flush with in turn.
const (
	// flush is the greatest height, grid units, of a triangle's corners over
	// another's plane at which they count as drawn flush: two roundings of
	// sqrt(3)/2, doubled for the slope of planes given by close corners, and room.
	flush = 6.0
	// stride is by how much a solid grows over one that it is flush with, grid
	// units: more than flush, so that no face stays within rounding of another.
	stride = 10.0
	// strides is the most of them: 320 units, 0.005 mm.
	strides = 32
)

// grown gives the solids with those grown that have faces flush with others,
// and whether there are any.
func grown(solids []*Mesh, a *arrangement) ([]*Mesh, bool) {
	rank := make([]int, len(solids))
	near := a.flushSolids()
	any := false
	for i := range solids {
		for j := range i {
			if near[[2]int32{int32(j), int32(i)}] {
				rank[i] = max(rank[i], rank[j]+1)
			}
		}
		any = any || rank[i] > 0
		if rank[i] > strides {
			return nil, false
		}
	}
	out := make([]*Mesh, len(solids))
	for i, m := range solids {
		out[i] = m
		if rank[i] > 0 {
			out[i] = m.grow(float64(rank[i]) * stride / Units)
		}
	}
	return out, any
}

// flushSolids finds the pairs of solids with faces that lie within flush of
// each other in different planes, the lower number first.
func (a *arrangement) flushSolids() map[[2]int32]bool {
	out := map[[2]int32]bool{}
	wide := make([]bounds, len(a.box))
	for i, b := range a.box {
		for k := range 3 {
			b.lo[k] -= flush
			b.hi[k] += flush
		}
		wide[i] = b
	}
	newBoxTree(wide).pairs(func(i, j int32) {
		t, u := &a.faces[i], &a.faces[j]
		key := edgeKey(t.solid, u.solid)
		if t.solid == u.solid || t.plane == u.plane || out[key] {
			return
		}
		if a.liesOn(t, u) || a.liesOn(u, t) {
			out[key] = true
		}
	})
	return out
}

// liesOn tells whether all corners of u lie within flush of t's plane.
func (a *arrangement) liesOn(t, u *face) bool {
	pl := &a.planes[t.plane]
	limit := flush * norm3(pl.nf)
	for k := range 3 {
		if math.Abs(pl.height(u.p[k]).float()) > limit {
			return false
		}
	}
	return true
}

// grow moves every face of m outwards by d, mm, as far as its vertices allow:
// a vertex moves so that its faces' planes do, in the least squares' sense, and
// by no more than three times d.
func (m *Mesh) grow(d float64) *Mesh {
	normals := make([][]geom.Vec, len(m.V))
	for i, t := range m.T {
		tr := m.Triangle(i)
		n := tr.Normal()
		if n == (geom.Vec{}) {
			continue
		}
		for _, v := range t {
			if !hasDirection(normals[v], n) {
				normals[v] = append(normals[v], n)
			}
		}
	}
	o := &Mesh{V: make([]geom.Vec, len(m.V)), T: m.T}
	for i, v := range m.V {
		o.V[i] = r3.Add(v, outward(normals[i], d))
	}
	return o
}

// sameDirection is the cosine from which two normals count as one: 0.08
// degrees, far below the angle between two flats of a circle.
const sameDirection = 1 - 1e-6

func hasDirection(list []geom.Vec, n geom.Vec) bool {
	for _, o := range list {
		if r3.Dot(o, n) > sameDirection {
			return true
		}
	}
	return false
}

// outward solves n.x = d for all normals n in the least squares' sense; a
// little damping keeps x in the span of the normals.
func outward(normals []geom.Vec, d float64) geom.Vec {
	const damping = 1e-6
	a := [3]geom.Vec{{X: damping}, {Y: damping}, {Z: damping}}
	var b geom.Vec
	for _, n := range normals {
		a[0] = r3.Add(a[0], r3.Scale(n.X, n))
		a[1] = r3.Add(a[1], r3.Scale(n.Y, n))
		a[2] = r3.Add(a[2], r3.Scale(n.Z, n))
		b = r3.Add(b, r3.Scale(d, n))
	}
	det := r3.Dot(a[0], r3.Cross(a[1], a[2]))
	x := geom.Vec{ // Cramer's rule; a is symmetric
		X: r3.Dot(b, r3.Cross(a[1], a[2])) / det,
		Y: r3.Dot(b, r3.Cross(a[2], a[0])) / det,
		Z: r3.Dot(b, r3.Cross(a[0], a[1])) / det,
	}
	if l := r3.Norm(x); l > 3*d {
		x = r3.Scale(3*d/l, x)
	}
	return x
}
