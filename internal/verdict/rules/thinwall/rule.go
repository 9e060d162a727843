package thinwall

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
	return finding.Rule{Name: "thin-wall", Print: true, Title: "a wall or a web is thinner than two lines", Doc: doc, Check: check}
}

// most is how many places of a part are told, the worst.
const most = 5

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
		n := 0
		for k := range r.Thin {
			p := &r.Thin[k]
			if p.Slit || n == most {
				continue
			}
			n++
			at := p.At
			f := finding.Finding{
				Rule: "thin-wall", Severity: finding.Warning, Where: finding.Where{Parts: []int{i}, At: &at},
				Margin: p.Thickness - p.Least, Unit: "mm",
				Message: fmt.Sprintf("%s of %s is %s thick over %s mm2; two lines are %s.", "A wall", wording.Part(c.Mechanism, i), wording.Length(p.Thickness), wording.Number(p.Area, 0), wording.Length(p.Least)),
				Change:  fmt.Sprintf("Make it %s or more.", wording.Length(p.Least)),
			}
			if p.Level {
				f.Message = fmt.Sprintf("A floor or roof of %s is %s thick over %s mm2; two layers are %s.", wording.Part(c.Mechanism, i), wording.Length(p.Thickness), wording.Number(p.Area, 0), wording.Length(p.Least))
			}
			if p.Thickness < p.Least/2 {
				f.Severity = finding.Fault
			}
			out = append(out, f)
		}
	}
	return out
}
