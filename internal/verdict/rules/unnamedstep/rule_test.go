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
}
