package magnet

import (
	"math"

	"feint/internal/forces"

	"gonum.org/v1/gonum/spatial/r3"
)

// What a piece of soft steel is sure to carry, T: mild steel at a permeability of some
// hundreds (from memory; 1.5 T and more at a permeability of a thousand).
const steelCarries = 1.4

// The least share of a thick, wide plate's pull that a disc of steel is sure to have which
// is thick enough to carry the flux away, by its radius in radii of the magnet; of a
// thinner one as much less as it is thinner. Below what an axisymmetric solution with
// saturation gives (the tests hold it to that) for gaps up to steelGap radii and magnets
// from 0.3 to 3 radii long.
const (
	steelGap   = 0.7
	steelShort = 0.3
	steelLong  = 3.0
)

func steelShare(radii float64) float64 {
	switch {
	case radii >= 2:
		return 0.6
	case radii >= 1.5:
		return 0.4
	case radii >= 1:
		return 0.15
	}
	return 0
}

// Why the least pull of a piece of steel is not told.
const (
	SteelAskew = "the steel does not lie flat before a face of the magnet"
	SteelSmall = "the steel does not cover the face of the magnet"
	SteelFar   = "the steel is farther off than 0.7 of the magnet's radius"
	SteelShape = "the magnet is flatter or longer than is known of"
)

// Sheet is the pull of a magnet on a coaxial disc of soft steel of the radius and
// thickness, mm, at the gap: at most that of a thick, wide plate (Plate), at least a share
// of it by how wide the disc is and how much of the flux its thickness carries. Where no
// share is known the lower end is 0 and why says it.
func Sheet(c *Cylinder, radius, thick, gap float64) (pull forces.Interval, why string, err error) {
	pull, err = Plate(c, forces.Exact(gap))
	if err != nil {
		return pull, "", err
	}
	r := c.radius()
	share := steelShare(radius / r * (1 + rounding))
	switch {
	case share == 0:
		why = SteelSmall
	case gap > steelGap*r:
		why = SteelFar
	case c.L < steelShort*r || c.L > steelLong*r:
		why = SteelShape
	default:
		pull.Lo *= share * min(1, thick/c.carried(gap))
		return pull, "", nil
	}
	return forces.Interval{Hi: pull.Hi}, why, nil
}

// rounding is what a radius may be short of by the arithmetic.
const rounding = 1e-9

// carried is the thickness of steel that carries away the flux of the magnet at the gap,
// mm: with the field that the image doubles on the face of the plate, the flux Phi within
// rho has 2 pi rho times the thickness to pass, at steelCarries; the most of that over
// rho.
func (c *Cylinder) carried(gap float64) float64 {
	const n = 100
	step := 2 * c.radius() / n
	most, flux := 0.0, 0.0 // of 2 pi
	for i := range n {
		rho := step * (float64(i) + 0.5)
		b, _ := c.Field(c.Br.Hi, rho, gap)
		flux += 2 * b * rho * step
		most = max(most, flux/(rho+step/2))
	}
	return most / steelCarries
}

// steel is the pull of a magnet on a piece of steel: coaxial with the largest disc of it
// about the magnet's axis, if it lies flat before a face, else a plate at most.
func (m *Meeting) steel(mag, piece *Placed) {
	m.Sense = Attract
	d := r3.Sub(piece.Centre, mag.Centre)
	h := r3.Dot(d, mag.North)
	side := r3.Norm(r3.Sub(d, r3.Scale(h, mag.North)))
	gap := math.Abs(h) - (mag.Magnet.L+piece.Magnet.L)/2
	if math.Abs(r3.Dot(mag.North, piece.North)) < 1-parallel || gap < 0 {
		if f, err := Plate(&mag.Magnet, forces.Exact(m.Apart)); err == nil {
			m.Pull, m.Unsure = forces.Interval{Hi: f.Hi}, SteelAskew
		}
		return
	}
	if f, why, err := Sheet(&mag.Magnet, piece.Magnet.radius()-side, piece.Magnet.L, max(gap, m.Apart)); err == nil {
		m.Pull, m.Unsure = f, why
	}
}
