package magnet

import (
	"math"

	"feint/internal/forces"

	"gonum.org/v1/gonum/mathext"
)

// perMM2 turns T2/mu0, which is N/m2, into N/mm2.
const perMM2 = 1e-6 / forces.Mu0

// discs is the force between two coaxial charged discs of radius r at distance d,
// for a remanence of 1 T each, N:
//
//	f = 1/(2 mu0) (pi r2 - d sqrt(d2 + 4 r2) (K(m) - E(m))),  m = 4 r2/(4 r2 + d2)
//
// D. Vokoun, M. Beleggia, L. Heller, P. Sittner, "Magnetostatic interactions and
// forces between cylindrical permanent magnets", J. Magn. Magn. Mater. 321 (2009)
// 3758, equations for two equal cylinders.
func discs(r, d float64) float64 {
	if d <= 0 {
		return perMM2 / 2 * math.Pi * r * r
	}
	q := 4 * r * r
	if d > 40*r { // the two terms cancel: the next terms of far charges instead
		s := math.Pi * r * r
		return perMM2 * s * s / (4 * math.Pi * d * d) * (1 - 1.5*r*r/(d*d))
	}
	m := q / (q + d*d)
	// K - E = m D, without cancelling
	return perMM2 / 2 * (math.Pi*r*r - d*math.Sqrt(d*d+q)*m*mathext.CompleteD(m))
}

// EqualPair is the force between two equal magnets in line at the gap, mm, with
// unlike poles facing (it pulls; like poles push as much), for the remanence br, N.
func EqualPair(d, l, br, gap float64) float64 {
	f := func(z float64) float64 { return discs(d/2, z) }
	return br * br * (f(gap) - 2*f(gap+l) + f(gap+2*l))
}

// FarPair is the pull of two coaxial dipoles of the moments m1, m2 (A m2) at
// distance z of their centres, mm: 3 mu0 m1 m2/(2 pi z4), N. The limit of a pair.
func FarPair(m1, m2, z float64) float64 {
	return 3 * forces.Mu0 * m1 * m2 / (2 * math.Pi * math.Pow(z*1e-3, 4))
}

// OnAxis is the flux density on the axis, z outside of the north face, T.
func (c *Cylinder) OnAxis(br, z float64) float64 {
	r := c.radius()
	return br / 2 * ((c.L+z)/math.Hypot(r, c.L+z) - z/math.Hypot(r, z))
}
