package scale

import (
	_ "embed"
	"fmt"
	"math"

	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule gives the rule; doc.md says what it finds and why.
func Rule() finding.Rule {
	return finding.Rule{Name: "scale", Print: true, Title: "the box does not bear being printed at another size", Doc: doc, Check: check}
}

// Asked is how much smaller or larger a print must do, as a share.
const Asked = 0.05

// rattle is by how much the gap to a bought part may widen, mm a side.
const rattle = 0.15

func check(c *finding.Case) []finding.Finding {
	if c.Result == nil {
		return nil
	}
	lo, hi := 0.0, math.Inf(1)
	fit, asked := c.Result.Fit, c.Result.Asked
	if b := fit.Bind; b != nil && !b.Above && asked[1] > 0 && b.Lo > 0 {
		lo = max(lo, asked[1]/b.Lo)
	}
	if l := fit.Leak; l != nil && !l.Below && asked[0] < 0 && l.Hi < 0 {
		lo = max(lo, asked[0]/l.Hi)
	}
	var bought []int
	if s := c.Evidence.Printing; s != nil {
		for k := range s.Fits {
			f := &s.Fits[k]
			if c.Mechanism.Parts[f.Inner].Material.Bought == c.Mechanism.Parts[f.Outer].Material.Bought || f.Wide <= 0 {
				continue
			}
			bought = append(bought, f.Outer, f.Inner)
			lo, hi = max(lo, 1-2*f.Gap/f.Wide), min(hi, 1+2*rattle/f.Wide)
		}
	}
	if lo > 1 || (lo <= 1-Asked && hi >= 1+Asked) {
		return nil // beyond 1 it does not work as drawn: others tell
	}
	f := finding.Finding{Rule: "scale", Severity: finding.Note, Where: finding.Where{Parts: bought}, Margin: 100 * min(1-lo, hi-1), Unit: "%"}
	f.Message = fmt.Sprintf("It works at print scales from %s per cent", wording.Number(math.Ceil(100*lo), 0))
	if math.IsInf(hi, 1) {
		f.Message += " upwards, and not smaller."
	} else {
		f.Message += fmt.Sprintf(" to %s per cent, since bought parts do not scale.", wording.Number(math.Floor(100*hi), 0))
	}
	f.Change = "Say so in the instructions; for smaller prints the gaps must be drawn larger."
	return []finding.Finding{f}
}
