package wear

import (
	"math"
	"strings"
	"testing"

	"feint/internal/mechanism"
	"feint/internal/motion"
	"feint/internal/printed"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

// leaking is the lighthouse, asked from -0.05 mm on, whose second step can be left out up
// to a growth.
func leaking(at float64) *finding.Case {
	k := sample.Case()
	k.Result.Steps[1].Bypass = nil
	k.Result.Steps[1].BypassPlay = &motion.Limit{Lo: at - 0.01, Hi: at}
	return k
}

// The unknown printer's surfaces lose 0.02 +- 2 x 0.01 mm in a thousand solves (a guess):
// 0.02 mm are gone after 500 at the most wear, and perhaps never.
func TestLeak(t *testing.T) {
	if got := check(leaking(-0.0701)); len(got) != 0 {
		t.Fatalf("0.0201 mm: %q", got[0].Message)
	}
	got := check(leaking(-0.064))
	if len(got) != 1 || math.Abs(got[0].Margin+150) > 1e-6 || got[0].Unit != "solves" || got[0].Where.Step == "" ||
		!strings.Contains(got[0].Message, "0.014 mm, printed at the loose end, or 0.064 mm as drawn: after 350 solves or more") || !strings.Contains(got[0].Change, "0.006 mm more") {
		t.Fatalf("0.014 mm: %+v", got)
	}
	// a printer that was measured: 0.04 mm in a thousand, no spread
	k := leaking(-0.064)
	k.Evidence.Printer = &printed.Model{}
	k.Evidence.Printer.Amounts[printed.Wear] = printed.Amount{Mean: 0.04}
	if got = check(k); len(got) != 1 || !strings.Contains(got[0].Message, "after 350 to 1600 solves") {
		t.Errorf("measured: %+v", got)
	}
	k.Evidence.Printer.Amounts[printed.Wear] = printed.Amount{}
	if got = check(k); len(got) != 0 {
		t.Errorf("nothing wears: %q", got[0].Message)
	}
	if got = check(leaking(-0.04)); len(got) != 0 {
		t.Errorf("leaks already: %q", got[0].Message)
	}
}

// Half of a lift of 0.08 mm is off bump and dimple when each has lost 0.02 mm.
func TestDetent(t *testing.T) {
	k := leaking(-0.2)
	k.Mechanism.Params = append(k.Mechanism.Params, mechanism.Param{Name: "bump", Value: 0.06, Unit: "mm"})
	tr := &k.Mechanism.Travels[sample.LampLift]
	tr.Detents = []mechanism.Detent{{Lift: 0.0801}}
	if got := check(k); len(got) != 0 {
		t.Fatalf("0.08 mm: %q", got[0].Message)
	}
	tr.Detents[0].Lift = 0.06
	got := check(k)
	if len(got) != 1 || math.Abs(got[0].Margin+125) > 1e-6 || !strings.Contains(got[0].Message, "after 3") || !strings.Contains(got[0].Change, `0.08 mm high (perhaps the param "bump")`) {
		t.Errorf("0.06 mm: %+v", got)
	}
}
