package holdstrong

import (
	"strings"
	"testing"

	"feint/internal/forces"
	"feint/internal/forces/survey"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

func lid(lo, hi float64) *survey.Survey {
	return &survey.Survey{Lids: []survey.Lid{{
		Part: sample.Lamp, Travel: sample.LampLift, Count: 2,
		Pull: forces.Interval{Lo: lo, Hi: hi}, Peel: forces.Interval{Lo: lo / 2, Hi: hi / 2},
	}}}
}

// 18 N is the most of MIL-STD-1472E: at it silence, over it at one end a note, at both a
// warning.
func TestLimit(t *testing.T) {
	k := sample.Case()
	if got := check(k); got != nil {
		t.Fatalf("nobody looked: %v", got)
	}
	k.Evidence.Forces = lid(15, 18)
	if got := check(k); len(got) != 0 {
		t.Fatalf("18 N: %q", got[0].Message)
	}
	k.Evidence.Forces = lid(16, 18.1)
	if got := check(k); len(got) != 1 || got[0].Severity != finding.Note || !strings.Contains(got[0].Message, "8.0 to 9.1 N at its rim") {
		t.Fatalf("18.1 N: %+v", got)
	}
	k.Evidence.Forces = lid(18.1, 20)
	if got := check(k); len(got) != 1 || got[0].Severity != finding.Warning || got[0].Margin != -2 {
		t.Errorf("20 N: %+v", got)
	}
}
