package overhang

import (
	_ "embed"
	"fmt"

	"feint/internal/units"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule gives the rule; doc.md says what it finds and why.
func Rule() finding.Rule {
	return finding.Rule{Name: "overhang", Print: true, Title: "faces hang over more steeply than the printer manages", Doc: doc, Check: check}
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
		var area, room, worst, most float64
		n := 0
		f := finding.Finding{Rule: "overhang", Severity: finding.Warning, Where: finding.Where{Parts: []int{i}}, Unit: "deg"}
		for k := range r.Given.Patches {
			p := &r.Given.Patches[k]
			if !p.Supported || p.Bridge != nil {
				continue
			}
			n++
			area, room, worst = area+p.Area, room+p.Support, max(worst, p.Angle)
			if p.Area > most {
				at := p.At
				most, f.Where.At = p.Area, &at
			}
		}
		if n == 0 {
			continue
		}
		f.Margin = units.Deg(s.Settings.Overhang - worst)
		f.Message = fmt.Sprintf("As drawn, %s has %s mm2 of faces steeper than %s degrees in %s, up to %s; the room for supports below them is %s mm3.",
			wording.Part(c.Mechanism, i), wording.Number(area, 0), wording.Number(units.Deg(s.Settings.Overhang), 0), wording.Count(n, "place"), wording.Number(units.Deg(worst), 0), wording.Number(room, 0))
		f.Change = "Draw these faces at 45 degrees, or print another way up."
		if r.Best >= 0 {
			f.Change = fmt.Sprintf("Print it with %s (%s mm3 of supports), or draw these faces at 45 degrees.", wording.Name(r.Ways[r.Best].Name), wording.Number(r.Ways[r.Best].Support, 0))
		}
		out = append(out, f)
	}
	return out
}
