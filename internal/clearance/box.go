package clearance

import (
	"math"

	"feint/internal/geom"
)

// wrap brings an angle into [-pi, pi].
func wrap(x float64) float64 { return x - 2*math.Pi*math.Round(x/(2*math.Pi)) }

// sizeOf is the longest side of a box, mm.
func (f *form) sizeOf(b *[6]float64) float64 {
	if f.round {
		return max(b[1]-b[0], b[5]-b[4], 2*b[3]*b[1])
	}
	return max(b[3]-b[0], b[4]-b[1], b[5]-b[2])
}

// merge is the smallest box (in z, r and extent, not always in angle) around two.
func (f *form) merge(a, b *[6]float64) [6]float64 {
	if !f.round {
		return [6]float64{min(a[0], b[0]), min(a[1], b[1]), min(a[2], b[2]), max(a[3], b[3]), max(a[4], b[4]), max(a[5], b[5])}
	}
	d := wrap(b[2] - a[2])
	lo, hi := min(-a[3], d-b[3]), max(a[3], d+b[3])
	o := [6]float64{min(a[0], b[0]), max(a[1], b[1]), wrap(a[2] + (hi+lo)/2), (hi - lo) / 2, min(a[4], b[4]), max(a[5], b[5])}
	if o[3] > math.Pi {
		o[3] = math.Pi
	}
	return o
}

// boxOf is the box of triangle i.
func (f *form) boxOf(i int32) [6]float64 {
	t := f.triangle(i)
	return f.boxAround(&t)
}

// boxAround is the box of a triangle.
func (f *form) boxAround(t *geom.Triangle) [6]float64 {
	if f.round {
		return roundBox(t)
	}
	b := geom.EmptyBox().Add(t[0]).Add(t[1]).Add(t[2])
	return [6]float64{b.Lo.X, b.Lo.Y, b.Lo.Z, b.Hi.X, b.Hi.Y, b.Hi.Z}
}

// angleSlack widens the angles of cylindrical boxes by more than the rounding
// of atan2 and of the sums of angles, each under 2^-50.
const angleSlack = 1e-12

// roundBox is the cylindrical box of a triangle. Its least r is that of the
// facet, not of the corners: a facet of a bore dips below its corners.
func roundBox(t *geom.Triangle) [6]float64 {
	a, b, c := t[0], t[1], t[2]
	o := [6]float64{
		min(axisDistance(a, b), axisDistance(b, c), axisDistance(c, a)),
		max(hypot(a.X, a.Y), hypot(b.X, b.Y), hypot(c.X, c.Y)),
		0, math.Pi,
		min(a.Z, b.Z, c.Z), max(a.Z, b.Z, c.Z),
	}
	area := func(p, q geom.Vec) float64 { return p.X*q.Y - p.Y*q.X }
	s, u, v := area(a, b), area(b, c), area(c, a)
	if (s >= 0 && u >= 0 && v >= 0) || (s <= 0 && u <= 0 && v <= 0) {
		if math.Abs(s+u+v) > 1e-12 {
			o[0] = 0
		}
	}
	if o[0] < 1e-6 { // the axis meets the triangle: every angle
		o[0] = 0
		return o
	}
	t0 := math.Atan2(a.Y, a.X)
	d, e := wrap(math.Atan2(b.Y, b.X)-t0), wrap(math.Atan2(c.Y, c.X)-t0)
	lo, hi := min(0, d, e), max(0, d, e)
	o[2], o[3] = wrap(t0+(lo+hi)/2), (hi-lo)/2+angleSlack
	return o
}

// axisDistance is the least distance of the segment pq from the z axis.
func axisDistance(p, q geom.Vec) float64 {
	dx, dy := q.X-p.X, q.Y-p.Y
	l, t := dx*dx+dy*dy, 0.0
	if l > 0 {
		t = max(0, min(1, -(p.X*dx+p.Y*dy)/l))
	}
	return hypot(p.X+t*dx, p.Y+t*dy)
}

// gap2 is a lower bound of the squared distance of two cylindrical boxes, a
// moved by z +- hz and turned by t +- ht. With g the least angle between them,
// dist^2 >= dz^2 + dr^2 + 4 ra rb sin^2(g/2), and sin x >= x - x^3/6.
func gap2(a, b *[6]float64, z, t, hz, ht float64) float64 {
	var dz, dr float64
	if g := b[4] - (a[5] + z + hz); g > 0 {
		dz = g
	} else if g := a[4] + z - hz - b[5]; g > 0 {
		dz = g
	}
	if g := b[0] - a[1]; g > 0 {
		dr = g
	} else if g := a[0] - b[1]; g > 0 {
		dr = g
	}
	d := a[2] + t - b[2]
	for d > math.Pi {
		d -= 2 * math.Pi
	}
	for d < -math.Pi {
		d += 2 * math.Pi
	}
	s := dz*dz + dr*dr
	if g := (math.Abs(d) - a[3] - b[3] - ht) / 2; g > 0 {
		g -= g * g * g / 6
		s += 4 * a[0] * b[0] * g * g
	}
	return s
}

// pointGap2 is a lower bound of the squared distance of a point to a box; for a
// cylindrical box the point is given as (r, angle, z), see form.key.
func (f *form) pointGap2(p geom.Vec, b *[6]float64) float64 {
	if !f.round {
		x := max(0, b[0]-p.X, p.X-b[3])
		y := max(0, b[1]-p.Y, p.Y-b[4])
		z := max(0, b[2]-p.Z, p.Z-b[5])
		return x*x + y*y + z*z
	}
	r := max(0, b[0]-p.X, p.X-b[1])
	z := max(0, b[4]-p.Z, p.Z-b[5])
	s := r*r + z*z
	g := math.Abs(p.Y - b[2])
	if g > math.Pi {
		g = 2*math.Pi - g
	}
	if g -= b[3]; g > 0 {
		g /= 2
		g -= g * g * g / 6
		s += 4 * p.X * b[0] * g * g
	}
	return s
}
