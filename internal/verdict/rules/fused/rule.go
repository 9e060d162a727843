package fused

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
	return finding.Rule{Name: "fused", Print: true, Title: "a gap inside one print is narrower than a line", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	s := c.Evidence.Printing
	if s == nil {
		return nil
	}
	var out []finding.Finding
	for _, k := range s.Inside {
		least, what := s.Settings.Line, "a line is"
		if k.Up {
			least, what = s.Settings.Layer, "a layer is"
		}
		if k.Gap >= least {
			continue
		}
		out = append(out, finding.Finding{
			Rule: "fused", Severity: finding.Fault, Where: finding.Where{Parts: []int{k.Part}}, Margin: k.Gap - least, Unit: "mm",
			Message: fmt.Sprintf("Two bodies inside %s are %s apart; %s %s.", wording.Part(c.Mechanism, k.Part), wording.Length(k.Gap), what, wording.Length(least)),
			Change:  fmt.Sprintf("Leave %s or more between them, or print them apart.", wording.Length(least)),
		})
	}
	for i, r := range s.Reports {
		if r == nil {
			continue
		}
		for k := range r.Thin {
			p := &r.Thin[k]
			if !p.Slit {
				continue
			}
			at := p.At
			out = append(out, finding.Finding{
				Rule: "fused", Severity: finding.Warning, Where: finding.Where{Parts: []int{i}, At: &at}, Margin: p.Thickness - p.Least, Unit: "mm",
				Message: fmt.Sprintf("A slit in %s is %s wide and will close; it needs %s.", wording.Part(c.Mechanism, i), wording.Length(p.Thickness), wording.Length(p.Least)),
				Change:  "Make the slit wider, or close it in the drawing.",
			})
		}
	}
	return out
}
