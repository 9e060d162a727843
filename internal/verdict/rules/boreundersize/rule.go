package boreundersize

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
	return finding.Rule{Name: "bore-undersize", Print: true, Title: "an upright hole comes out too small for what runs in it", Doc: doc, Check: check}
}

// Room is what must be left to slide, mm a side.
const Room = 0.05

// uprightCos is the cosine of 10 degrees.
const uprightCos = 0.985

func check(c *finding.Case) []finding.Finding {
	s := c.Evidence.Printing
	if s == nil {
		return nil
	}
	var out []finding.Finding
	for k := range s.Fits {
		f := &s.Fits[k]
		if !f.Round || s.Reports[f.Outer] == nil {
			continue
		}
		if up := s.Pieces[f.Outer].Up.Turn(f.Axis.Dir); math.Abs(up.Z) < uprightCos {
			continue
		}
		left := f.Gap - s.Settings.BoreSmall/2
		if left >= Room {
			continue
		}
		at := f.Middle
		g := finding.Finding{
			Rule: "bore-undersize", Severity: finding.Warning, Where: finding.Where{Parts: []int{f.Outer, f.Inner}, At: &at}, Margin: left, Unit: "mm per side",
			Message: fmt.Sprintf("The hole of %s for %s has a gap of %s per side (%s across) and prints upright; such holes come out %s small across.",
				wording.Part(c.Mechanism, f.Outer), wording.Part(c.Mechanism, f.Inner), wording.Length(f.Gap), wording.Length(2*f.Gap), wording.Length(s.Settings.BoreSmall)),
			Change: fmt.Sprintf("Make the hole %s wider across, or print a gauge of it first.", wording.Length(2*(Room-left)+0.1)),
		}
		if left <= 0 {
			g.Severity = finding.Fault
		}
		out = append(out, g)
	}
	return out
}
