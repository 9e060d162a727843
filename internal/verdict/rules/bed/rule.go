package bed

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
	return finding.Rule{Name: "bed", Print: true, Title: "a part is larger than the printer", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	s := c.Evidence.Printing
	if s == nil {
		return nil
	}
	var out []finding.Finding
	for i, r := range s.Reports {
		if r == nil || r.Given.Fits {
			continue
		}
		b := s.Settings.Bed
		f := finding.Finding{
			Rule: "bed", Severity: finding.Fault, Where: finding.Where{Parts: []int{i}}, Margin: -r.Given.Over, Unit: "mm",
			Message: fmt.Sprintf("As drawn, %s needs %s x %s x %s mm and the printer has %g x %g x %g.", wording.Part(c.Mechanism, i),
				wording.Number(r.Given.Size.X, 1), wording.Number(r.Given.Size.Y, 1), wording.Number(r.Given.Size.Z, 1), b[0], b[1], b[2]),
			Change: "Divide the part, or print it on a larger printer.",
		}
		for k := range r.Ways {
			if r.Ways[k].Fits {
				f.Change = fmt.Sprintf("Print it with %s: it fits then.", wording.Name(r.Ways[k].Name))
				break
			}
		}
		out = append(out, f)
	}
	return out
}
