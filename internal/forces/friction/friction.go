package friction

import (
	"math"
	"strings"

	"feint/internal/forces"
)

// Pair is what is known of two materials on each other.
type Pair struct {
	A, B   string          // names as in the design language, A before B in the alphabet
	Static forces.Interval // coefficient
	Source string
}

// Pairs lists what is known, in a fixed order.
func Pairs() []Pair {
	const study = "inclined plane, printed specimens; doi 10.1177/1464420720978997"
	const common = "common practice for dry plastics, no source"
	return []Pair{
		{"PLA", "PLA", forces.Interval{Lo: 0.12, Hi: 0.38}, study},
		{"PETG", "PETG", forces.Interval{Lo: 0.13, Hi: 0.21}, study},
		{"TPU", "TPU", forces.Interval{Lo: 0.4, Hi: 1.2}, common + "; soft plastics cling"},
		{"steel", "steel", forces.Interval{Lo: 0.15, Hi: 0.8}, "common practice, from greasy to clean, no source"},
	}
}

// Unknown holds for any two dry hard materials of which nothing better is known:
// from the lowest value of printed plastics on record to that of dry metals
// (common practice, no source).
func Unknown() forces.Interval { return forces.Interval{Lo: 0.1, Hi: 0.6} }

// Between is the coefficient of two materials and where it is from. Names are
// those of the design language, large or small letters alike.
func Between(a, b string) (forces.Interval, string) {
	for _, p := range Pairs() {
		if same(p.A, a) && same(p.B, b) || same(p.A, b) && same(p.B, a) {
			return p.Static, p.Source
		}
	}
	if same(a, "TPU") || same(b, "TPU") {
		return forces.Interval{Lo: 0.3, Hi: 1.2}, "common practice for soft plastics, no source"
	}
	return Unknown(), "not known for these two; common practice for dry hard materials, no source"
}

func same(a, b string) bool { return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b)) }

// Angle is the slope at which friction mu gives way, radians; mu = tan(angle).
func Angle(mu forces.Interval) forces.Interval { return mu.Map(math.Atan) }

// OfAngle is the coefficient of a slope, radians, at which a thing began to slide:
// the way to measure one's own.
func OfAngle(angle forces.Interval) forces.Interval { return angle.Map(math.Tan) }
