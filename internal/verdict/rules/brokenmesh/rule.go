package brokenmesh

import (
	_ "embed"
	"fmt"

	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule names meshes that bound no solid, and the pairs that were left out.
func Rule() finding.Rule {
	return finding.Rule{Name: "broken-mesh", Title: "a mesh does not bound a solid", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	var out []finding.Finding
	for _, d := range c.Evidence.Defects {
		at := d.At
		f := finding.Finding{
			Rule: "broken-mesh", Severity: finding.Fault,
			Where:   finding.Where{Parts: []int{d.Part}, At: &at},
			Message: fmt.Sprintf("The mesh of %s is broken: %s at %s", wording.Part(c.Mechanism, d.Part), wording.Name(d.Kind), wording.Place(d.At)),
			Change:  "Repair the mesh in the program that made it and export it again; feint never repairs in silence.",
		}
		if d.Count > 1 {
			f.Message += fmt.Sprintf(", and %s more of the kind", wording.Count(d.Count-1, "place"))
		}
		if d.Detail != "" {
			f.Message += " (" + wording.Name(d.Detail) + ")"
		}
		f.Message += "."
		out = append(out, f)
	}
	for _, s := range c.Evidence.Skipped {
		out = append(out, finding.Finding{
			Rule: "broken-mesh", Severity: finding.Fault,
			Where:   finding.Where{Parts: []int{s.A, s.B}},
			Message: fmt.Sprintf("Whether %s ever touch was not examined: %s.", wording.Pair(c.Mechanism, s.A, s.B), wording.Name(s.Why)),
			Change:  "Repair the mesh, then prove again.",
		})
	}
	return out
}
