package pried

import (
	_ "embed"
	"fmt"

	"feint/internal/units"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Least is what is to be left of a latch's overlap, mm (common practice, no source).
const Least = 0.5

// Rule finds lids that tip past their latch.
func Rule() finding.Rule {
	return finding.Rule{Name: "pried", Title: "a lid tips past its latch", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	var out []finding.Finding
	loose := min(0, c.Result.Asked[0])
	for i := range c.Evidence.Pries {
		p := &c.Evidence.Pries[i]
		left := p.Left + 2*loose
		if left >= Least {
			continue
		}
		lid, latch := wording.Part(c.Mechanism, p.Lid), wording.Part(c.Mechanism, p.Latch)
		f := finding.Finding{
			Rule: "pried", Severity: finding.Warning, Where: finding.Where{Parts: []int{p.Lid, p.Latch}},
			Margin: left - Least, Unit: "mm",
			Message: fmt.Sprintf("%s is held by %s with %s of overlap; tipped by the %s deg that its play lets it, and printed loose (%s), with %s.", lid, latch,
				wording.Length(p.Overlap), wording.Number(units.Deg(p.Angle), 1), wording.Growth(loose), wording.Length(left)),
			Change: fmt.Sprintf("Let %s overlap %s more, or give %s a longer or closer guide.", latch, wording.Length(Least-left), lid),
		}
		if left <= 0 {
			f.Severity = finding.Fault
			f.Message = fmt.Sprintf("%s is held by %s with %s of overlap; tipped by the %s deg that its play lets it, and printed loose (%s), it comes past.", lid, latch,
				wording.Length(p.Overlap), wording.Number(units.Deg(p.Angle), 1), wording.Growth(loose))
		}
		out = append(out, f)
	}
	return out
}
