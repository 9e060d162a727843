package neighbours

import (
	_ "embed"
	"fmt"

	"feint/internal/forces/magnet"
	"feint/internal/forces/survey"

	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule finds magnets and steel that come near without being meant to.
func Rule() finding.Rule {
	return finding.Rule{Name: "neighbours", Title: "magnets meet that are not meant to", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	if c.Evidence.Forces == nil {
		return nil
	}
	var out []finding.Finding
	s := c.Evidence.Forces
	for _, p := range s.Meetings {
		if p.Meant != magnet.Neither {
			continue
		}
		most := max(p.Nearest.Pull.Hi, -p.Nearest.Pull.Lo, p.Nearest.Side.Hi)
		if most <= survey.Felt {
			continue
		}
		a, b := &s.Magnets[p.A], &s.Magnets[p.B]
		out = append(out, finding.Finding{
			Rule: "neighbours", Severity: finding.Note, Where: finding.Where{Parts: []int{a.Part, b.Part}, Config: p.Nearest.Config},
			Margin: survey.Felt - most, Unit: "N",
			Message: fmt.Sprintf("%s of %s and %s of %s come within %s mm of each other and feel up to %s N (%s), and the design does not say what is meant.",
				wording.Quoted(a.Name), wording.Part(c.Mechanism, a.Part), wording.Quoted(b.Name), wording.Part(c.Mechanism, b.Part),
				wording.Number(p.Nearest.Apart, 1), wording.Number(most, 1), p.Nearest.Sense),
			Change: "Move them apart, or say mates or repels.",
		})
	}
	return out
}
