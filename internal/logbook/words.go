package logbook

import (
	"fmt"
	"slices"
	"strings"
)

// Outcome is how a trial came out.
type Outcome string

// The outcomes of a trial. Empty is "not known yet".
const (
	Works  Outcome = "works"
	Binds  Outcome = "binds"  // does not go through, or only by force
	Leaks  Outcome = "leaks"  // opens in a way that was not meant
	Fused  Outcome = "fused"  // surfaces that should be apart printed as one
	Broke  Outcome = "broke"  // a part broke in the hand
	Failed Outcome = "failed" // the print itself failed
)

// Outcomes lists the outcomes.
func Outcomes() []Outcome { return []Outcome{Works, Binds, Leaks, Fused, Broke, Failed} }

// Felt is a fit judged by hand.
type Felt string

// The fits that a hand can tell.
const (
	Stuck  Felt = "stuck"  // does not move
	Tight  Felt = "tight"  // moves with force
	Slides Felt = "slides" // moves freely, without play that can be felt
	Loose  Felt = "loose"  // rattles
)

// Felts lists the fits from tight to loose.
func Felts() []Felt { return []Felt{Stuck, Tight, Slides, Loose} }

// Feature is a kind of thing that is measured.
type Feature string

// The kinds of feature.
const (
	Bore   Feature = "bore"   // across a hole
	Peg    Feature = "peg"    // across a pin or a rod
	Gap    Feature = "gap"    // a pair with a drawn gap per side
	Slot   Feature = "slot"   // across a groove
	Wall   Feature = "wall"   // a thickness
	Length Feature = "length" // in the plane of the plate
	Height Feature = "height" // across the layers
)

// Features lists the kinds of feature.
func Features() []Feature { return []Feature{Bore, Peg, Gap, Slot, Wall, Length, Height} }

// oneOf is nil if v is one of the words, or empty where that is allowed.
func oneOf[T ~string](what string, v T, words []T, empty bool) error {
	if slices.Contains(words, v) || empty && v == "" {
		return nil
	}
	names := make([]string, len(words))
	for i, w := range words {
		names[i] = string(w)
	}
	if n := Nearest(string(v), names); n != "" {
		return fmt.Errorf("%s %q is not known; did you mean %s?", what, string(v), n)
	}
	return fmt.Errorf("%s %q is not known; it is one of %s", what, string(v), strings.Join(names, ", "))
}
