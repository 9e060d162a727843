package wrongpole

import (
	_ "embed"
	"fmt"

	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule finds magnets that repel where they are meant to attract, and the other way round.
func Rule() finding.Rule {
	return finding.Rule{Name: "wrong-pole", Title: "two magnets do the contrary of what is meant", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	if c.Evidence.Forces == nil {
		return nil
	}
	var out []finding.Finding
	s := c.Evidence.Forces
	for _, p := range s.Meetings {
		if p.Against == nil {
			continue
		}
		a, b := &s.Magnets[p.A], &s.Magnets[p.B]
		f := finding.Finding{
			Rule: "wrong-pole", Severity: finding.Warning, Where: finding.Where{Parts: []int{a.Part, b.Part}, Config: p.Against.Config},
			Margin: -max(p.Against.Pull.Hi, -p.Against.Pull.Lo), Unit: "N",
			Message: fmt.Sprintf("%s of %s and %s of %s are meant to %s, but %s with up to %s N where they are %s mm apart.",
				wording.Quoted(a.Name), wording.Part(c.Mechanism, a.Part), wording.Quoted(b.Name), wording.Part(c.Mechanism, b.Part),
				p.Meant, p.Against.Sense, wording.Number(max(p.Against.Pull.Hi, -p.Against.Pull.Lo), 1), wording.Number(p.Against.Apart, 1)),
			Change: "Move the magnets so that no travel brings them to each other this way round.",
		}
		if p.Nearest.Sense == p.Against.Sense {
			f.Severity = finding.Fault
			f.Change = "Turn one of the two over (north = the other way), and mark its pole on the part."
		}
		out = append(out, f)
	}
	return out
}
