package oval

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
	return finding.Rule{Name: "oval", Print: true, Title: "a ring that prints oval takes the gap", Doc: doc, Check: check}
}

// Share is the part of the gap that ovality may take.
const Share = 1.0 / 3

func check(c *finding.Case) []finding.Finding {
	s := c.Evidence.Printing
	if s == nil {
		return nil
	}
	var out []finding.Finding
	for k := range s.Fits {
		f := &s.Fits[k]
		off := s.Settings.Oval * f.Wide / 2
		if !f.Round || !f.Turns || off <= Share*f.Gap {
			continue
		}
		at := f.Middle
		g := finding.Finding{
			Rule: "oval", Severity: finding.Warning, Where: finding.Where{Parts: []int{f.Outer, f.Inner}, At: &at}, Margin: f.Gap - off, Unit: "mm per side",
			Message: fmt.Sprintf("%s turns in %s on a diameter of %s with %s per side (%s across); a ring that large is out of round by some %s in radius.",
				wording.Part(c.Mechanism, f.Inner), wording.Part(c.Mechanism, f.Outer), wording.Length(f.Wide), wording.Length(f.Gap), wording.Length(2*f.Gap), wording.Length(off)),
			Change: fmt.Sprintf("Give it %s per side or more.", wording.Length(off/Share)),
		}
		if g.Margin <= 0 {
			g.Severity = finding.Fault
		}
		out = append(out, g)
	}
	return out
}
