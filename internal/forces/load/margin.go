package load

import (
	"math"

	"feint/internal/geom"
)

// The searches for margins. An angle is first looked for in steps of step, then
// halved down to fine: tilts are told to a tenth of a degree. Between neighbouring
// azimuths the best angle is refined by golden section.
const (
	azimuths = 24
	step     = math.Pi / 60
	fine     = 1e-6
)

// tiltTo is the least angle from down to an attitude in which ok holds, infinite
// where none does; 0 if it holds at down. What sets a travel free by its weight
// forms one cap of the sphere (the net push is a concave function of the attitude),
// so on a great circle towards it the first change is the only one that matters.
func tiltTo(down geom.Vec, ok func(geom.Vec) bool) float64 {
	if ok(down) {
		return 0
	}
	x, y := geom.Across(down)
	along := func(azimuth float64) float64 {
		side := turnTo(x, y, azimuth)
		return firstAngle(func(a float64) bool { return ok(turnTo(down, side, a)) })
	}
	best, at := math.Inf(1), 0.0
	for i := range azimuths {
		az := 2 * math.Pi * float64(i) / azimuths
		if a := along(az); a < best {
			best, at = a, az
		}
	}
	if math.IsInf(best, 1) {
		return best
	}
	return min(best, golden(at-2*math.Pi/azimuths, at+2*math.Pi/azimuths, along))
}

// firstAngle is the least angle up to a half turn at which ok holds, to fine.
func firstAngle(ok func(float64) bool) float64 {
	for a := step; a < math.Pi+step; a += step {
		if a = min(a, math.Pi); ok(a) {
			return halve(a-step, a, fine, ok)
		}
		if a == math.Pi {
			break
		}
	}
	return math.Inf(1)
}

// halve narrows [no, yes] until it is no wider than tol and gives its upper end.
func halve(no, yes, tol float64, ok func(float64) bool) float64 {
	for yes-no > tol {
		mid := (no + yes) / 2
		if mid <= no || mid >= yes {
			break
		}
		if ok(mid) {
			yes = mid
		} else {
			no = mid
		}
	}
	return yes
}

// golden is the least value of f found on [a, b] by golden section (J. Kiefer,
// "Sequential minimax search for a maximum", Proc. AMS 4 (1953) 502).
func golden(a, b float64, f func(float64) float64) float64 {
	const ratio = 0.6180339887498949
	c, d := b-ratio*(b-a), a+ratio*(b-a)
	fc, fd := f(c), f(d)
	best := min(fc, fd)
	for b-a > 1e-4 {
		if fc < fd {
			b, d, fd = d, c, fc
			c = b - ratio*(b-a)
			fc = f(c)
		} else {
			a, c, fc = c, d, fd
			d = a + ratio*(b-a)
			fd = f(d)
		}
		best = min(best, fc, fd)
	}
	return best
}

// threshold is the least level from which ok holds, up to most, by growing and
// halving; infinite if it never does. ok has to change once only.
func threshold(first, most float64, ok func(float64) bool) float64 {
	if ok(0) {
		return 0
	}
	no := 0.0
	for yes := first; yes <= most; yes *= 2 {
		if ok(yes) {
			return halve(no, yes, 1e-9*yes, ok)
		}
		no = yes
	}
	return math.Inf(1)
}
