package printed

import "math"

// Curve is how an upright wall is curved.
type Curve uint8

// The curves.
const (
	Straight Curve = iota
	Hole           // the wall of a hole: the material is outside
	Pin            // the wall of a peg: the material is inside
)

// Place is a spot of the surface of one printed part as it lies on the plate,
// z up.
type Place struct {
	Rise     float64 // z of the outward unit normal: 0 an upright wall, 1 facing up, -1 facing down
	Curve    Curve
	Diameter float64 // of the Hole or Pin, mm
	Z        float64 // above the plate, mm
	Arm      float64 // outward distance of the spot from the middle about which the part shrinks, along the normal, mm; negative for the wall of a hole about the middle
	Seam     SeamAt
	Material string
	Bought   bool // bought hardware: it is not printed and does not grow
}

// SeamAt tells what is known of the seam at a place.
type SeamAt uint8

// Where the seam is.
const (
	SeamSomewhere SeamAt = iota // no zone is given: it may stand here
	SeamHere                    // the zone of the seam
	SeamElsewhere               // a zone is given and this is not in it
)

// Growth is how far a place stands proud of the drawing, mm: Likely at most of
// the place, and nowhere below Lo or above Hi.
type Growth struct{ Likely, Lo, Hi float64 }

// Plus is the sum of the growths of two surfaces that face each other.
func (g Growth) Plus(h Growth) Growth {
	return Growth{g.Likely + h.Likely, g.Lo + h.Lo, g.Hi + h.Hi}
}

// Use is what a print has been through and how it is handled.
type Use struct {
	Solves float64 // how often the box has been solved
	Firm   bool    // the hand is firm enough to make surfaces give
}

// Growth is the growth of a place for the values of the effects.
//
// With h the share of the normal in the plane of the plate and v the share along
// z, a body grown by a in plane and by b in height (its Minkowski sum with a disc
// of radius a and a rod of half length b) stands proud by a h + b v: the support
// function of the cylinder (R. Schneider, Convex Bodies, section 1.7).
func (m *Model) Growth(p *Place, v *Values, u Use) Growth {
	if p.Bought {
		return Growth{}
	}
	up := math.Abs(p.Rise)
	flat := math.Sqrt(max(0, 1-p.Rise*p.Rise))
	wall := v.Of[InPlane]
	switch p.Curve {
	case Hole:
		wall += v.Of[Bore] + v.Of[BoreSmall]/max(p.Diameter, leastDiameter)
	case Pin:
		wall += v.Of[Peg] + v.Of[PegSmall]/max(p.Diameter, leastDiameter)
	case Straight:
	}
	if p.Z < m.FlareHeight {
		wall += v.Of[Flare]
	}
	g := wall*flat + v.Of[Height]*up + m.step(p)
	g -= v.Shrink * p.Arm
	g -= v.Of[Wear] * u.Solves / 1000
	if u.Firm {
		g -= v.Of[Give]
	}
	o := Growth{g, g, g}
	switch p.Seam {
	case SeamSomewhere:
		o.Hi += v.Of[Seam] * flat
	case SeamHere:
		o.Likely += v.Of[Seam] * flat
		o.Hi = o.Likely
	case SeamElsewhere:
	}
	if p.Curve != Straight {
		o.Lo -= v.Of[Oval] * flat
		o.Hi += v.Of[Oval] * flat
	}
	return o
}

// leastDiameter bounds the growth of tiny holes and pegs, mm: below a bead's
// width none is printed.
const leastDiameter = 0.4

// levelRise is from which rise of the normal a face counts as parallel to the
// plate: within 5 degrees, where a layer's step is hidden in the face itself.
const levelRise = 0.9962

// step is what a face parallel to the plate gains by lying at a whole number of
// layers: the slicer fills a layer where the middle of it is inside the part, so
// a face lies at the nearest whole layer.
func (m *Model) step(p *Place) float64 {
	if m.Layer <= 0 || math.Abs(p.Rise) < levelRise || p.Z < m.FirstLayer/2 {
		return 0
	}
	z := m.FirstLayer + m.Layer*max(0, math.Round((p.Z-m.FirstLayer)/m.Layer))
	return (z - p.Z) * math.Copysign(1, p.Rise)
}
