package sag

import (
	"math"
	"strings"
	"testing"

	"feint/internal/forces/magnet"
	"feint/internal/forces/seat"
	"feint/internal/forces/survey"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

// roofed is a magnet of 5 x 3 in the lamp whose pocket spans across and leaves room over it,
// closed on both sides, up to a growth of 0.05 mm. On the common printer 5 mm hang by 0.025
// to 0.075 mm: a quarter of half a layer and of one and a half on 10 mm.
func roofed(across, room float64) *finding.Case {
	inf := math.Inf(1)
	k := sample.Case()
	k.Evidence.Forces = &survey.Survey{
		Magnets: []magnet.Placed{{Name: "eye", Part: sample.Lamp, Magnet: magnet.Cylinder{D: 5, L: 3}}},
		Seats:   []survey.Seated{{Seat: seat.Seat{Across: across, Ends: [2]float64{1.5, 1.5 + room}, Mouth: [2]float64{inf, inf}}, Up: 1}},
	}
	return k
}

// Twice the growth and the most sag, 0.1 + 0.075 mm, are to be left.
func TestRoom(t *testing.T) {
	if got := check(sample.Case()); got != nil {
		t.Fatalf("nobody looked: %v", got)
	}
	if got := check(roofed(5, 0.176)); len(got) != 0 {
		t.Fatalf("enough: %q", got[0].Message)
	}
	got := check(roofed(5, 0.15))
	if len(got) != 1 || math.Abs(got[0].Margin+0.025) > 1e-9 || got[0].Unit != "mm" || !strings.Contains(got[0].Message, "a bridge of 5.0 mm") || !strings.Contains(got[0].Change, "0.2 mm over the magnet in place of 0.15 mm") {
		t.Fatalf("%+v", got)
	}
	got = check(roofed(10.5, 3))
	if len(got) != 1 || math.Abs(got[0].Margin+0.5) > 1e-9 || !strings.Contains(got[0].Message, "no support comes") {
		t.Fatalf("too wide: %+v", got)
	}
}

// A pocket that opens downwards loses one growth; one that opens upwards has no roof; one
// on its side is not looked at.
func TestWays(t *testing.T) {
	k := roofed(5, 0)
	s := &k.Evidence.Forces.Seats[0]
	s.Ends = [2]float64{math.Inf(1), 1.5}
	s.Mouth[0] = 1.6 // 3.1 deep
	got := check(k)
	if len(got) != 1 || math.Abs(got[0].Margin+0.025) > 1e-9 || !strings.Contains(got[0].Message, "opens downwards in print") {
		t.Fatalf("downwards: %+v", got)
	}
	for _, up := range []float64{-1, 0} {
		s.Up = up
		if got := check(k); len(got) != 0 {
			t.Errorf("up %g: %q", up, got[0].Message)
		}
	}
}
