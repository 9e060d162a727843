package together

import (
	_ "embed"
	"fmt"

	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule finds shortcuts for two parts that are pushed at once.
func Rule() finding.Rule {
	return finding.Rule{Name: "together", Title: "two loose parts pushed at once pass what neither could alone", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	var out []finding.Finding
	loose := c.Result.Asked[0]
	for i := range c.Evidence.Together {
		t := &c.Evidence.Together[i]
		if t.Alone >= loose || t.Both < loose || t.Step >= len(c.Mechanism.Steps) {
			continue
		}
		name := c.Mechanism.Steps[t.Step].Name
		out = append(out, finding.Finding{
			Rule: "together", Severity: finding.Warning,
			Where:  finding.Where{Parts: []int{t.Parts[0], t.Parts[1]}, Step: name},
			Margin: loose - t.Both, Unit: "mm a surface",
			Message: fmt.Sprintf("With %s pushed at once within their guides, the step %s can be left out at a growth of %s and below; with one of them pushed alone, of %s and below.",
				wording.Pair(c.Mechanism, t.Parts[0], t.Parts[1]), wording.Quoted(name), wording.Growth(t.Both), wording.Growth(t.Alone)),
			// room goes with six times the growth: two surfaces at the gate, and two in
			// each of two guides
			Change: fmt.Sprintf("Take %s off the play of one of the two, or let them overlap by as much more.", wording.Length(6*(t.Both-loose))),
		})
	}
	return out
}
