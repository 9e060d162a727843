package facets

import (
	_ "embed"
	"fmt"

	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Share is the part of the gap that the facets may take, a tenth for each of the
// two surfaces. Common practice, no source.
const Share = 0.2

// Rule finds curved surfaces drawn too coarsely for the gap between them.
func Rule() finding.Rule {
	return finding.Rule{Name: "facets", Title: "curved surfaces are drawn too coarsely for their gap", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	t, tol := c.Result.Fit.Tightest, c.Mechanism.Tolerance
	if t.A == t.B || tol <= 0 || t.Clearance <= 0 {
		return nil
	}
	both := 2 * tol
	if both <= Share*t.Clearance {
		return nil
	}
	return []finding.Finding{{
		Rule: "facets", Severity: finding.Warning,
		Where:  finding.Where{Parts: []int{t.A, t.B}, Config: t.At},
		Margin: Share*t.Clearance - both, Unit: "mm",
		Message: fmt.Sprintf("The facets of %s may take %s mm of the %s between them at the narrowest place of the way.",
			wording.Pair(c.Mechanism, t.A, t.B), wording.Number(both, 3), wording.AtLeast(t.Clearance)),
		Change: fmt.Sprintf("Draw with a tolerance of %s mm or finer.", wording.Number(floor3(Share*t.Clearance/2), 3)),
	}}
}

// floor3 rounds down to a micron, so that what is advised is enough; never to 0.
func floor3(v float64) float64 { return max(0.001, float64(int(v*1000))/1000) }
