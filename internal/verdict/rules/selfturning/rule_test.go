package selfturning

import (
	"math"
	"strings"
	"testing"

	"feint/internal/forces"
	"feint/internal/forces/survey"
	"feint/internal/mechanism"
	"feint/internal/units"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

// screw makes the gallery of the lighthouse a helix of a lead angle, in degrees; friction
// holds 6.8 to 20.8 degrees: the arctangents of 0.12 and 0.38 (doi
// 10.1177/1464420720978997).
func screw(angle float64, tilt forces.Interval) *finding.Case {
	k := sample.Case()
	t := &k.Mechanism.Travels[sample.GalleryTurn]
	t.Kind, t.Lead = mechanism.Helix, -math.Pi*20*math.Tan(units.Rad(angle))
	k.Evidence.Forces = &survey.Survey{Screws: []survey.Screw{{
		Part: sample.Gallery, Travel: sample.GalleryTurn, Mean: 20, Angle: units.Rad(angle),
		Holds: forces.Interval{Lo: math.Atan(0.12), Hi: math.Atan(0.38)}, Tilt: tilt,
	}}}
	return k
}

func never() forces.Interval { return forces.Exact(math.Inf(1)) }

// Silent with two degrees to spare, told with less; perhaps and surely are told apart.
func TestAngles(t *testing.T) {
	k := sample.Case()
	if got := check(k); got != nil {
		t.Fatalf("nobody looked: %v", got)
	}
	if got := check(screw(4.8, never())); len(got) != 0 {
		t.Fatalf("4.8 deg: %q", got[0].Message)
	}
	got := check(screw(4.9, never()))
	if len(got) != 1 || got[0].Severity != finding.Warning || got[0].Unit != "deg" || math.Abs(got[0].Margin-(6.843-4.9)) > 0.01 || !strings.Contains(got[0].Message, "shaking may make it creep") {
		t.Fatalf("4.9 deg: %+v", got)
	}
	// pi 20 tan(6.843 - 2 deg) = 5.32 mm, rounded down
	if !strings.Contains(got[0].Change, "a lead of at most 5.3 mm a turn in place of 5.4 mm") {
		t.Errorf("4.9 deg: %q", got[0].Change)
	}
	got = check(screw(12, forces.Interval{Lo: 1.2, Hi: math.Inf(1)}))
	if len(got) != 1 || !strings.Contains(got[0].Message, "With the least friction it runs by itself when the box is tilted by 69 deg") {
		t.Fatalf("12 deg: %+v", got)
	}
	got = check(screw(30, forces.Interval{Lo: 0.3, Hi: 0.9}))
	if len(got) != 1 || !strings.Contains(got[0].Message, "tilted by 17.2 to 51.6 deg") {
		t.Fatalf("30 deg: %+v", got)
	}
	if got = check(screw(30, forces.Interval{})); len(got) != 1 || !strings.Contains(got[0].Message, "as the box stands at the start") {
		t.Fatalf("already: %+v", got)
	}
}

// A detent at the start holds what shaking would let creep; one that is meant to fall is
// not told; a param of the lead's size is named.
func TestHeld(t *testing.T) {
	k := screw(6, never())
	k.Mechanism.Params = append(k.Mechanism.Params, mechanism.Param{Name: "pitch", Value: -k.Mechanism.Travels[sample.GalleryTurn].Lead, Unit: "mm"})
	if got := check(k); len(got) != 1 || !strings.Contains(got[0].Change, `"pitch"`) {
		t.Fatalf("a param: %+v", got)
	}
	tr := &k.Mechanism.Travels[sample.GalleryTurn]
	tr.Detents = []mechanism.Detent{{At: k.Mechanism.Start[sample.GalleryTurn], Width: 0.1, Force: 5}}
	if got := check(k); len(got) != 0 {
		t.Errorf("in a detent: %q", got[0].Message)
	}
	tr.Detents[0].At++
	if got := check(k); len(got) != 1 {
		t.Errorf("beside a detent: %+v", got)
	}
	tr.Moved = mechanism.ByGravity
	if got := check(k); len(got) != 0 {
		t.Errorf("meant to fall: %q", got[0].Message)
	}
}
