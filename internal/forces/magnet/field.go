package magnet

import (
	"math"

	"feint/internal/forces"
)

// Field is the flux density at rho from the axis, z outside of the north face (z >= 0,
// or beside the magnet): along the axis, away from the face, and outwards, T.
//
// Source: N. Derby and S. Olbert, "Cylindrical magnets and ideal solenoids", American
// Journal of Physics 78 (2010) 229: the field is that of a solenoid of the same size.
func (c *Cylinder) Field(br, rho, z float64) (along, out float64) {
	a := c.radius()
	k := br / math.Pi
	gamma := (a - rho) / (a + rho)
	for _, e := range [2]struct{ sign, z float64 }{{1, z + c.L}, {-1, z}} {
		far := math.Sqrt(e.z*e.z + (rho+a)*(rho+a))
		kc := math.Sqrt(e.z*e.z+(a-rho)*(a-rho)) / far
		along += e.sign * k * a / (a + rho) * e.z / far * cel(kc, gamma*gamma, 1, gamma)
		out += e.sign * k * a / far * cel(kc, 1, 1, -1)
	}
	return along, out
}

// celEnough is the relative step at which cel stops: its iteration converges
// quadratically, so the next step would be below 1e-16.
const celEnough = 1e-8

// cel is the generalized complete elliptic integral
//
//	int (c cos2 + s sin2)/((cos2 + p sin2) sqrt(cos2 + kc2 sin2)), 0 to pi/2
//
// R. Bulirsch, "Numerical calculation of elliptic integrals and elliptic functions",
// Numerische Mathematik 7 (1965) 78, in the form of Derby and Olbert (2010). kc is not
// 0; p is positive, or 0 on the edge of a magnet, where the value is a large number.
func cel(kc, p, c, s float64) float64 {
	kc = max(kc, 1e-150)
	p = max(p, 1e-150)
	k, em := kc, 1.0
	p = math.Sqrt(p)
	s /= p
	f := c
	c += s / p
	g := k / p
	s = 2 * (s + f*g)
	p += g
	g = em
	em += k
	kk := k
	for math.Abs(g-k) > g*celEnough {
		k = 2 * math.Sqrt(kk)
		kk = k * em
		f = c
		c += s / p
		g = kk / p
		s = 2 * (s + f*g)
		p += g
		g = em
		em += k
	}
	return math.Pi / 2 * (s + c*em) / (em * (em + p))
}

// FaceHeight is how far over the face the flux index is taken, mm (SOR/2011-17,
// schedule 10; 16 CFR 1262).
const FaceHeight = 0.38

// HazardIndex is the flux index from which a magnet that fits the small-parts cylinder
// counts as hazardous, kG2 mm2 (16 CFR 1262.2).
const HazardIndex = 50

// FluxIndex estimates the flux index of a magnet, kG2 mm2: the square of the greatest
// flux density across the face at FaceHeight, times the area of the face. Every value
// of it is an estimate: the rule asks for a measurement with a gaussmeter.
func (c *Cylinder) FluxIndex() forces.Interval {
	// the greatest is on the axis or, of flat magnets, on a ring: sampled, then refined
	at := func(rho float64) float64 { b, _ := c.Field(1, rho, FaceHeight); return math.Abs(b) }
	const n = 200
	best, where := 0.0, 0.0
	for i := range n + 1 {
		rho := c.radius() * float64(i) / n
		if b := at(rho); b > best {
			best, where = b, rho
		}
	}
	w := c.radius() / n
	for range 40 {
		w /= 2
		for _, rho := range [2]float64{max(0, where-w), min(c.radius(), where+w)} {
			if b := at(rho); b > best {
				best, where = b, rho
			}
		}
	}
	one := 100 * best * best * math.Pi * c.radius() * c.radius() // T2 to kG2
	return forces.Interval{Lo: one * c.Br.Lo * c.Br.Lo, Hi: one * c.Br.Hi * c.Br.Hi}
}

// FitsSmallParts tells whether the magnet alone fits the small-parts cylinder, 31.7 mm
// across and 25.4 to 57.1 mm deep (16 CFR 1501.4): it does if it goes in upright and
// lies under the slanted rim, taken here at its deepest so that it errs towards yes.
func (c *Cylinder) FitsSmallParts() bool {
	return c.D <= 31.7 && c.L <= 57.1 || math.Hypot(c.D, c.L) <= 31.7
}
