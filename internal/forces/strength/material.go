package strength

import (
	"strings"

	"feint/internal/forces"
	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// Strength is what a printed material bears in tension, MPa.
type Strength struct {
	Name   string
	Along  forces.Interval // within a layer
	Across forces.Interval // from layer to layer
	Source string
}

// Of is the strength of a printed material by its name in the design language; what is
// not known is wide. PLA across its layers: 22.8 MPa, 0.52 of the filament's (doi
// 10.1089/3dp.2020.0109); the interval round it, and all other rows, are common practice
// without a source.
func Of(material string) Strength {
	for _, s := range []Strength{
		{"PLA", forces.Interval{Lo: 30, Hi: 50}, forces.Interval{Lo: 15, Hi: 30}, "doi 10.1089/3dp.2020.0109: 22.8 MPa across layers; spread by common practice"},
		{"PETG", forces.Interval{Lo: 28, Hi: 45}, forces.Interval{Lo: 12, Hi: 30}, "common practice, no source"},
		{"ABS", forces.Interval{Lo: 22, Hi: 38}, forces.Interval{Lo: 8, Hi: 22}, "common practice, no source"},
		{"ASA", forces.Interval{Lo: 25, Hi: 42}, forces.Interval{Lo: 9, Hi: 25}, "common practice, no source"},
	} {
		if strings.EqualFold(s.Name, material) {
			return s
		}
	}
	return Strength{material, forces.Interval{Lo: 20, Hi: 60}, forces.Interval{Lo: 6, Hi: 40}, "not known for this material; common practice, no source"}
}

// At is the strength against tension along the unit vector n in a part whose layers lie
// across the unit vector up: Hankinson's formula, s_along s_across/(s_along cos2 +
// s_across sin2) (R. L. Hankinson, U.S. Air Service Information Circular 259 (1921), made
// for the grain of wood; for layers an estimate).
func (s Strength) At(n, up geom.Vec) forces.Interval {
	c := r3.Dot(n, up)
	c2 := min(1, c*c)
	at := func(along, across float64) float64 { return along * across / (along*c2 + across*(1-c2)) }
	return forces.Interval{Lo: at(s.Along.Lo, s.Across.Lo), Hi: at(s.Along.Hi, s.Across.Hi)}
}

// shearShare is the strength in shear over that in tension, 1/sqrt(3) (R. von Mises,
// 1913).
const shearShare = 1 / 1.7320508075688772
