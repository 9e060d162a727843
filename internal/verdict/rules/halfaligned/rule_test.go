package halfaligned

import (
	"math"
	"strings"
	"testing"

	"feint/internal/motion"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

// The edges are the ones of doc.md: a fault within the asked range, a warning
// less than 0.05 mm below it, nothing further down.
func TestEdges(t *testing.T) {
	for _, c := range []struct {
		bypass *motion.Limit
		want   string
		margin float64
	}{
		{&motion.Limit{Lo: -0.05, Hi: -0.04}, "fault", -0.01},
		{&motion.Limit{Lo: -0.06, Hi: -0.04}, "warning", -0.01},
		{&motion.Limit{Lo: -0.11, Hi: -0.0999}, "warning", 0.0499},
		{&motion.Limit{Lo: -0.11, Hi: -0.1001}, "", 0},
		{&motion.Limit{Hi: -0.05, Below: true}, "", 0},
		{&motion.Limit{Lo: math.Inf(-1), Hi: -0.021}, "", 0}, // not known to be missed at all
		{&motion.Limit{Lo: 0.05, Hi: 0.06}, "", 0},           // at every asked growth: idle-step
		{nil, "", 0},
	} {
		k := sample.Case()
		k.Result.Steps[1].Bypass = c.bypass
		got := check(k)
		if c.want == "" {
			if len(got) != 0 {
				t.Errorf("%+v: told %q", c.bypass, got[0].Message)
			}
			continue
		}
		if len(got) != 1 || got[0].Severity.String() != c.want || !near(got[0].Margin, c.margin) {
			t.Errorf("%+v: got %+v, want a %s with margin %g", c.bypass, got, c.want, c.margin)
		}
	}
}

func near(a, b float64) bool { return a-b < 1e-9 && b-a < 1e-9 }

func TestSqueeze(t *testing.T) {
	k := sample.Case()
	k.Result.Steps[1].Bypass = &motion.Limit{Lo: -0.05, Hi: -0.04}
	f := check(k)[0]
	if !strings.Contains(f.Message, "squeezes key rod past door ring") || f.Where.Step != "rod above the door ring" {
		t.Errorf("the pair is not named: %+v", f)
	}
	// The leak lies at -0.04; to lie at -0.10 it must fall by 0.06, so the gap by
	// twice that per side and four times that across (definition of growth).
	if !strings.Contains(f.Change, "0.12 mm per side (0.24 mm across)") {
		t.Errorf("advice: %s", f.Change)
	}
	if f.Severity != finding.Fault {
		t.Errorf("severity %s", f.Severity)
	}
}

// TestRemedy: a param that was found is told with its value, the cheapest two and
// those of other steps not.
func TestRemedy(t *testing.T) {
	k := sample.Case()
	k.Result.Steps[1].Bypass = &motion.Limit{Lo: -0.05, Hi: -0.04}
	k.Evidence.Remedies = []finding.Remedy{
		{Step: 0, Param: "lamp", Unit: "mm", From: 1, To: 2},
		{Step: 1, Param: "slot", Unit: "mm", From: 5.6, To: 5.36},
		{Step: 1, Param: "side gap", Unit: "mm", From: 0.25, To: 0.13, Costs: 0.12},
		{Step: 1, Param: "bore", Unit: "mm", From: 12, To: 11.8, Costs: 0.2},
	}
	got := check(k)[0].Change
	want := `Set "slot" from 5.6 to 5.36 mm, or "side gap" from 0.25 to 0.13 mm (which takes 0.12 mm from the tightest place of the meant way): `
	if !strings.HasPrefix(got, want) || !strings.Contains(got, "0.12 mm per side (0.24 mm across)") || strings.Contains(got, "bore") {
		t.Errorf("advice: %s", got)
	}
}
