package shrink

import (
	"strings"
	"testing"

	"feint/internal/mating"
	"feint/internal/mechanism"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

// ABS 0.7 against PLA 0.3 per cent over 25 mm: 0.05 mm per side, a fifth of 0.25.
func TestShrink(t *testing.T) {
	try := func(gap float64, outer, inner mechanism.Material) []finding.Finding {
		k := sample.Fitted(mating.Fit{Gap: gap, Wide: 25})
		k.Mechanism.Parts[sample.Gallery].Material, k.Mechanism.Parts[sample.Rod].Material = outer, inner
		return check(k)
	}
	abs, pla := mechanism.Material{Name: "abs"}, mechanism.Material{Name: "PLA"}
	if got := try(0.26, abs, pla); len(got) != 0 {
		t.Errorf("0.26: %q", got[0].Message)
	}
	if got := try(0.24, abs, pla); len(got) != 1 || !strings.Contains(got[0].Message, "changes by -0.05 mm per side") {
		t.Errorf("0.24: %+v", got)
	}
	if got := try(0.24, pla, pla); len(got) != 0 {
		t.Errorf("alike: %q", got[0].Message)
	}
	if got := try(0.01, mechanism.Material{Name: "wood"}, pla); len(got) != 0 {
		t.Errorf("unknown: %q", got[0].Message)
	}
	if got := try(0.03, pla, mechanism.Material{Name: "magnet", Bought: true}); len(got) != 1 || got[0].Severity != finding.Fault {
		t.Errorf("a bought part: %+v", got)
	}
}
