package printable

import (
	"math"
	"sort"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// facet is a flat face of a convex hull: its outward normal and area.
type facet struct {
	Normal geom.Vec
	Area   float64
}

// sameFacet is the angle within which faces of the hull count as one facet,
// radians: half a degree, as leeway.
const sameFacet = 0.5 * math.Pi / 180

// facets are the flat faces of the convex hull of points, the largest first.
func facets(pts []geom.Vec) []facet {
	tris := hull3(pts)
	var out []facet
	for _, t := range tris {
		c := r3.Cross(r3.Sub(t[1], t[0]), r3.Sub(t[2], t[0]))
		area := r3.Norm(c) / 2
		if area == 0 {
			continue
		}
		n := r3.Scale(1/(2*area), c)
		found := false
		for k := range out {
			if r3.Dot(out[k].Normal, n) > math.Cos(sameFacet) {
				out[k].Area += area
				found = true
				break
			}
		}
		if !found {
			out = append(out, facet{n, area})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Area > out[j].Area })
	return out
}

// hullFace is a triangle of the hull with the points still outside of it.
type hullFace struct {
	v       [3]int32
	n       geom.Vec
	d       float64
	outside []int32
	dead    bool
}

// hull3 is the convex hull of points by their outermost ones (C. Barber,
// D. Dobkin, H. Huhdanpaa, The quickhull algorithm for convex hulls, ACM Trans.
// Mathematical Software 22 (1996)). Points within a millionth of the size of the
// surface are taken for inside. Points in one plane have no hull.
func hull3(pts []geom.Vec) []geom.Triangle {
	h := &hull{pts: pts, edge: map[[2]int32]int32{}}
	if !h.first() {
		return nil
	}
	for i := 0; i < len(h.faces); i++ {
		for !h.faces[i].dead && len(h.faces[i].outside) > 0 {
			h.expand(int32(i))
		}
	}
	var out []geom.Triangle
	for i := range h.faces {
		if f := &h.faces[i]; !f.dead {
			out = append(out, geom.Triangle{pts[f.v[0]], pts[f.v[1]], pts[f.v[2]]})
		}
	}
	return out
}

type hull struct {
	pts   []geom.Vec
	eps   float64
	faces []hullFace
	edge  map[[2]int32]int32 // directed edge to its face
}

// first makes a tetrahedron of points far apart.
func (h *hull) first() bool {
	if len(h.pts) < 4 {
		return false
	}
	box := geom.EmptyBox()
	for _, p := range h.pts {
		box = box.Add(p)
	}
	h.eps = 1e-6 * r3.Norm(r3.Sub(box.Hi, box.Lo))
	farthest := func(d func(geom.Vec) float64) int32 {
		best, at := -1.0, 0
		for i, p := range h.pts {
			if v := d(p); v > best {
				best, at = v, i
			}
		}
		return int32(at)
	}
	p0 := h.pts[0]
	a := farthest(func(p geom.Vec) float64 { return r3.Norm(r3.Sub(p, p0)) })
	pa := h.pts[a]
	b := farthest(func(p geom.Vec) float64 { return r3.Norm(r3.Sub(p, pa)) })
	ab := r3.Sub(h.pts[b], pa)
	c := farthest(func(p geom.Vec) float64 { return r3.Norm(r3.Cross(ab, r3.Sub(p, pa))) })
	n := r3.Cross(ab, r3.Sub(h.pts[c], pa))
	d := farthest(func(p geom.Vec) float64 { return math.Abs(r3.Dot(n, r3.Sub(p, pa))) })
	if r3.Norm(n) == 0 || math.Abs(r3.Dot(n, r3.Sub(h.pts[d], pa))) <= h.eps*r3.Norm(n) {
		return false
	}
	if r3.Dot(n, r3.Sub(h.pts[d], pa)) > 0 {
		b, c = c, b
	}
	for _, v := range [4][3]int32{{a, b, c}, {a, d, b}, {b, d, c}, {c, d, a}} {
		h.add(v)
	}
	for i := range h.pts {
		h.assign(int32(i), []int32{0, 1, 2, 3})
	}
	return true
}

func (h *hull) add(v [3]int32) int32 {
	a, b, c := h.pts[v[0]], h.pts[v[1]], h.pts[v[2]]
	n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
	if l := r3.Norm(n); l > 0 {
		n = r3.Scale(1/l, n)
	}
	id := int32(len(h.faces))
	h.faces = append(h.faces, hullFace{v: v, n: n, d: r3.Dot(n, a)})
	for k := range 3 {
		h.edge[[2]int32{v[k], v[(k+1)%3]}] = id
	}
	return id
}

// assign gives a point to the first of the faces that it lies outside of.
func (h *hull) assign(p int32, faces []int32) {
	for _, i := range faces {
		f := &h.faces[i]
		if r3.Dot(f.n, h.pts[p])-f.d > h.eps {
			f.outside = append(f.outside, p)
			return
		}
	}
}

// expand takes the point farthest outside face i into the hull.
func (h *hull) expand(i int32) {
	f := &h.faces[i]
	best, at := 0.0, f.outside[0]
	for _, p := range f.outside {
		if d := r3.Dot(f.n, h.pts[p]) - f.d; d > best {
			best, at = d, p
		}
	}
	eye := h.pts[at]
	// the faces that the point sees, and the horizon around them
	seen := []int32{i}
	h.faces[i].dead = true
	var horizon [][2]int32
	var lost []int32
	for k := 0; k < len(seen); k++ {
		v := h.faces[seen[k]].v
		lost = append(lost, h.faces[seen[k]].outside...)
		h.faces[seen[k]].outside = nil
		for e := range 3 {
			a, b := v[e], v[(e+1)%3]
			n, ok := h.edge[[2]int32{b, a}]
			if !ok || h.faces[n].dead {
				continue
			}
			if g := &h.faces[n]; r3.Dot(g.n, eye)-g.d > h.eps {
				g.dead = true
				seen = append(seen, n)
			}
		}
	}
	for _, s := range seen {
		v := h.faces[s].v
		for e := range 3 {
			a, b := v[e], v[(e+1)%3]
			if n, ok := h.edge[[2]int32{b, a}]; ok && !h.faces[n].dead {
				horizon = append(horizon, [2]int32{a, b})
			}
		}
	}
	for _, s := range seen {
		v := h.faces[s].v
		for e := range 3 {
			if k := [2]int32{v[e], v[(e+1)%3]}; h.edge[k] == s {
				delete(h.edge, k)
			}
		}
	}
	var fresh []int32
	for _, e := range horizon {
		fresh = append(fresh, h.add([3]int32{e[0], e[1], at}))
	}
	for _, p := range lost {
		if p != at {
			h.assign(p, fresh)
		}
	}
}
