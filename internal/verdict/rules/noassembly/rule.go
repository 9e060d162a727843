package noassembly

import (
	_ "embed"
	"fmt"
	"strings"

	"feint/internal/hands"
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
	var kept, upright, other []string
	for _, s := range a.Stuck {
		f.Where.Parts = append(f.Where.Parts, s.Part)
		var by []string
		for _, p := range s.By {
			by = append(by, wording.Part(m, p))
		}
		part := wording.Part(m, s.Part)
		switch {
		case s.Kept == hands.Anyhow:
			f.Severity = finding.Warning
			kept = append(kept, fmt.Sprintf("%s cannot get into or out of %s, however it is turned.", part, wording.List(by)))
		case s.Kept == hands.Upright:
			upright = append(upright, fmt.Sprintf("%s cannot get into or out of %s unless it is turned, and no way with turns was found.", part, wording.List(by)))
		case len(by) == 0:
			other = append(other, part)
		default:
			other = append(other, fmt.Sprintf("%s (straight, it meets %s)", part, wording.List(by)))
		}
	}
	f.Message = "No order was found in which every part goes in, as drawn in one piece."
	if proved := append(kept, upright...); len(proved) > 0 {
		f.Message += " Proved, of rigid parts: " + strings.Join(proved, " ")
	}
	if len(other) > 0 {
		f.Message += fmt.Sprintf(" No way was found among those tried for %s.", wording.List(other))
	}
	f.Change = "Divide the part that blocks, or say glued = True if it is printed in pieces and glued round the others."
	return []finding.Finding{f}
}
