package cocking

import (
	_ "embed"
	"fmt"

	"feint/internal/forces/survey"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

const name = "cocking"

// Rule finds slides that jam where a finger may push them.
func Rule() finding.Rule {
	return finding.Rule{Name: name, Title: "a slide pushed off its line jams", Doc: doc, Check: check}
}

// margin is how much farther off its guide a slide could be pushed before it jams at the
// highest friction, mm.
func margin(k *survey.Cock) float64 { return survey.Jams(k.Length, k.Friction.Hi) - k.Offset }

func check(c *finding.Case) []finding.Finding {
	if c.Evidence.Forces == nil {
		return nil
	}
	var out []finding.Finding
	for i := range c.Evidence.Forces.Cocks {
		k := &c.Evidence.Forces.Cocks[i]
		if margin(k) < 0 && survey.Wedges(k.Length, k.Wide, 2*side(c, k.Part)) {
			out = append(out, tell(c, k))
		}
	}
	return out
}

// side is the sideways play of a part, mm; 0 where it is not known.
func side(c *finding.Case, part int) float64 {
	for i := range c.Evidence.Play {
		if p := &c.Evidence.Play[i]; p.Part == part {
			return p.Side
		}
	}
	return 0
}

func tell(c *finding.Case, k *survey.Cock) finding.Finding {
	at := k.At
	part := wording.Part(c.Mechanism, k.Part)
	f := finding.Finding{
		Rule: name, Of: c.Mechanism.Travels[k.Travel].Name, Severity: finding.Note, Where: finding.Where{Parts: []int{k.Part}, At: &at},
		Margin: margin(k), Unit: "mm",
		Message: fmt.Sprintf("Pushed at %s, %s mm off the middle of its guide, %s jams at the higher friction on record (%s): guided over %s mm, it stands %s mm.",
			wording.Place(at), wording.Number(k.Offset, 1), part, wording.Number(k.Friction.Hi, 2), wording.Number(k.Length, 1), wording.Number(survey.Jams(k.Length, k.Friction.Hi), 1)),
	}
	if low := survey.Jams(k.Length, k.Friction.Lo); k.Offset > low {
		f.Severity = finding.Warning
		f.Message = fmt.Sprintf("Pushed at %s, %s mm off the middle of its guide, %s jams whatever the friction (%s to %s): guided over %s mm, it stands %s mm at most.",
			wording.Place(at), wording.Number(k.Offset, 1), part, wording.Number(k.Friction.Lo, 2), wording.Number(k.Friction.Hi, 2), wording.Number(k.Length, 1), wording.Number(low, 1))
	}
	f.Change = fmt.Sprintf("Guide it over %s mm, or have it pushed within %s mm of that line.",
		wording.Number(2*k.Friction.Hi*k.Offset, 1), wording.Number(survey.Jams(k.Length, k.Friction.Hi), 1))
	return f
}
