package holdstrong

import (
	_ "embed"
	"fmt"

	"feint/internal/forces/strength"

	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule finds parts that a weak hand cannot pull off their magnets.
func Rule() finding.Rule {
	return finding.Rule{Name: "hold-strong", Title: "magnets hold a part harder than a weak hand pulls", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	if c.Evidence.Forces == nil {
		return nil
	}
	weak := strength.HandOf(strength.Pull).Weak
	var out []finding.Finding
	for _, l := range c.Evidence.Forces.Lids {
		if l.Pull.Hi <= weak {
			continue
		}
		f := finding.Finding{
			Rule: "hold-strong", Severity: finding.Note, Where: finding.Where{Parts: []int{l.Part}, Config: c.Mechanism.Start},
			Margin: weak - l.Pull.Hi, Unit: "N",
			Message: fmt.Sprintf("It takes %s to %s N by estimate to pull %s off its magnets straight; weak fingers pull %s N.",
				wording.Number(l.Pull.Lo, 1), wording.Number(l.Pull.Hi, 1), wording.Part(c.Mechanism, l.Part), wording.Number(weak, 0)),
			Change: "Take weaker or fewer magnets or leave more plastic between them; or give the rim a place for a finger.",
		}
		if l.Pull.Lo > weak {
			f.Severity = finding.Warning
		}
		if l.Peel.Hi < l.Pull.Hi {
			f.Message += fmt.Sprintf(" If it can tip, %s to %s N at its rim peel it off.", wording.Number(l.Peel.Lo, 1), wording.Number(l.Peel.Hi, 1))
		}
		out = append(out, f)
	}
	return out
}
