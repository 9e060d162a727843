package holdweak

import (
	"strings"
	"testing"

	"feint/internal/forces"
	"feint/internal/forces/survey"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

// lid is a part of the lighthouse held by two magnets.
func lid(lo, hi float64, need int) *survey.Survey {
	return &survey.Survey{Lids: []survey.Lid{{
		Part: sample.Lamp, Travel: sample.LampLift, Count: 2, Need: need,
		Pull: forces.Interval{Lo: 2.1, Hi: 3.2}, Kept: forces.Interval{Lo: lo, Hi: hi},
	}}}
}

// Just enough is silent, just too little at the weak end a warning, at both a fault.
func TestLevel(t *testing.T) {
	k := sample.Case()
	if got := check(k); got != nil {
		t.Fatalf("nobody looked: %v", got)
	}
	k.Evidence.Forces = lid(5, 8, 2)
	if got := check(k); len(got) != 0 {
		t.Fatalf("5 to 8 g: %q", got[0].Message)
	}
	k.Evidence.Forces = lid(4.9, 8, 3)
	got := check(k)
	if len(got) != 1 || got[0].Severity != finding.Warning || !strings.Contains(got[0].Message, "lamp (2) pull 2.1 to 3.2 N") || !strings.Contains(got[0].Change, "3 such") {
		t.Fatalf("4.9 to 8 g: %+v", got)
	}
	k.Evidence.Forces = lid(-0.5, 4.9, 7)
	got = check(k)
	if len(got) != 1 || got[0].Severity != finding.Fault || got[0].Margin != -5.5 || !strings.Contains(got[0].Message, "up to 0.0 to 4.9 g") {
		t.Errorf("less than its weight: %+v", got)
	}
}
