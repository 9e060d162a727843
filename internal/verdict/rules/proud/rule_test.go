package proud

import (
	"math"
	"strings"
	"testing"

	"feint/internal/forces/magnet"
	"feint/internal/forces/seat"
	"feint/internal/forces/survey"
	"feint/internal/mechanism"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

// pocket is a magnet of 6 x 3 in the lamp, asked up to a growth of 0.05 mm.
func pocket(across, floor, mouth float64) *finding.Case {
	inf := math.Inf(1)
	k := sample.Case()
	k.Evidence.Forces = &survey.Survey{
		Magnets: []magnet.Placed{{Name: "eye", Part: sample.Lamp, Magnet: magnet.Cylinder{D: 6, L: 3}}},
		Seats:   []survey.Seated{{Seat: seat.Seat{Across: across, Ends: [2]float64{floor, inf}, Mouth: [2]float64{inf, mouth}}, Up: 1}},
	}
	return k
}

// Depth 3.05 and width 6.1 are just enough for 3 and 6 at 0.05 mm a surface (the floor
// grows once, the walls twice); less is told, as a note while the drawing has room.
func TestLimits(t *testing.T) {
	if got := check(sample.Case()); got != nil {
		t.Fatalf("nobody looked: %v", got)
	}
	if got := check(pocket(6.1, 1.5, 1.55)); len(got) != 0 {
		t.Fatalf("just enough: %q", got[0].Message)
	}
	k := pocket(6.1, 1.5, 1.53)
	k.Mechanism.Params = append(k.Mechanism.Params, mechanism.Param{Name: "pocket", Value: 3.03, Unit: "mm"})
	got := check(k)
	if len(got) != 1 || got[0].Severity != finding.Note || math.Abs(got[0].Margin+0.02) > 1e-9 || got[0].Unit != "mm" ||
		!strings.Contains(got[0].Message, "stands 0.02 mm out of its pocket at +0.05 mm a surface") || !strings.Contains(got[0].Change, `3.05 mm deep or more (perhaps the param "pocket")`) {
		t.Fatalf("when tight: %+v", got)
	}
	got = check(pocket(6.1, 1.5, 1.3))
	if len(got) != 1 || got[0].Severity != finding.Warning || !strings.Contains(got[0].Message, "stands 0.20 mm out of its pocket as drawn") {
		t.Fatalf("as drawn: %+v", got)
	}
	got = check(pocket(5.98, 1.5, 2))
	if len(got) != 1 || got[0].Severity != finding.Warning || math.Abs(got[0].Margin+0.12) > 1e-9 || !strings.Contains(got[0].Change, "6.10 mm across or more") {
		t.Fatalf("narrow: %+v", got)
	}
}

// A closed pocket is held to its height; one open on both sides has no depth; more magnets
// of a part are counted, not told again.
func TestOthers(t *testing.T) {
	k := pocket(6.4, 1.5, 0)
	s := k.Evidence.Forces
	s.Seats[0].Ends[1] = 1.45
	s.Seats[0].Mouth[1] = math.Inf(1)
	got := check(k)
	if len(got) != 1 || !strings.Contains(got[0].Message, "0.05 mm above its pocket where the roof is to be printed") {
		t.Fatalf("closed: %+v", got)
	}
	s.Magnets = append(s.Magnets, s.Magnets[0])
	s.Seats = append(s.Seats, s.Seats[0])
	s.Seats[1].Magnet, s.Seats[1].Ends[1] = 1, 1.4
	if got = check(k); len(got) != 1 || math.Abs(got[0].Margin+0.15) > 1e-9 || !strings.Contains(got[0].Message, "So does one more") {
		t.Fatalf("two: %+v", got)
	}
	s.Seats = s.Seats[:1]
	s.Seats[0].Ends = [2]float64{math.Inf(1), math.Inf(1)}
	if got = check(k); len(got) != 0 {
		t.Errorf("a hole right through: %q", got[0].Message)
	}
}
