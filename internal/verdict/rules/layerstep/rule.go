package layerstep

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
	return finding.Rule{Name: "layer-step", Print: true, Title: "a sliding level is no whole number of layers high", Doc: doc, Check: check}
}

// Share is the part of the gap that rounding may take.
const Share = 0.2

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
		for k := range r.Levels {
			l := &r.Levels[k]
			taken := l.Off
			if l.Down {
				taken = -l.Off
			}
			if l.Other < 0 || taken <= Share*l.Gap {
				continue
			}
			at := l.At
			f := finding.Finding{
				Rule: "layer-step", Severity: finding.Warning, Where: finding.Where{Parts: []int{i, l.Other}, At: &at}, Margin: l.Gap - taken, Unit: "mm",
				Message: fmt.Sprintf("A level face of %s lies %s above the plate and comes out %s nearer to %s, which slides there with %s to spare.",
					wording.Part(c.Mechanism, i), wording.Length(l.Z), wording.Length(taken), wording.Part(c.Mechanism, l.Other), wording.Length(l.Gap)),
				Change: fmt.Sprintf("Draw it at a height of %s plus whole layers of %s.", wording.Length(s.Settings.FirstLayer), wording.Length(s.Settings.Layer)),
			}
			if f.Margin <= 0 {
				f.Severity = finding.Fault
			}
			out = append(out, f)
		}
	}
	return out
}
