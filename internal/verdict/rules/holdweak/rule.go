package holdweak

import (
	_ "embed"
	"fmt"

	"feint/internal/forces/survey"

	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule finds parts that their magnets do not hold when the box is shaken.
func Rule() finding.Rule {
	return finding.Rule{Name: "hold-weak", Title: "magnets do not hold a part in shaking", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	if c.Evidence.Forces == nil {
		return nil
	}
	var out []finding.Finding
	for _, l := range c.Evidence.Forces.Lids {
		if l.Kept.Lo >= survey.Level {
			continue
		}
		f := finding.Finding{
			Rule: "hold-weak", Severity: finding.Warning, Where: finding.Where{Parts: []int{l.Part}, Config: c.Mechanism.Start},
			Margin: l.Kept.Lo - survey.Level, Unit: "g",
			Message: fmt.Sprintf("The magnets of %s (%d) pull %s to %s N: by estimate they hold it in shaking of up to %s to %s g, and %s g is asked.",
				wording.Part(c.Mechanism, l.Part), l.Count, wording.Number(l.Pull.Lo, 1), wording.Number(l.Pull.Hi, 1),
				wording.Number(max(0, l.Kept.Lo), 1), wording.Number(max(0, l.Kept.Hi), 1), wording.Number(survey.Level, 0)),
			Change: "Bring the magnets closer, or take larger ones.",
		}
		if l.Kept.Hi < survey.Level {
			f.Severity = finding.Fault
		}
		if l.Need > l.Count {
			f.Change = fmt.Sprintf("Take %d such magnets instead of %d, or larger ones, or less plastic between them.", l.Need, l.Count)
		}
		out = append(out, f)
	}
	return out
}
