package units

import "math"

// Growth is how far every printed surface stands proud of the drawn one, in
// mm; negative is undersize.
type Growth float64

// Clearance is a signed distance between two parts, in mm.
type Clearance float64

// Threshold is the clearance that two parts need at growths a and b: they touch
// where their clearance is a + b.
func Threshold(a, b Growth) Clearance { return Clearance(a + b) }

// Rad converts degrees to radians.
func Rad(deg float64) float64 { return deg * math.Pi / 180 }

// Deg converts radians to degrees.
func Deg(rad float64) float64 { return rad * 180 / math.Pi }
