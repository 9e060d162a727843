package bridge

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
	return finding.Rule{Name: "bridge", Print: true, Title: "a ceiling is too wide to be bridged", Doc: doc, Check: check}
}

// near is the share of the limit from which a bridge is worth a note.
const near = 0.8

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
		for k := range r.Given.Patches {
			p := &r.Given.Patches[k]
			if p.Bridge == nil || p.Bridge.Span <= near*s.Settings.BridgeSpan {
				continue
			}
			at := p.At
			f := finding.Finding{
				Rule: "bridge", Severity: finding.Note, Where: finding.Where{Parts: []int{i}, At: &at},
				Margin: s.Settings.BridgeSpan - p.Bridge.Span, Unit: "mm",
				Message: fmt.Sprintf("As drawn, a ceiling of %s is bridged by lines %s long; the printer is set to manage %s.",
					wording.Part(c.Mechanism, i), wording.Length(p.Bridge.Span), wording.Length(s.Settings.BridgeSpan)),
				Change: "Nothing, if bridges of this length come out well on your printer; else a 45-degree roof.",
			}
			if f.Margin < 0 {
				f.Severity = finding.Warning
				f.Change = "Make the gap narrower, draw a 45-degree roof, or print another way up."
			}
			out = append(out, f)
		}
	}
	return out
}
