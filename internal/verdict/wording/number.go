package wording

import (
	"fmt"
	"math"
	"strings"
	"unicode"

	"feint/internal/mechanism"
	"feint/internal/motion"
	"feint/internal/units"
)

// shaved is what rounding of certified bounds may take off a value that is meant
// to be round: clearances are exact to 0.01 mm, a hundredth of that is no
// statement about a print. Without it a bound of 0.249999 mm would read 0.24.
const shaved = 1e-4

// Name is s with all that does not print replaced, so that a name from a
// stranger's file cannot steer a terminal or turn the direction of a line.
func Name(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case r == unicode.ReplacementChar || !unicode.IsPrint(r):
			return '?'
		default:
			return r
		}
	}, s)
	if s = strings.Join(strings.Fields(s), " "); s == "" {
		return "(unnamed)"
	}
	return s
}

// Quoted is the name in quotes.
func Quoted(s string) string { return `"` + Name(s) + `"` }

// Part names a part; an index out of range gives "?".
func Part(m *mechanism.Mechanism, i int) string {
	if i < 0 || i >= len(m.Parts) {
		return "?"
	}
	return Name(m.Parts[i].Name)
}

// Pair names two parts.
func Pair(m *mechanism.Mechanism, a, b int) string { return Part(m, a) + " and " + Part(m, b) }

// List joins words: "a, b and c".
func List(w []string) string {
	switch len(w) {
	case 0:
		return ""
	case 1:
		return w[0]
	default:
		return strings.Join(w[:len(w)-1], ", ") + " and " + w[len(w)-1]
	}
}

// Number formats v with the given decimals and never writes "-0".
func Number(v float64, decimals int) string {
	s := fmt.Sprintf("%.*f", decimals, v)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return s
}

// Signed is Number with a plus sign before positive values.
func Signed(v float64, decimals int) string {
	s := Number(v, decimals)
	if s[0] != '-' && strings.Trim(s, "0.") != "" {
		s = "+" + s
	}
	return s
}

// Growth is a growth with its sign, mm: "+0.05 mm", with a third decimal where
// it says something.
func Growth(g float64) string { return GrowthNumber(g) + " mm" }

// GrowthNumber is Growth without the unit.
func GrowthNumber(g float64) string {
	if math.IsInf(g, 0) || math.IsNaN(g) {
		return "?"
	}
	return strings.TrimSuffix(Signed(g, 3), "0")
}

// AtLeast is a lower bound of a clearance, mm, rounded down to 0.01.
func AtLeast(c float64) string {
	if math.IsInf(c, 0) || math.IsNaN(c) {
		return "?"
	}
	return Number(math.Floor((c+shaved)*100)/100, 2) + " mm"
}

// Length is a length to 0.01 mm.
func Length(v float64) string { return Number(v, 2) + " mm" }

// Value is a value of a travel in the unit a person reads: mm or degrees.
func Value(t *mechanism.Travel, v float64) string {
	if t.Kind == mechanism.Slide {
		return Number(v, 1) + " mm"
	}
	return Number(units.Deg(v), 1) + " deg"
}

// Unit is the unit in which Value writes.
func Unit(t *mechanism.Travel) string {
	if t.Kind == mechanism.Slide {
		return "mm"
	}
	return "deg"
}

// Outside is v in that unit.
func Outside(t *mechanism.Travel, v float64) float64 {
	if t.Kind == mechanism.Slide {
		return v
	}
	return units.Deg(v)
}

// Count writes a number with its noun: "1 move", "12 moves".
func Count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// Middle is the middle of a limit and half its width, mm.
func Middle(l *motion.Limit) (mid, half float64) { return (l.Lo + l.Hi) / 2, (l.Hi - l.Lo) / 2 }

// Limit says where a limit lies: "-0.08 mm (+-0.005)", "below -0.15 mm".
func Limit(l *motion.Limit) string {
	switch {
	case l == nil:
		return "none found"
	case !l.Seen():
		return "below " + Growth(l.Hi)
	case l.Open():
		return "above " + Growth(l.Lo)
	}
	mid, half := Middle(l)
	if half < 0.0005 { // would print as 0.000
		return Growth(mid)
	}
	return fmt.Sprintf("%s (+-%s)", Growth(mid), Number(half, 3))
}

// LimitAt is Limit as it follows a verb: "at +0.105 mm (+-0.005)", "below 0 mm".
func LimitAt(l *motion.Limit) string {
	if l != nil && l.Seen() && !l.Open() {
		return "at " + Limit(l)
	}
	return Limit(l)
}

// Force is an estimate of a force from lo to hi in N, in whole numbers.
func Force(lo, hi float64) string {
	switch {
	case hi < 1:
		return "less than 1 N"
	case lo < 1:
		return "at most " + Number(hi, 0) + " N"
	case Number(lo, 0) == Number(hi, 0):
		return "some " + Number(hi, 0) + " N"
	}
	return Number(lo, 0) + " to " + Number(hi, 0) + " N"
}
