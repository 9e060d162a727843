package calibrate

import (
	"fmt"
	"math"
)

// Kind is what was read.
type Kind uint8

// The kinds of reading.
const (
	Outside Kind = iota // a size between two upright outer walls, mm
	Peg                 // the diameter of an upright peg
	Hole                // the diameter of an upright hole
	Tall                // a height above the plate
	Fit                 // how a peg sits in a hole, or a panel in its slot, by feel
)

func (k Kind) String() string { return [...]string{"outside", "peg", "hole", "tall", "fit"}[k] }

// Feel is how a fit feels, tightest first.
type Feel uint8

// The feels.
const (
	Stuck  Feel = iota // does not move, or only by force
	Tight              // moves with effort
	Slides             // moves freely
	Loose              // moves and rattles
)

func (f Feel) String() string { return [...]string{"stuck", "tight", "slides", "loose"}[f] }

// Reading is one thing measured or felt on a print.
type Reading struct {
	Name    string
	Print   string  // which print it is of; readings of one print share what that print has in common
	Kind    Kind    //
	Nominal float64 // the drawn size, mm; of a Fit the diameter, 0 for flat walls

	Size float64 // as measured, mm; not for a Fit
	Sd   float64 // the instrument's standard uncertainty, mm; 0 takes CaliperSd

	Gap  float64 // of a Fit: the drawn gap a side, mm
	Felt Feel    // of a Fit
}

// CaliperSd is the standard uncertainty of calipers in the hand, mm: their limit
// of error of 0.02 to 0.03 mm (DIN 862, from memory) and what squeezing adds
// (common practice).
const CaliperSd = 0.02

// feelSd is how much the same gap differs from feel to feel, mm (a guess, kept
// small against the steps between the feels).
const feelSd = 0.02

// Check tells what is wrong with a reading.
func (r *Reading) Check() error {
	name := r.Name
	if name == "" {
		name = "a reading"
	}
	fail := func(format string, args ...any) error {
		return fmt.Errorf("%s: %s", name, fmt.Sprintf(format, args...))
	}
	if r.Kind > Fit || r.Felt > Loose {
		return fail("unknown kind or feel")
	}
	if !(r.Nominal >= 0) || math.IsInf(r.Nominal, 0) {
		return fail("its drawn size %g mm is no size", r.Nominal)
	}
	if r.Kind == Fit {
		if !(math.Abs(r.Gap) <= 2) {
			return fail("its drawn gap %g mm a side is beyond 2", r.Gap)
		}
		return nil
	}
	switch {
	case r.Nominal == 0:
		return fail("its drawn size is missing")
	case !(r.Sd >= 0 && r.Sd < 1):
		return fail("its uncertainty %g mm is not between 0 and 1", r.Sd)
	case !(math.Abs(r.Size-r.Nominal) <= 3):
		return fail("measured %g mm where %g was drawn: more than 3 mm off is another feature or another unit", r.Size, r.Nominal)
	}
	return nil
}

// The unknowns, in order.
const (
	uInPlane   = iota // growth of upright walls, mm
	uBore             // of holes besides, mm
	uBoreSmall        // and by diameter, mm2
	uPegSmall         // of pegs by diameter, mm2
	uHeight           // in height, mm
	uShrink           // share of lengths
	uStuck            // gap at which stuck turns to tight, mm a side
	uTight            // at which tight turns to slides
	uLoose            // at which slides turns to loose
	unknowns          // how many; the prints' own growths follow
)

// smallest bounds a diameter from below as package printed does.
const smallest = 0.4

// row is how what is read depends on the unknowns: at x it is base plus the sum of
// coef[i] x[i]. The growth of its print, which adds to that in plane, counts by
// the same coefficient.
func (r *Reading) row() (base float64, coef [unknowns]float64) {
	d := max(r.Nominal, smallest)
	switch r.Kind {
	case Outside:
		coef[uInPlane], coef[uShrink] = 2, -r.Nominal
		base = r.Nominal
	case Peg:
		coef[uInPlane], coef[uPegSmall], coef[uShrink] = 2, 2/d, -r.Nominal
		base = r.Nominal
	case Hole:
		coef[uInPlane], coef[uBore], coef[uBoreSmall], coef[uShrink] = -2, -2, -2/d, -r.Nominal
		base = r.Nominal
	case Tall:
		coef[uHeight], coef[uShrink] = 1, -r.Nominal
		base = r.Nominal
	case Fit:
		coef[uInPlane] = -2
		if r.Nominal > 0 {
			coef[uBore], coef[uBoreSmall], coef[uPegSmall] = -1, -1/d, -1/d
		}
		base = r.Gap
	}
	return base, coef
}

// surfaces is how many surfaces, each with a growth of its own, the reading holds.
func (r *Reading) surfaces() float64 {
	if r.Kind == Tall {
		return 1
	}
	return 2
}

// own is the variance of the instrument, or of the hand that feels, mm2.
func (r *Reading) own() float64 {
	sd := r.Sd
	switch {
	case r.Kind == Fit:
		sd = feelSd
	case sd == 0:
		sd = CaliperSd
	}
	return sd * sd
}

// noise is the variance of the reading round its row, for a standard deviation
// between features.
func (r *Reading) noise(features float64) float64 {
	return r.own() + r.surfaces()*features*features
}
