package geom

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// LeastAxis is the axis of coordinates that n is least along, the first of equals.
func LeastAxis(n Vec) Vec {
	x, y, z := math.Abs(n.X), math.Abs(n.Y), math.Abs(n.Z)
	switch {
	case x <= y && x <= z:
		return Vec{X: 1}
	case y <= z:
		return Vec{Y: 1}
	default:
		return Vec{Z: 1}
	}
}

// Across gives two unit vectors that with the unit vector n make a right-handed frame
// x, y, n.
func Across(n Vec) (x, y Vec) {
	x = r3.Unit(r3.Cross(n, LeastAxis(n)))
	return x, r3.Cross(n, x)
}
