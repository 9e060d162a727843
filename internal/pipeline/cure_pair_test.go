package pipeline

import (
	"testing"

	"feint/internal/verdict"
	"feint/internal/verdict/finding"
)

// TestCuredOfWhole: what is found of a whole design stays, and is nothing new, where it
// names other parts than before; what is found of a part does not.
func TestCuredOfWhole(t *testing.T) {
	for rule, stays := range map[string]bool{"way-blocked": true, "snap": false} {
		at := func(margin float64, parts ...int) verdict.Finding {
			return verdict.Finding{Rule: rule, Severity: verdict.Fault, Unit: "mm", Margin: margin, Where: finding.Where{Parts: parts}}
		}
		f := at(-2, 1, 4)
		s := compare([]verdict.Finding{f}, []verdict.Finding{at(-1, 0, 1)}, &f)
		if s.gone == stays || s.harm == stays || stays && s.margin != -1 {
			t.Errorf("%s: %+v", rule, s)
		}
	}
}
