package thickwall

import (
	_ "embed"
	"fmt"

	"feint/internal/printable"
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
			if len(p.Sides) > 0 {
				out = append(out, outside(c, i, p, s.Settings.Keep))
				continue
			}
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

// outside tells of walls that are thick towards the outside.
func outside(c *finding.Case, part int, p *printable.Spare, keep float64) finding.Finding {
	at := p.At
	var sides []string
	for _, k := range p.Sides {
		sides = append(sides, wording.Towards(k.Out)+" by "+wording.Length(k.Depth))
	}
	return finding.Finding{
		Rule: "thick-wall", Severity: finding.Note, Where: finding.Where{Parts: []int{part}, At: &at},
		Message: fmt.Sprintf("The outside of %s could lie farther in (%s) and leave %s before all that is within; that saves %s g and %s minutes.",
			wording.Part(c.Mechanism, part), wording.List(sides), wording.Length(keep), wording.Number(p.Grams, 1), wording.Number(p.Minutes, 0)),
		Change: "Draw the outside smaller, unless the place must be strong or heavy, or the hand wants the size.",
	}
}
