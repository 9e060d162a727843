package cautions

import (
	_ "embed"
	"fmt"

	"feint/internal/forces/caution"

	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule finds what of the box can hurt someone.
func Rule() finding.Rule {
	return finding.Rule{Name: "cautions", Title: "what can hurt someone", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	if c.Evidence.Forces == nil {
		return nil
	}
	var out []finding.Finding
	asks := map[string]int{} // where it is said whom to ask: with the first that is told
	for i := range c.Evidence.Forces.Cautions {
		k := &c.Evidence.Forces.Cautions[i]
		out = append(out, finding.Finding{
			Rule: "cautions", Severity: severity(k.Kind),
			Message: fmt.Sprintf("Caution, %s: %s", k.Kind, wording.Name(k.Words)),
			Change:  k.Do,
		})
		if old, ok := asks[k.Ask]; k.Ask != "" && (!ok || out[i].Severity > out[old].Severity) {
			asks[k.Ask] = i
		}
	}
	for ask, i := range asks {
		out[i].Change += " " + ask
	}
	return out
}

// severity: what can kill is a warning, whatever the estimate says.
func severity(k caution.Kind) finding.Severity {
	if k == caution.SwallowedMagnets {
		return finding.Warning
	}
	return finding.Note
}
