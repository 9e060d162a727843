package thickwall

import (
	_ "embed"
	"fmt"

	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule gives the rule; doc.md says what it finds and why.
func Rule() finding.Rule {
	return finding.Rule{Name: "thick-wall", Print: true, Title: "plastic and minutes could be left out", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	s := c.Evidence.Printing
	if s == nil {
		return nil
	}
	var out []finding.Finding
	for i, r := range s.Reports {
		if r == nil {
			continue
		}
		for k := range r.Spare {
			p := &r.Spare[k]
			at := p.At
			out = append(out, finding.Finding{
				Rule: "thick-wall", Severity: finding.Note, Where: finding.Where{Parts: []int{i}, At: &at},
				Message: fmt.Sprintf("A pocket in %s, open %s, could leave out %s g and %s minutes and keep %s everywhere.",
					wording.Part(c.Mechanism, i), p.Open, wording.Number(p.Grams, 1), wording.Number(p.Minutes, 0), wording.Length(s.Settings.Keep)),
				Change: "Draw the pocket, or make the part smaller there, unless the place must be strong or heavy.",
			})
		}
	}
	return out
}
