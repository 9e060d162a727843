package solid

import (
	"math"
)

// circle is a division of the full turn: vertices at phase + 2 pi k/n.
type circle struct {
	n     int
	phase float64
}

// segments is the number of chords that a circle of radius r needs so that,
// with the radius that keeps the area (factor), no vertex lies more than tol
// outside: r (sqrt(t/sin t) - 1) = r t^2/12 + O(t^4) <= tol with t = 2 pi/n. The
// middles of the chords then lie tol/2 inside. Multiples of 12 put vertices on
// the axes and let halves, thirds and quarters of the turn conform.
func segments(r, tol float64) int {
	n := int(math.Ceil(2 * math.Pi / math.Sqrt(12*tol/r)))
	return max(12, (n+11)/12*12)
}

func (c circle) step() float64 { return 2 * math.Pi / float64(c.n) }

func (c circle) angle(k int) float64 { return c.phase + float64(k)*c.step() }

// factor is the ratio of the radius of the vertices to the radius of the circle
// of equal area.
func (c circle) factor() float64 { return chordFactor(c.step()) }

// chordFactor is factor for chords of the angle t.
func chordFactor(t float64) float64 {
	if t < 1e-6 { // below rounding: t^2/12 < 1e-13
		return 1
	}
	return math.Sqrt(t / math.Sin(t))
}
