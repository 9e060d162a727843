package wording_test

import (
	"math"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/motion"
	"feint/internal/units"
	"feint/internal/verdict/sample"
	"feint/internal/verdict/wording"
)

func eq(t *testing.T, got, want string) {
	t.Helper()
	if got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestNumbers(t *testing.T) {
	eq(t, wording.Number(-0.0004, 3), "0.000")
	eq(t, wording.Number(-0.0006, 3), "-0.001")
	eq(t, wording.Growth(0.05), "+0.05 mm")
	eq(t, wording.Growth(-0.083), "-0.083 mm")
	eq(t, wording.Growth(0), "0.00 mm")
	// A lower bound must never read as more than it is, by more than 0.0001 mm.
	eq(t, wording.AtLeast(0.2499), "0.25 mm")
	eq(t, wording.AtLeast(0.2498), "0.24 mm")
	eq(t, wording.AtLeast(-0.171), "-0.18 mm")
	eq(t, wording.Limit(&motion.Limit{Lo: -0.09, Hi: -0.08}), "-0.085 mm (+-0.005)")
	eq(t, wording.Limit(&motion.Limit{Lo: math.Inf(-1), Hi: -0.15, Below: true}), "below -0.15 mm")
	eq(t, wording.Limit(&motion.Limit{Lo: 0.15, Hi: math.Inf(1), Above: true}), "above +0.15 mm")
}

func TestNames(t *testing.T) {
	eq(t, wording.Name("a\tb\x1b[31m\u202ec\x00"), "a b?[31m?c?")
	eq(t, wording.Name(" \n"), "(unnamed)")
	eq(t, wording.Name("Türring 戸"), "Türring 戸")
}

func TestStroke(t *testing.T) {
	m := sample.Mechanism()
	say := func(k int, from, to float64) string {
		return wording.Stroke(m, motion.Stroke{Travel: k, From: from, To: to})
	}
	eq(t, say(sample.RodSlide, 0, 14.5), "slide up 14.5 mm")
	eq(t, say(sample.RodSlide, 2, 14.5), "slide up 12.5 mm, to 14.5 mm")
	eq(t, say(sample.RodSlide, 18, 39.9), "slide up 21.9 mm, as far as it goes (39.9 mm)")
	eq(t, say(sample.RodSlide, 18, 0), "slide down 18.0 mm, as far as it goes (0.0 mm)")
	eq(t, say(sample.LampLift, 0, 24), "slide up 24.0 mm")
	// Round the other way past 0: 200 deg is -160 deg, the mark is met.
	eq(t, say(sample.DoorTurn, 0, units.Rad(-160)),
		`turn clockwise seen from the lamp 160.0 deg, to the mark "gate" (200.0 deg)`)
	eq(t, say(sample.GalleryTurn, units.Rad(300), units.Rad(420)),
		"turn counter-clockwise seen from the lamp 120.0 deg, to 60.0 deg")
}

// TestOwnWords: without the maker's words a rising turn about an axis that points
// at the eye is counter-clockwise (the right-hand rule, common practice).
func TestOwnWords(t *testing.T) {
	turn := func(d geom.Vec) *mechanism.Travel {
		return &mechanism.Travel{Kind: mechanism.Turn, Axis: geom.Line{Dir: d}}
	}
	eq(t, wording.Direction(turn(geom.Vec{Z: 1}), true), "counter-clockwise seen from above")
	eq(t, wording.Direction(turn(geom.Vec{Z: -1}), true), "clockwise seen from above")
	eq(t, wording.Direction(turn(geom.Vec{X: -1}), false), "counter-clockwise seen from the +x side")
	slide := &mechanism.Travel{Axis: geom.Line{Dir: geom.Vec{Y: 1}}}
	eq(t, wording.Direction(slide, false), "towards -y")
}

func TestForce(t *testing.T) {
	for _, c := range []struct {
		lo, hi float64
		want   string
	}{{0.1, 0.4, "less than 1 N"}, {0.4, 3, "at most 3 N"}, {12.2, 12.4, "some 12 N"}, {29.1, 48, "29 to 48 N"}} {
		if got := wording.Force(c.lo, c.hi); got != c.want {
			t.Errorf("%g to %g: %q, want %q", c.lo, c.hi, got, c.want)
		}
	}
}
