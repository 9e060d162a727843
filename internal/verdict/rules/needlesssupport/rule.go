package needlesssupport

import (
	_ "embed"
	"fmt"
	"math"

	"feint/internal/units"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule gives the rule; doc.md says what it finds and why.
func Rule() finding.Rule {
	return finding.Rule{Name: "needless-support", Print: true, Title: "a slope only just needs its support", Doc: doc, Check: check}
}

// Within is how far beyond the limit a slope counts as easily changed, radians.
const Within = 15 * math.Pi / 180

// Least is the mass of a support from which it is told, g.
const Least = 0.1

func check(c *finding.Case) []finding.Finding {
	s := c.Evidence.Printing
	if s == nil {
		return nil
	}
	var out []finding.Finding
	for i, r := range s.Reports {
		if r == nil || r.Given.Support <= 0 {
			continue
		}
		for k := range r.Given.Patches {
			p := &r.Given.Patches[k]
			share := p.Support / r.Given.Support
			grams := share * r.Given.Estimate.SupportGrams
			beyond := p.Angle - s.Settings.Overhang
			if !p.Supported || beyond > Within || grams < Least {
				continue
			}
			at := p.At
			out = append(out, finding.Finding{
				Rule: "needless-support", Severity: finding.Note, Where: finding.Where{Parts: []int{i}, At: &at},
				Margin: units.Deg(-beyond), Unit: "deg",
				Message: fmt.Sprintf("A slope of %s is only %s degrees too steep to print without support, which costs %s g and %s minutes.",
					wording.Part(c.Mechanism, i), wording.Number(units.Deg(beyond), 0), wording.Number(grams, 1), wording.Number(share*r.Given.Estimate.SupportMinutes, 0)),
				Change: fmt.Sprintf("Draw it at %s degrees from the vertical.", wording.Number(units.Deg(s.Settings.Overhang), 0)),
			})
		}
	}
	return out
}
