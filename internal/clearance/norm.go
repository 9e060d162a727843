package clearance

import (
	"math"

	"feint/internal/geom"
)

// norm is the length of v, right to a few units of the last place: unlike the
// general functions it need not fear overflow, as all lengths here are below a
// kilometre, nor underflow, as nothing hangs on lengths below 1e-100 mm.
func norm(v geom.Vec) float64 { return math.Sqrt(v.X*v.X + v.Y*v.Y + v.Z*v.Z) }

// hypot is the length of (x, y) likewise.
func hypot(x, y float64) float64 { return math.Sqrt(x*x + y*y) }
