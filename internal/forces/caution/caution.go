package caution

import (
	"fmt"
	"math"

	"feint/internal/forces/magnet"
	"feint/internal/geom"
)

// Kind is what a caution is about.
type Kind uint8

// The kinds, the gravest first.
const (
	SwallowedMagnets Kind = iota
	SmallParts
	SharpFragments
	PinchedFingers
	Heat
)

func (k Kind) String() string {
	return [...]string{"swallowed magnets", "small parts", "sharp fragments", "pinched fingers", "heat"}[k]
}

// Caution is one warning.
type Caution struct {
	Kind   Kind
	Words  string // what can happen and what was estimated
	Do     string // what to do
	Ask    string // whom to ask
	Source string
}

const (
	askToy    = "Rules differ by country and change: ask your product safety authority (in the United States the CPSC, in the European Union the market surveillance authority of your state) and an accredited laboratory before you give or sell it."
	doctor    = "Anyone who may have swallowed a magnet needs a hospital at once, even without pain; do not wait for symptoms."
	loose     = "Enclose every magnet in plastic all round, or glue it and check the glue on every box; say on the box that it holds magnets."
	sourceMag = "16 CFR 1262.2 (flux index of 50 kG2 mm2 or more and small enough for the small-parts cylinder; it covers puzzles for adults too); SOR/2011-17, schedule 10"
	sourceFit = "16 CFR 1501.4 (cylinder 31.7 mm across, 25.4 to 57.1 mm deep)"
)

// Magnet is the caution for a magnet. Every magnet gets one: two that are swallowed pinch
// the gut between them, and several weak ones act as a strong one.
func Magnet(name string, c *magnet.Cylinder) Caution {
	index := c.FluxIndex()
	size, limit := "would not fit the small-parts cylinder by its drawn size", "below the limit of"
	if c.FitsSmallParts() {
		size = "fits the small-parts cylinder by its drawn size"
	}
	switch {
	case index.Lo >= magnet.HazardIndex:
		limit = "above the limit of"
	case index.Hi >= magnet.HazardIndex:
		limit = "about the limit of"
	}
	number := fmt.Sprintf("%.0f to %.0f", index.Lo, index.Hi)
	if index.Lo == index.Hi {
		number = fmt.Sprintf("%.0f", index.Lo)
	}
	return Caution{
		Kind: SwallowedMagnets,
		Words: fmt.Sprintf("Swallowed magnets can tear the gut and kill. %s, %g x %g mm: flux index by estimate %s kG2 mm2, %s %d; it %s. This is an estimate, have it measured.",
			name, c.D, c.L, number, limit, magnet.HazardIndex, size),
		Do: loose + " " + doctor, Ask: askToy, Source: sourceMag + "; " + sourceFit,
	}
}

// Piece is the caution for a part that comes out of the box, by its bounds in any
// attitude; false if its extents are too large for the cylinder.
//
// A box of extents a <= b <= c can pass a ring of 31.7 mm only if a and b are below it,
// and lie within only if c is no longer than the cylinder's diagonal; the rim, 25.4 to 57.1
// mm deep, is taken at its deepest, so it errs towards a caution.
func Piece(name string, extents geom.Vec) (Caution, bool) {
	a, b, c := sorted(extents)
	if b >= 31.7 || c > math.Hypot(57.1, 31.7) {
		return Caution{}, false
	}
	return Caution{
		Kind: SmallParts,
		Words: fmt.Sprintf("A small child can choke on %s: %.0f x %.0f x %.0f mm may fit the small-parts cylinder. This is an estimate, have it measured.",
			name, a, b, c),
		Do:  "Keep it from children under three, say so on the box, or make the part larger.",
		Ask: askToy, Source: sourceFit,
	}, true
}

func sorted(v geom.Vec) (a, b, c float64) {
	a, c = min(v.X, v.Y, v.Z), max(v.X, v.Y, v.Z)
	return a, v.X + v.Y + v.Z - a - c, c
}

// Fragments is the caution for a part that a strong hand breaks.
func Fragments(name string, force float64) Caution {
	return Caution{
		Kind:   SharpFragments,
		Words:  fmt.Sprintf("%s may break at some %.0f N by estimate. Broken edges of printed plastic are sharp, and what breaks off can be swallowed.", name, force),
		Do:     "Thicken it, lay its layers along it, and try to break a print of it with eye protection and gloves.",
		Ask:    askToy,
		Source: "estimate of internal/forces/strength; common practice, no source",
	}
}

// Pinch is the caution for two parts that a magnet or spring shuts with the given force,
// N, on what lies between them.
func Pinch(name string, force float64) Caution {
	return Caution{
		Kind:   PinchedFingers,
		Words:  fmt.Sprintf("%s shuts by itself with up to %.0f N and can pinch a finger or a skin fold.", name, force),
		Do:     "Round the edges that meet, leave a gap where fingers go, or use a weaker magnet or spring.",
		Ask:    askToy,
		Source: "common practice, no source",
	}
}

// Warm is the caution for a material left in the heat; softens is in C, by common
// practice.
func Warm(material string, softens float64, magnets bool) Caution {
	words := fmt.Sprintf("%s goes soft from about %.0f C: in a car in the sun parts bend, jam or let go.", material, softens)
	if magnets {
		words += " Plain neodymium magnets lose strength for good from 70 to 80 C, and dust of broken ones can catch fire: do not drill or saw them."
	}
	return Caution{
		Kind: Heat, Words: words, Do: "Keep it out of hot cars and off heaters; never dry it in an oven.",
		Ask: "Ask the maker of the filament and of the magnet for their data sheets.", Source: "makers' tables; common practice",
	}
}

// Softens is from what temperature, C, a printed material goes soft, and whether it is
// known (usual values of data sheets, common practice).
func Softens(material string) (float64, bool) {
	for _, m := range []struct {
		name string
		at   float64
	}{{"PLA", 55}, {"PETG", 70}, {"ABS", 95}, {"ASA", 95}, {"PC", 110}} {
		if m.name == material {
			return m.at, true
		}
	}
	return 0, false
}
