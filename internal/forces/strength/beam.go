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
