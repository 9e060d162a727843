package strength

import (
	"math"
	"strings"

	"feint/internal/forces"
)

// PinShear is the mean stress, MPa, of a round pin of diameter d mm in single shear under
// f N: 4 f/(pi d2).
func PinShear(d, f float64) float64 { return 4 * f / (math.Pi * d * d) }

// Cantilever is the largest stress, MPa, and the deflection, mm, of a bar of width b and
// height h (mm, h along the force), held at one end and loaded with f N at l mm from it,
// for the modulus e MPa: 6 f l/(b h2) and 4 f l3/(e b h3).
func Cantilever(b, h, l, f, e float64) (stress, deflection float64) {
	return 6 * f * l / (b * h * h), 4 * f * l * l * l / (e * b * h * h * h)
}

// webMoment is the largest moment at the root of a long cantilever plate that is loaded
// with one force at its free edge, per unit of width, of that force; it does not hang on
// the plate's height (T. J. Jaramillo, Journal of Applied Mechanics 17 (1950) 67; S.
// Timoshenko, S. Woinowsky-Krieger, Theory of Plates and Shells, 2nd edition, article 48;
// from memory).
const webMoment = 0.509

// Web is the force, N, across the free edge of a wall of thickness t that stands h high
// over a length l, mm, at which it breaks at its root under s MPa in bending: as a bar of
// that length, or, if that is shorter, of the length that a long plate's moment amounts to.
func Web(t, h, l, s float64) float64 {
	return s * min(l, h/webMoment) * t * t / (6 * h)
}

// LeafStrain is the largest strain of a leaf of length l and thickness t, mm, held at one
// end and bent by d mm at the other: 3 t d/(2 l2), which follows from Cantilever.
func LeafStrain(l, t, d float64) float64 { return 1.5 * t * d / (l * l) }

// Held is the strain that a printed material keeps up for months at room temperature: up
// to its lower end most of the force stays, from its upper end on it is bent for good.
// Common practice, no source; that printed PLA creeps far below its softening, and relaxes
// at any strain: M. Fischbach and K. Weinberg, arXiv:2302.11240; A. Bertocco et al.,
// Materials 15 (2022) 3509.
func Held(material string) forces.Interval {
	for name, h := range map[string]forces.Interval{
		"PLA": {Lo: 0.003, Hi: 0.008}, "PETG": {Lo: 0.004, Hi: 0.01}, "ABS": {Lo: 0.004, Hi: 0.01},
		"ASA": {Lo: 0.004, Hi: 0.01}, "PC": {Lo: 0.005, Hi: 0.01}, "PA": {Lo: 0.006, Hi: 0.015}, "TPU": {Lo: 0.05, Hi: 0.2},
	} {
		if strings.EqualFold(name, material) {
			return h
		}
	}
	return forces.Interval{Lo: 0.003, Hi: 0.01}
}
