package stack

import (
	"math"
	"strings"
	"testing"

	chains "feint/internal/stack"
	"feint/internal/verdict/sample"
)

// textbook is the worked stack of four dimensions, 40 +-.10, -25 +-.05, -2 +-.03, -10
// +-.05: 3.00, worst case +-0.23, root of the sum of squares +-sqrt(0.0159) = +-0.1261
// (a worked example seen in a stored page on tolerance analysis; package stack checks
// the sums themselves).
func textbook(lo, hi float64) chains.Chain {
	return chains.Chain{Name: "gap", Lo: lo, Hi: hi, Dims: []chains.Dim{
		{Name: "box", Nominal: 40, Plus: 0.1, Minus: 0.1},
		{Name: "ring", Nominal: -25, Plus: 0.05, Minus: 0.05},
		{Name: "washer", Nominal: -2, Plus: 0.03, Minus: 0.03},
		{Name: "cap", Nominal: -10, Plus: 0.05, Minus: 0.05},
	}}
}

func TestEdges(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		lo, hi float64
		want   string // severity; empty for silence
		margin float64
		change string
	}{
		{-inf, inf, "", 0, ""},
		{2.77, inf, "", 0, ""}, // the worst case itself
		{2.78, inf, "note", -0.01, "Add 0.01 mm to the middle"},
		{2.87, inf, "note", -0.10, "Add 0.10 mm"}, // 3 - 0.1261 = 2.8739
		{2.88, inf, "warning", -0.11, "Add 0.11 mm"},
		{3.24, inf, "fault", -0.47, "Add 0.47 mm"},
		{-inf, 3.22, "note", -0.01, "Take 0.01 mm off the middle"},
		// 0.46 wide at worst, 0.40 asked: 0.06 too much, less than the 0.2 of the box
		{2.8, 3.2, "note", -0.03, `Take 0.06 mm off that of "box" and put the middle at 3.00 mm.`},
		{2.95, 3.05, "warning", -0.18, `That of "box" alone is not enough`}, // 0.36 too much
	} {
		k := sample.Case()
		k.Mechanism.Chains = []chains.Chain{textbook(c.lo, c.hi)}
		got := check(k)
		if c.want == "" {
			if len(got) != 0 {
				t.Errorf("%g to %g: told %q", c.lo, c.hi, got[0].Message)
			}
			continue
		}
		if len(got) != 1 || got[0].Severity.String() != c.want || math.Abs(got[0].Margin-c.margin) > 1e-9 || !strings.Contains(got[0].Change, c.change) {
			t.Errorf("%g to %g: %+v, want a %s of %g and %q", c.lo, c.hi, got, c.want, c.margin, c.change)
			continue
		}
		// 0.01/0.0159 of the variance, 0.10/0.23 of the worst case
		if !strings.Contains(got[0].Message, `"box" contributes most: 63 % of the spread, 43 % of the worst case`) {
			t.Errorf("who contributes: %s", got[0].Message)
		}
	}
}
