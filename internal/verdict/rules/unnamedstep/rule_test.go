package unnamedstep

import (
	"strings"
	"testing"

	"feint/internal/motion"
	"feint/internal/units"
	"feint/internal/verdict/sample"
)

func TestRequired(t *testing.T) {
	k := sample.Case()
	if got := check(k); len(got) != 0 {
		t.Fatalf("nothing required: %q", got[0].Message)
	}
	k.Result.Required = []motion.Required{{Travel: sample.RodSlide, Value: 30, Rising: true}, {Travel: sample.DoorTurn, Value: units.Rad(90)}}
	got := check(k)
	if len(got) != 2 || !strings.Contains(got[0].Message, "slide of key rod to 30.0 mm or more") || !strings.Contains(got[0].Change, "(30.0, None)") {
		t.Fatalf("got %+v", got)
	}
	if !strings.Contains(got[1].Message, "90.0 deg or less") || !strings.Contains(got[1].Change, "(None, 90.0)") {
		t.Errorf("got %+v", got[1])
	}
	stroke := func(travel int, from, to float64) motion.Stroke {
		return motion.Stroke{Travel: travel, From: from, To: to}
	}
	k.Result.Way = &motion.Way{Moves: []motion.Move{
		{Part: sample.Rod, Strokes: []motion.Stroke{stroke(sample.RodSlide, 0, 12)}},
		{Part: sample.Door, Strokes: []motion.Stroke{stroke(sample.DoorTurn, 2, 1)}},
		{Part: sample.Rod, Strokes: []motion.Stroke{stroke(sample.RodSlide, 12, 40)}},
	}}
	if q := check(k)[0].Where.Config; len(q) != len(k.Mechanism.Travels) || q[sample.RodSlide] != 30 || q[sample.DoorTurn] != 1 {
		t.Errorf("the rod passes 30 mm in the third move, after the door: %v", q)
	}
	k.Result.Way.Moves = k.Result.Way.Moves[:2]
	if q := check(k)[0].Where.Config; q != nil {
		t.Errorf("the way does not come there, and it is shown at %v", q)
	}
}
