package strength

import (
	"cmp"
	"math"
	"slices"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Wall is how thick a part is at a place of its surface.
type Wall struct {
	At     geom.Vec // on the surface, mm
	Inward geom.Vec // unit
	Thick  float64  // diameter of the largest ball within the part that touches At, mm
}

const (
	// opposed is the cosine of the angle between two surfaces' outward normals up to which
	// they are the sides of one wall; of a ball in a corner or along an edge the normals
	// differ by less than a right angle and a half.
	opposed = -0.7071067811865476
	// settled is the change of a ball's radius, of itself, at which it counts as found.
	settled = 1e-6
	// steps bounds the shrinking of a ball; each step at least shrinks it, and a dozen do.
	steps = 60
)

// Walls tells how thick the part is at about n places spread over its surface, thinnest
// first. Places at which the largest ball touches no opposite side (corners, edges) are
// left out. A wall between two places may be thinner yet.
//
// Method: shrinking balls (J. Ma, S. W. Bae, S. Choi, "3D medial axis point approximation
// using nearest neighbors and the normal field", The Visual Computer 28 (2012) 7).
func Walls(t *mesh.Tree, n int) []Wall {
	m := t.Mesh()
	if len(m.T) == 0 || n <= 0 {
		return nil
	}
	b := m.Bounds()
	most := r3.Norm(r3.Sub(b.Hi, b.Lo))
	var out []Wall
	for _, p := range spread(m, n) {
		if w, ok := ball(t, p, most); ok {
			out = append(out, w)
		}
	}
	slices.SortStableFunc(out, func(a, b Wall) int { return cmp.Compare(a.Thick, b.Thick) })
	return out
}

// ball shrinks a ball of half the part's size until nothing of the surface is within it.
func ball(t *mesh.Tree, w Wall, most float64) (Wall, bool) {
	r := most / 2
	other := -1
	for range steps {
		c := r3.Add(w.At, r3.Scale(r, w.Inward))
		_, tri, q := t.Signed(c)
		d := r3.Norm(r3.Sub(q, c))
		if d >= r*(1-settled) {
			break
		}
		v := r3.Sub(q, w.At)
		k := 2 * r3.Dot(v, w.Inward)
		if k <= 0 {
			return w, false
		}
		r, other = r3.Norm2(v)/k, tri
	}
	if other < 0 {
		return w, false
	}
	tri := t.Mesh().Triangle(other)
	n := r3.Unit(r3.Cross(r3.Sub(tri[1], tri[0]), r3.Sub(tri[2], tri[0])))
	if r3.Dot(n, r3.Scale(-1, w.Inward)) > opposed {
		return w, false
	}
	w.Thick = 2 * r
	return w, true
}

// spread lays about n places over the surface, each in the middle of a like share: every
// triangle is walked by the golden ratio in its own coordinates.
func spread(m *mesh.Mesh, n int) []Wall {
	share := m.Area() / float64(n)
	var out []Wall
	left := share / 2 // area to walk before the next place
	const g1, g2 = 0.7548776662466927, 0.5698402909980532
	for i := range m.T {
		t := m.Triangle(i)
		e, f := r3.Sub(t[1], t[0]), r3.Sub(t[2], t[0])
		c := r3.Cross(e, f)
		area := r3.Norm(c) / 2
		if area == 0 || math.IsNaN(area) {
			continue
		}
		in := r3.Scale(-0.5/area, c)
		for left -= area; left <= 0; left += share {
			k := float64(len(out) + 1)
			_, u := math.Modf(k * g1)
			_, v := math.Modf(k * g2)
			if u+v > 1 {
				u, v = 1-u, 1-v
			}
			out = append(out, Wall{At: r3.Add(t[0], r3.Add(r3.Scale(u, e), r3.Scale(v, f))), Inward: in})
		}
	}
	return out
}
