package flare

import (
	_ "embed"
	"fmt"
	"math"

	"feint/internal/printable"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule gives the rule; doc.md says what it finds and why.
func Rule() finding.Rule {
	return finding.Rule{Name: "flare", Print: true, Title: "the first layers spread into a sliding gap", Doc: doc, Check: check}
}

// Room is what must be left to slide, mm a side: the least press fit of common practice.
const Room = 0.05

func check(c *finding.Case) []finding.Finding {
	s := c.Evidence.Printing
	if s == nil {
		return nil
	}
	var out []finding.Finding
	for i, r := range s.Reports {
		if r == nil || s.Pieces[i].Mesh == nil {
			continue
		}
		least := math.Inf(1)
		var at printable.Sideways
		for _, k := range printable.NearPlate(s.Pieces[i], s.Settings.FlareHeight) {
			if k.Gap < least {
				least, at = k.Gap, k
			}
		}
		left := least - s.Settings.Flare
		if left >= Room {
			continue
		}
		f := finding.Finding{
			Rule: "flare", Severity: finding.Warning, Where: finding.Where{Parts: []int{i, at.Other}, At: &at.At}, Margin: left, Unit: "mm per side",
			Message: fmt.Sprintf("Where %s lies on the plate it has %s per side (%s across) to %s, and the first layers spread by %s per side.",
				wording.Part(c.Mechanism, i), wording.Length(least), wording.Length(2*least), wording.Part(c.Mechanism, at.Other), wording.Length(s.Settings.Flare)),
			Change: fmt.Sprintf("Break that edge by a 45-degree relief %s high, or print it with the other end down.", wording.Length(s.Settings.FlareHeight)),
		}
		if left <= 0 {
			f.Severity = finding.Fault
		}
		out = append(out, f)
	}
	return out
}
