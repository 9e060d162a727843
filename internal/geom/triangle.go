package geom

import (
	"iter"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Triangle is three corners; its outside is where they run counter-clockwise.
type Triangle [3]Vec

// Feature tells on which part of a triangle a closest point lies.
type Feature uint8

// The features of a triangle: its face, the edges from corner k to k+1, and
// the corners.
const (
	Face Feature = iota
	Edge0
	Edge1
	Edge2
	Corner0
	Corner1
	Corner2
)

// thin is the squared sine of an angle at or below which a triangle is taken for
// its sides: the products that tell its regions apart, of the order of the sine,
// are then within some 1e5 of their rounding noise (2^-53).
const thin = 1e-20

// Closest is the point of t nearest to p, and the feature it lies on.
// Method: Voronoi regions of the triangle, C. Ericson, Real-Time Collision
// Detection (2005), section 5.1.5; a triangle without area, which it leaves
// out, is its sides.
func (t *Triangle) Closest(p Vec) (Vec, Feature) {
	ab, ac, ap := r3.Sub(t[1], t[0]), r3.Sub(t[2], t[0]), r3.Sub(p, t[0])
	if r3.Norm2(r3.Cross(ab, ac)) <= thin*r3.Norm2(ab)*r3.Norm2(ac) {
		return t.closestSide(p)
	}
	d1, d2 := r3.Dot(ab, ap), r3.Dot(ac, ap)
	if d1 <= 0 && d2 <= 0 {
		return t[0], Corner0
	}
	bp := r3.Sub(p, t[1])
	d3, d4 := r3.Dot(ab, bp), r3.Dot(ac, bp)
	if d3 >= 0 && d4 <= d3 {
		return t[1], Corner1
	}
	vc := d1*d4 - d3*d2
	if vc <= 0 && d1 >= 0 && d3 <= 0 {
		return r3.Add(t[0], r3.Scale(d1/(d1-d3), ab)), Edge0
	}
	cp := r3.Sub(p, t[2])
	d5, d6 := r3.Dot(ab, cp), r3.Dot(ac, cp)
	if d6 >= 0 && d5 <= d6 {
		return t[2], Corner2
	}
	vb := d5*d2 - d1*d6
	if vb <= 0 && d2 >= 0 && d6 <= 0 {
		return r3.Add(t[0], r3.Scale(d2/(d2-d6), ac)), Edge2
	}
	va := d3*d6 - d5*d4
	if va <= 0 && d4-d3 >= 0 && d5-d6 >= 0 {
		w := (d4 - d3) / ((d4 - d3) + (d5 - d6))
		return r3.Add(t[1], r3.Scale(w, r3.Sub(t[2], t[1]))), Edge1
	}
	k := 1 / (va + vb + vc)
	return r3.Add(t[0], r3.Add(r3.Scale(vb*k, ab), r3.Scale(vc*k, ac))), Face
}

// closestSide is the point of the sides of t nearest to p.
func (t *Triangle) closestSide(p Vec) (Vec, Feature) {
	best, at, side := math.Inf(1), Vec{}, Edge0
	for i := range t {
		q, _ := ClosestSegments(t[i], t[(i+1)%3], p, p)
		if d := r3.Norm2(r3.Sub(p, q)); d < best {
			best, at, side = d, q, Edge0+Feature(i)
		}
	}
	return at, side
}

// ClosestSegments gives the nearest points of the segments p1q1 and p2q2.
// Method: Ericson (2005), section 5.1.9, with the parallel case resolved by
// clamping.
func ClosestSegments(p1, q1, p2, q2 Vec) (Vec, Vec) {
	d1, d2, r := r3.Sub(q1, p1), r3.Sub(q2, p2), r3.Sub(p1, p2)
	a, e, f := r3.Dot(d1, d1), r3.Dot(d2, d2), r3.Dot(d2, r)
	c, b := r3.Dot(d1, r), r3.Dot(d1, d2)
	if a == 0 || e == 0 {
		return closestDegenerate(p1, d1, p2, d2, a, e, c, f)
	}
	s := 0.0
	// below a*e*1e-14 the cross term is rounding noise: any s is then as good.
	if den := a*e - b*b; den > a*e*1e-14 {
		s = clamp01((b*f - c*e) / den)
	}
	t := (b*s + f) / e
	switch {
	case t < 0:
		t, s = 0, clamp01(-c/a)
	case t > 1:
		t, s = 1, clamp01((b-c)/a)
	}
	return r3.Add(p1, r3.Scale(s, d1)), r3.Add(p2, r3.Scale(t, d2))
}

func closestDegenerate(p1, d1, p2, d2 Vec, a, e, c, f float64) (Vec, Vec) {
	switch {
	case a == 0 && e == 0:
		return p1, p2
	case a == 0:
		return p1, r3.Add(p2, r3.Scale(clamp01(f/e), d2))
	default:
		return r3.Add(p1, r3.Scale(clamp01(-c/a), d1)), p2
	}
}

func clamp01(x float64) float64 { return min(1, max(0, x)) }

// crosses tells whether the segment pq meets t, and where.
func (t *Triangle) crosses(p, q Vec) (Vec, bool) {
	ab, ac := r3.Sub(t[1], t[0]), r3.Sub(t[2], t[0])
	n := r3.Cross(ab, ac)
	dp, dq := r3.Dot(n, r3.Sub(p, t[0])), r3.Dot(n, r3.Sub(q, t[0]))
	if (dp > 0 && dq > 0) || (dp < 0 && dq < 0) || dp == dq {
		return Vec{}, false
	}
	x := r3.Add(p, r3.Scale(dp/(dp-dq), r3.Sub(q, p)))
	for k := range t {
		a, b := t[k], t[(k+1)%3]
		if r3.Dot(n, r3.Cross(r3.Sub(b, a), r3.Sub(x, a))) < 0 {
			return Vec{}, false
		}
	}
	return x, true
}

// Distance is the distance of two triangles with nearest points on t and u;
// 0, and one common point, where they cross.
func (t *Triangle) Distance(u *Triangle) (float64, Vec, Vec) {
	best := math.Inf(1)
	var pt, pu Vec
	try := func(x, y Vec) {
		d := r3.Sub(x, y)
		if s := r3.Dot(d, d); s < best {
			best, pt, pu = s, x, y
		}
	}
	for i := range t {
		for j := range u {
			try(ClosestSegments(t[i], t[(i+1)%3], u[j], u[(j+1)%3]))
		}
	}
	for i := range t {
		if y, f := u.Closest(t[i]); f == Face {
			try(t[i], y)
		}
		if x, f := t.Closest(u[i]); f == Face {
			try(x, u[i])
		}
	}
	if best > 0 {
		for i := range t {
			if x, ok := u.crosses(t[i], t[(i+1)%3]); ok {
				return 0, x, x
			}
			if x, ok := t.crosses(u[i], u[(i+1)%3]); ok {
				return 0, x, x
			}
		}
	}
	return math.Sqrt(best), pt, pu
}

// Normal is the unit outward normal, zero for a triangle without area.
func (t *Triangle) Normal() Vec {
	n := r3.Cross(r3.Sub(t[1], t[0]), r3.Sub(t[2], t[0]))
	if l := math.Sqrt(r3.Dot(n, n)); l > 0 {
		return r3.Scale(1/l, n)
	}
	return Vec{}
}

// Divided is t halved at its longest side until no side is longer than most.
func (t *Triangle) Divided(most float64) []Triangle {
	var out []Triangle
	for q := range t.Pieces(most) {
		out = append(out, *q)
	}
	return out
}

// Pieces are those of Divided in the same order, one at a time; what it gives is
// good until the next.
func (t *Triangle) Pieces(most float64) iter.Seq[*Triangle] {
	return func(yield func(*Triangle) bool) {
		var room [24]Triangle // halving n times takes n places
		todo := append(room[:0], *t)
		for len(todo) > 0 {
			q := todo[len(todo)-1]
			a, b, long := q.Halves()
			if long > most {
				todo[len(todo)-1] = a
				todo = append(todo, b)
				continue
			}
			todo = todo[:len(todo)-1]
			if !yield(&q) {
				return
			}
		}
	}
}

// Halves divides t at the middle of its longest side, whose length is long.
func (t *Triangle) Halves() (a, b Triangle, long float64) {
	k := 0
	for i := range 3 {
		if d := r3.Norm2(r3.Sub(t[(i+1)%3], t[i])); d > long {
			k, long = i, d
		}
	}
	m := r3.Scale(0.5, r3.Add(t[k], t[(k+1)%3]))
	a, b = *t, *t
	a[(k+1)%3], b[k] = m, m
	return a, b, math.Sqrt(long)
}
