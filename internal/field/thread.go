package field

import (
	"math"

	"feint/internal/geom"
)

// Helix is the helical ridge about z whose section through the axis is a
// trapezium: width w0 at radius r0 and w1 at r1 > r0 > 0, its middle at
// z = lead angle / (2 pi), starts times round; bounded by the two cylinders but
// not along z. A lower bound: the height from the flank is divided by the
// steepest slope that the flank has at r0.
func Helix(r0, r1, w0, w1, lead float64, starts int) Field {
	pitch := math.Abs(lead) / float64(starts)
	slope := (w1 - w0) / (2 * (r1 - r0))
	p := lead / (2 * math.Pi)
	steep := math.Sqrt(1 + p*p/(r0*r0) + slope*slope)
	return func(q geom.Vec) float64 {
		rho := math.Hypot(q.X, q.Y)
		if rho < r0 {
			return r0 - rho
		}
		z := math.Mod(q.Z-p*math.Atan2(q.Y, q.X), pitch)
		z = math.Abs(z)
		z = min(z, pitch-z)
		half := w0/2 + slope*(min(rho, r1)-r0)
		return max(r0-rho, rho-r1, (z-half)/steep)
	}
}
