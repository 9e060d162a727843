package clearance

import (
	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// gjkRounds bounds the iterations; 3 to 8 are usual, and stopping early costs
// only the quality of the direction.
const gjkRounds = 24

// hulls looks for the direction in which the convex hull of the points a, carried
// by the pose g and shifted by u, lies off that of the points b, and their
// distance, 0 if they meet. It starts from the direction n and ends early, with
// the distance so far, once that is below enough: the distance is an upper bound
// at all times. Whatever it returns, only the direction matters: bounds along it
// are computed afresh. Method: E. Gilbert, D. Johnson, S. Keerthi, IEEE J.
// Robotics and Automation 4 (1988) 193.
func hulls(a []geom.Vec, g *geom.Motion, u geom.Vec, b []geom.Vec, n geom.Vec, enough float64) (float64, geom.Vec) {
	var s [4]geom.Vec
	k := 0
	v := n
	best := 0.0
	for round := range gjkRounds {
		w := support(a, g, u, b, v)
		vv := r3.Norm2(v)
		if round > 0 && vv-r3.Dot(v, w) <= 1e-10*vv {
			break
		}
		dup := false
		for i := range k {
			dup = dup || s[i] == w
		}
		if dup {
			break
		}
		s[k] = w
		k++
		v, k = simplex(&s, k)
		if k == 0 { // the origin is inside
			return 0, geom.Vec{}
		}
		best = norm(v)
		if !(best >= enough) || best < 1e-11 {
			break
		}
	}
	if !(best >= 1e-11) { // or not a number: a simplex without extent

		return 0, geom.Vec{}
	}
	return best, r3.Scale(1/best, v)
}

// support is the point of the difference of the hulls that is least along v.
func support(a []geom.Vec, g *geom.Motion, u geom.Vec, b []geom.Vec, v geom.Vec) geom.Vec {
	r := &g.R
	va := geom.Vec{
		X: r[0].X*v.X + r[1].X*v.Y + r[2].X*v.Z,
		Y: r[0].Y*v.X + r[1].Y*v.Y + r[2].Y*v.Z,
		Z: r[0].Z*v.X + r[1].Z*v.Y + r[2].Z*v.Z,
	}
	ia, ib := 0, 0
	la, hb := va.X*a[0].X+va.Y*a[0].Y+va.Z*a[0].Z, v.X*b[0].X+v.Y*b[0].Y+v.Z*b[0].Z
	for i := 1; i < len(a); i++ {
		if d := va.X*a[i].X + va.Y*a[i].Y + va.Z*a[i].Z; d < la {
			ia, la = i, d
		}
	}
	for i := 1; i < len(b); i++ {
		if d := v.X*b[i].X + v.Y*b[i].Y + v.Z*b[i].Z; d > hb {
			ib, hb = i, d
		}
	}
	return r3.Sub(r3.Add(g.Apply(a[ia]), u), b[ib])
}

// simplex is the point nearest the origin of the simplex s[:k]; it keeps in s the
// corners that carry it, their number k, 0 if the origin is inside.
func simplex(s *[4]geom.Vec, k int) (geom.Vec, int) {
	switch k {
	case 1:
		return s[0], 1
	case 2:
		d := r3.Sub(s[1], s[0])
		t := -r3.Dot(s[0], d) / r3.Norm2(d)
		switch {
		case t <= 0:
			return s[0], 1
		case t >= 1:
			s[0] = s[1]
			return s[0], 1
		}
		return r3.Add(s[0], r3.Scale(t, d)), 2
	case 3:
		t := geom.Triangle{s[0], s[1], s[2]}
		return reduce(s, t)
	default:
		return tetrahedron(s)
	}
}

// reduce is simplex for a triangle.
func reduce(s *[4]geom.Vec, t geom.Triangle) (geom.Vec, int) {
	p, f := t.Closest(geom.Vec{})
	switch f {
	case geom.Face:
		s[0], s[1], s[2] = t[0], t[1], t[2]
		return p, 3
	case geom.Edge0, geom.Edge1, geom.Edge2:
		i := int(f - geom.Edge0)
		s[0], s[1] = t[i], t[(i+1)%3]
		return p, 2
	default:
		s[0] = t[f-geom.Corner0]
		return p, 1
	}
}

// tetrahedron is simplex for four corners.
func tetrahedron(s *[4]geom.Vec) (geom.Vec, int) {
	a, b, c, d := s[0], s[1], s[2], s[3]
	faces := [4][4]geom.Vec{{a, b, c, d}, {a, c, d, b}, {a, d, b, c}, {b, d, c, a}}
	best, out := -1.0, false
	var keep [4]geom.Vec
	var p geom.Vec
	var n int
	for i := range faces {
		f := &faces[i]
		normal := r3.Cross(r3.Sub(f[1], f[0]), r3.Sub(f[2], f[0]))
		o, other := -r3.Dot(normal, f[0]), r3.Dot(normal, r3.Sub(f[3], f[0]))
		if o*other > 0 { // on the inner side of this face
			continue
		}
		out = true
		var t [4]geom.Vec
		q, k := reduce(&t, geom.Triangle{f[0], f[1], f[2]})
		if l := r3.Norm2(q); best < 0 || l < best {
			best, p, n, keep = l, q, k, t
		}
	}
	if !out {
		return geom.Vec{}, 0
	}
	*s = keep
	return p, n
}
