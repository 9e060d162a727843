package shrink

import (
	_ "embed"
	"fmt"
	"math"
	"strings"

	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule gives the rule; doc.md says what it finds and why.
func Rule() finding.Rule {
	return finding.Rule{Name: "shrink", Print: true, Title: "two materials of one fit shrink differently", Doc: doc, Check: check}
}

// Share is the part of the gap that the difference may take.
const Share = 0.2

func check(c *finding.Case) []finding.Finding {
	s := c.Evidence.Printing
	if s == nil {
		return nil
	}
	share := func(i int) (float64, bool) {
		m := &c.Mechanism.Parts[i].Material
		if m.Bought {
			return 0, true
		}
		v, ok := s.Settings.Shrink[strings.ToUpper(m.Name)]
		return v, ok
	}
	var out []finding.Finding
	for k := range s.Fits {
		f := &s.Fits[k]
		a, okA := share(f.Outer)
		b, okB := share(f.Inner)
		// the hollow shrinks more than what is in it: the gap closes
		lost := (a - b) * f.Wide / 2
		if !okA || !okB || math.Abs(lost) <= Share*f.Gap {
			continue
		}
		at := f.Middle
		g := finding.Finding{
			Rule: "shrink", Severity: finding.Warning, Where: finding.Where{Parts: []int{f.Outer, f.Inner}, At: &at}, Margin: f.Gap - math.Abs(lost), Unit: "mm per side",
			Message: fmt.Sprintf("%s and %s do not shrink alike: their gap of %s per side (%s across) changes by %s per side.",
				wording.Part(c.Mechanism, f.Outer), wording.Part(c.Mechanism, f.Inner), wording.Length(f.Gap), wording.Length(2*f.Gap), wording.Signed(-lost, 2)+" mm"),
			Change: "Print both in one material, or allow for it in the gap.",
		}
		if lost >= f.Gap {
			g.Severity = finding.Fault
		}
		out = append(out, g)
	}
	return out
}
