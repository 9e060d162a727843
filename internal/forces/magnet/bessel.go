package magnet

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mathext"
)

// kernel integrates exp(-k d) J1(k r1) J1(k r2) Jn(k x)/k over k, n = 0 for the force
// along the axis and 1 for the force sideways. The second value bounds what the
// integral may be off: the tail that is cut, bounded by |J1(k r)| <= sqrt(2/(pi k r))
// 1.1 (largest ratio, at k r = 2.2) and |Jn| <= 1, and the difference between 10 and
// 20 points a panel.
//
// Source: M. Beleggia, D. Vokoun, M. De Graef, "Forces between a permanent magnet
// and a soft magnetic plate", IEEE Magn. Lett. 3 (2012) 0500204, and Vokoun et al.
// (2009) for the form with J0(k x).
func kernel(n int, r1, r2, x, d float64) (value, off float64) {
	end := math.Log(1e13) / d
	panels := int(math.Ceil(end*(r1+r2+x)/math.Pi)) + 4
	f := func(k float64) float64 {
		if k == 0 {
			return 0
		}
		return math.Exp(-k*d) * math.J1(k*r1) * math.J1(k*r2) * math.Jn(n, k*x) / k
	}
	coarse := 0.0
	w := end / float64(panels)
	for i := range panels {
		a, b := w*float64(i), w*float64(i+1)
		coarse += quad.Fixed(f, a, b, 10, nil, 0)
		value += quad.Fixed(f, a, b, 20, nil, 0)
	}
	tail := 1.21 * 2 / (math.Pi * math.Sqrt(r1*r2)) * math.Exp(-end*d) / (end * end * d)
	return value, tail + math.Abs(value-coarse)
}

// kernelTight is the same integral for any d, 0 too, by another way. Over the vector
// s from one charge to another two discs have A(|s - x|) pairs of places, A(rho) being
// the area common to one disc and the other shifted by rho. In polar coordinates about
// x the inner integrals are those of a ring, closed in elliptic integrals:
//
//	along:    4 pi2 r1 r2 K0 = int rho A(rho) d 4 E(m)/((a - b) sqrt(a + b))
//	sideways: 4 pi2 r1 r2 K1 = -int rho A'(rho) 4 (a K(m) - (a + b) E(m))/(b sqrt(a + b))
//
// with a = rho2 + x2 + d2, b = 2 rho x, m = 2 b/(a + b). It serves where d is so small
// that the other oscillates for long.
func kernelTight(n int, r1, r2, x, d float64) (value, off float64) {
	s := 4 * math.Pi * math.Pi * r1 * r2
	if n == 0 && d < 1e-9 { // the ring's field is then a spike at rho = x
		return 2 * math.Pi * common(r1, r2, x) / s, 1e-12
	}
	f := func(rho float64) float64 { return ringAlong(rho, x, d) * rho * common(r1, r2, rho) }
	if n == 1 {
		f = func(rho float64) float64 { return ringAside(rho, x, d) * rho * chord(r1, r2, rho) }
	}
	ends := []float64{0, math.Abs(r1 - r2), r1 + r2}
	if x > 0 && x < r1+r2 {
		ends = append(ends, x)
	}
	slices.Sort(ends)
	for i := 1; i < len(ends); i++ {
		v, o := endpoints(f, ends[i-1], ends[i])
		value, off = value+v/s, off+o/s
	}
	return value, off
}

// endpoints integrates f from a to b, where f may be singular or steep at the ends, by
// the double exponential rule (H. Takahasi and M. Mori, Publ. RIMS 9 (1974) 721), and
// tells the difference from the rule with half the points.
func endpoints(f func(float64) float64, a, b float64) (value, off float64) {
	if !(b > a) {
		return 0, 0
	}
	const n = 120 // points on either side; at t = 3.2 the weights are below 1e-15
	const h = 3.2 / n
	half := 0.0
	for i := -n; i <= n; i++ {
		t := h * float64(i)
		u := math.Pi / 2 * math.Sinh(t)
		// distance from the nearer end, so that steepness there is not rounded away
		q := (b - a) / (1 + math.Exp(2*math.Abs(u)))
		x := a + q
		if u > 0 {
			x = b - q
		}
		if q == 0 || x <= a || x >= b {
			continue
		}
		c := math.Cosh(u)
		w := h * (b - a) / 2 * math.Pi / 2 * math.Cosh(t) / (c * c) * f(x)
		value += w
		if i%2 == 0 {
			half += 2 * w
		}
	}
	return value, math.Abs(value - half)
}

// ringAlong is the integral over phi of d/(a - b cos phi)^(3/2).
func ringAlong(rho, x, d float64) float64 {
	near, far := (rho-x)*(rho-x)+d*d, (rho+x)*(rho+x)+d*d
	return 4 * d * mathext.CompleteE(1-near/far) / (near * math.Sqrt(far))
}

// ringAside is the integral over phi of cos phi/(a - b cos phi)^(1/2).
func ringAside(rho, x, d float64) float64 {
	a, b := rho*rho+x*x+d*d, 2*rho*x
	if b < 1e-5*a {
		return math.Pi * b / (2 * a * math.Sqrt(a))
	}
	far := a + b
	m := min(1-1e-16, 2*b/far)
	return 4 * (a*mathext.CompleteK(m) - far*mathext.CompleteE(m)) / (b * math.Sqrt(far))
}

// common is the area common to discs of radii p and q whose centres are s apart.
func common(p, q, s float64) float64 {
	switch {
	case s >= p+q:
		return 0
	case s <= math.Abs(p-q):
		return math.Pi * min(p, q) * min(p, q)
	}
	part := func(p, q float64) float64 { // the segment of the disc p
		h := (s*s + p*p - q*q) / (2 * s)
		return p*p*math.Acos(max(-1, min(1, h/p))) - h*math.Sqrt(max(0, p*p-h*h))
	}
	return part(p, q) + part(q, p)
}

// chord is by how much common falls as s grows: the length of the common chord.
func chord(p, q, s float64) float64 {
	if s >= p+q || s <= math.Abs(p-q) {
		return 0
	}
	h := (s*s + p*p - q*q) / (2 * s)
	return 2 * math.Sqrt(max(0, p*p-h*h))
}
