package strength

import "math"

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
