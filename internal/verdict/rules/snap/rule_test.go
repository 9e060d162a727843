package snap

import (
	"strings"
	"testing"

	"feint/internal/forces"
	"feint/internal/forces/strength"
	"feint/internal/forces/survey"
	"feint/internal/geom"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

func pin(lo float64) *survey.Survey {
	return &survey.Survey{Features: []survey.Feature{{Part: sample.Rod, Feature: strength.Feature{
		Length: 6, Weak: strength.Section{Area: 7.1, IXX: 4, IYY: 4, Centre: geom.Vec{Z: 12}}, Force: forces.Interval{Lo: lo, Hi: 2 * lo},
	}}}}
}

// At the strong hand silence, below it a note, below the weak hand a warning.
func TestHands(t *testing.T) {
	k := sample.Case()
	if got := check(k); got != nil {
		t.Fatalf("nobody looked: %v", got)
	}
	k.Evidence.Forces = pin(100)
	if got := check(k); len(got) != 0 {
		t.Fatalf("100 N: %q", got[0].Message)
	}
	k.Evidence.Forces = pin(25)
	got := check(k)
	if len(got) != 1 || got[0].Severity != finding.Note || got[0].Margin != -75 || !strings.Contains(got[0].Message, "bends off at 25 to 50 N") || !strings.Contains(got[0].Change, "by 100 %") {
		t.Fatalf("25 N: %+v", got)
	}
	k.Evidence.Forces = pin(17.9)
	if got := check(k); len(got) != 1 || got[0].Severity != finding.Warning {
		t.Errorf("17.9 N: %+v", got)
	}
	k.Evidence.Forces.Features[0].Length = 14 // of 2.6 mm
	if got := check(k); len(got) != 1 || got[0].Severity != finding.Note || !strings.Contains(got[0].Message, "whether its guide supports it") {
		t.Errorf("an arm: %+v", got)
	}
}
