package supportinslide

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
	return finding.Rule{Name: "support-in-slide", Print: true, Title: "a support would touch a face that slides", Doc: doc, Check: check}
}

// Least is the area from which a touched face is told, mm2: a speck of rounding is less.
const Least = 2.0

func check(c *finding.Case) []finding.Finding {
	s := c.Evidence.Printing
	if s == nil {
		return nil
	}
	var out []finding.Finding
	for i, r := range s.Reports {
		if r == nil || r.Given.InSlide < Least {
			continue
		}
		f := finding.Finding{
			Rule: "support-in-slide", Severity: finding.Warning, Where: finding.Where{Parts: []int{i}},
			Margin: -r.Given.InSlide, Unit: "mm2",
			Message: fmt.Sprintf("As drawn, supports of %s touch %s mm2 of faces on which another part slides.", wording.Part(c.Mechanism, i), wording.Number(r.Given.InSlide, 0)),
			Change:  "Roof the groove at 45 degrees, or print another way up.",
		}
		most := 0.0
		for k := range r.Given.Patches {
			if p := &r.Given.Patches[k]; p.InSlide > most {
				at := p.At
				most, f.Where.At = p.InSlide, &at
			}
		}
		if r.Best >= 0 && r.Ways[r.Best].InSlide < Least {
			f.Change = fmt.Sprintf("Print it with %s: no support touches a sliding face then.", wording.Name(r.Ways[r.Best].Name))
		}
		out = append(out, f)
	}
	return out
}
