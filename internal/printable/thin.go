package printable

import (
	"iter"
	"math"
	"sort"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// thinGrain is the distance between the places at which thickness is
	// measured, mm, where that is not more than mostPlaces.
	thinGrain = 1.0
	// mostPlaces keeps the measuring of one part to a second or two.
	mostPlaces = 8000
	// facing is the cosine between the normals of two sides from which they count
	// as the sides of one wall: they run together by 37 degrees at most. At a
	// corner of 90 degrees the cosine is 0.
	facing = -0.8
	// together is how near to each other thin places are told as one, mm.
	together = 3.0
	// leastThin is the area from which a thin place is told, mm2: a speck is the
	// rounding of an edge.
	leastThin = 0.5
)

// place is a sample of a face, as drawn.
type place struct {
	at, n geom.Vec
	area  float64
}

// places samples the faces of m. Where faces meet at less than smooth, they stand
// for one round surface, and the normal turns steadily from the one to the other.
// Of places within half a grain that look the same way within a sixth of a radian or
// so the first stands for all: facets of round surfaces are slivers.
func places(m *mesh.Mesh) []place {
	g := max(thinGrain, math.Sqrt(2*m.Area()/mostPlaces))
	type key [6]int32
	of := func(at, n geom.Vec) key {
		f := func(v float64) int32 { return int32(math.Floor(v)) }
		c := 2 / g
		return key{f(at.X * c), f(at.Y * c), f(at.Z * c), f(n.X*6 + 0.5), f(n.Y*6 + 0.5), f(n.Z*6 + 0.5)}
	}
	first := map[key]int{}
	var out []place
	for _, p := range sampled(m, g) {
		k := of(p.at, p.n)
		if i, ok := first[k]; ok {
			out[i].area += p.area
			continue
		}
		first[k] = len(out)
		out = append(out, p)
	}
	return out
}

// sampled goes over the pieces of the faces no longer than g and the places in their
// middles; a piece is good until the next.
func sampled(m *mesh.Mesh, g float64) iter.Seq2[*geom.Triangle, place] {
	corner := cornerNormals(m)
	return func(yield func(*geom.Triangle, place) bool) {
		for i := range m.T {
			t := m.Triangle(i)
			if area2(t[0], t[1], t[2]) == 0 {
				continue
			}
			for q := range t.Pieces(g) {
				c := r3.Scale(1.0/3, r3.Add(q[0], r3.Add(q[1], q[2])))
				var n geom.Vec
				for k := range 3 { // barycentric
					n = r3.Add(n, r3.Scale(area2(t[(k+1)%3], t[(k+2)%3], c), corner[i][k]))
				}
				if !yield(q, place{c, r3.Scale(1/math.Sqrt(r3.Norm2(n)), n), area2(q[0], q[1], q[2]) / 2}) {
					return
				}
			}
		}
	}
}

// area2 is twice the area of a triangle. Areas here lie far from the ends of what a
// float64 holds, where alone math.Hypot would be worth its time.
func area2(a, b, c geom.Vec) float64 {
	return math.Sqrt(r3.Norm2(r3.Cross(r3.Sub(b, a), r3.Sub(c, a))))
}

// smooth is the angle between faces below which they are facets of one round
// surface, radians: a circle of twelve chords has 30 degrees.
const smooth = 31 * math.Pi / 180

// cornerNormals gives for each corner of each triangle the mean normal of the
// faces there that it goes smoothly over to, weighted by their angle at the corner.
func cornerNormals(m *mesh.Mesh) [][3]geom.Vec {
	normal := make([]geom.Vec, len(m.T))
	around := make([][]int32, len(m.V))
	for i, t := range m.T {
		tr := m.Triangle(i)
		normal[i] = tr.Normal()
		for _, v := range t {
			around[v] = append(around[v], int32(i))
		}
	}
	angle := func(i int32, v int32) float64 {
		t := m.T[i]
		for k := range 3 {
			if t[k] == v {
				a, b := r3.Sub(m.V[t[(k+1)%3]], m.V[v]), r3.Sub(m.V[t[(k+2)%3]], m.V[v])
				return math.Atan2(r3.Norm(r3.Cross(a, b)), r3.Dot(a, b))
			}
		}
		return 0
	}
	out := make([][3]geom.Vec, len(m.T))
	for i, t := range m.T {
		for k, v := range t {
			sum := r3.Scale(1e-9, normal[i])
			for _, j := range around[v] {
				if r3.Dot(normal[i], normal[j]) > math.Cos(smooth) {
					sum = r3.Add(sum, r3.Scale(angle(j, v), normal[j]))
				}
			}
			out[i][k] = r3.Unit(sum)
		}
	}
	return out
}

// facetSlack is how deep facets of the same round surface may reach into the ball,
// mm: twice the coarsest usual distance of mesh and drawing, 0.005.
const facetSlack = 0.01

// Thickness is the diameter of the largest ball that touches the surface of t at
// p from the inside (n the outward normal there), up to most, mm, and the point
// at which it touches the other side. wall tells whether it touches two sides
// that face each other and not a corner; it is false too where the ball is most
// wide. With air the ball lies in front of p instead, and the width is that of a
// slit.
//
// The ball shrinks until nothing lies within it (J. Ma, S. Bae, S. Choi, 3D
// medial axis point approximation using nearest neighbors and the normal field,
// The Visual Computer 28 (2012)).
func Thickness(t *mesh.Tree, p, n geom.Vec, most float64, air bool) (d float64, other geom.Vec, wall bool) {
	const (
		tiny  = 1e-7 // relative: what p itself and its flat surroundings differ by in rounding
		turns = 40   // each turn at least comes nearer; 10 are many
	)
	side := 1.0
	if air {
		n, side = r3.Scale(-1, n), -1
	}
	r := most/2 + facetSlack
	at := -1
	for range turns {
		c := r3.Sub(p, r3.Scale(r, n))
		_, tri, q := t.Near(c, r-facetSlack)
		if tri < 0 {
			break
		}
		w := r3.Sub(p, q)
		h := r3.Dot(n, w)
		if h <= tiny*r { // nothing but the face itself
			break
		}
		next := r3.Norm2(w) / (2 * h)
		if next >= r*(1-tiny) {
			break
		}
		r, other, at = next, q, tri
	}
	if at < 0 || 2*r >= most {
		return most, other, false
	}
	face := t.Mesh().Triangle(at)
	return 2 * r, other, side*r3.Dot(face.Normal(), n) < facing
}

// thins finds walls of fewer than two lines, floors of fewer than two layers, and
// slits narrower than a line or a layer.
func thins(ps []place, t *mesh.Tree, l *laid, s *Settings, workers int) []Thin {
	found := make([][]Thin, len(ps))
	fwd := l.back.Inverse()
	run(len(ps), workers, func(i int) {
		q := &ps[i]
		for _, air := range [2]bool{false, true} {
			lines := 2.0
			if air {
				lines = 1
			}
			most := 1.05 * lines * max(s.Line, s.Layer)
			d, other, wall := Thickness(t, q.at, q.n, most, air)
			if !wall {
				continue
			}
			along := fwd.Turn(r3.Unit(r3.Sub(other, q.at)))
			k := Thin{At: q.at, Thickness: d, Area: q.area, Slit: air, Level: math.Abs(along.Z) > math.Sqrt2/2}
			k.Least = lines * s.Line
			if k.Level {
				k.Least = lines * s.Layer
			}
			if d < k.Least*(1-1e-6) {
				found[i] = append(found[i], k)
			}
		}
	})
	var all []Thin
	for _, f := range found {
		all = append(all, f...)
	}
	return grouped(all)
}

// grouped makes one of thin places of a kind that lie together: the least
// thickness, and the sum of the areas.
func grouped(all []Thin) []Thin {
	type bin struct {
		x, y, z     int
		level, slit bool
	}
	binOf := func(k *Thin) bin {
		f := func(v float64) int { return int(math.Floor(v / together)) }
		return bin{f(k.At.X), f(k.At.Y), f(k.At.Z), k.Level, k.Slit}
	}
	in := map[bin][]int{}
	for i := range all {
		b := binOf(&all[i])
		in[b] = append(in[b], i)
	}
	seen := make([]bool, len(all))
	var out []Thin
	for i := range all {
		if seen[i] {
			continue
		}
		g := all[i]
		g.Area = 0
		todo := []int{i}
		seen[i] = true
		for len(todo) > 0 {
			j := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			k := &all[j]
			g.Area += k.Area
			if k.Thickness < g.Thickness {
				g.Thickness, g.At = k.Thickness, k.At
			}
			b := binOf(k)
			for d := range 27 {
				n := b
				n.x, n.y, n.z = b.x+d%3-1, b.y+d/3%3-1, b.z+d/9-1
				for _, o := range in[n] {
					if !seen[o] && r3.Norm(r3.Sub(all[o].At, k.At)) < together {
						seen[o] = true
						todo = append(todo, o)
					}
				}
			}
		}
		if g.Area >= leastThin {
			out = append(out, g)
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Thickness/out[i].Least < out[j].Thickness/out[j].Least })
	return out
}
