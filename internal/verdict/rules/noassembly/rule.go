package noassembly

import (
	_ "embed"
	"fmt"

	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule finds parts for which no way in was found.
func Rule() finding.Rule {
	return finding.Rule{Name: "no-assembly", Title: "no order was found in which the parts go in", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	a := c.Evidence.Assembly
	if a == nil || len(a.Stuck) == 0 {
		return nil
	}
	m := c.Mechanism
	f := finding.Finding{Rule: "no-assembly", Severity: finding.Note}
	blocked := ""
	for i, s := range a.Stuck {
		f.Where.Parts = append(f.Where.Parts, s.Part)
		var by []string
		for _, p := range s.By {
			by = append(by, wording.Part(m, p))
		}
		if i > 0 {
			blocked += "; "
		}
		blocked += fmt.Sprintf("%s by %s", wording.Part(m, s.Part), wording.List(by))
	}
	f.Message = fmt.Sprintf("No order was found in which every part goes in, straight or on two straight legs, as drawn in one piece. Blocked going straight: %s.", blocked)
	f.Change = "Divide the part that blocks, or say glued = True if it is printed in pieces and glued round the others."
	return []finding.Finding{f}
}
