package seam

import (
	_ "embed"
	"fmt"
	"math"

	"feint/internal/geom"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule gives the rule; doc.md says what it finds and why.
func Rule() finding.Rule {
	return finding.Rule{Name: "seam", Print: true, Title: "the seam of the layers runs along a sliding wall", Doc: doc, Check: check}
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
		left := f.Gap - s.Settings.Seam
		if !f.Round || left >= Room {
			continue
		}
		inv := f.Relative.Inverse()
		var walls []int
		for _, w := range [2]struct {
			part int
			dir  geom.Vec
		}{{f.Outer, f.Axis.Dir}, {f.Inner, inv.Turn(f.Axis.Dir)}} {
			if s.Reports[w.part] == nil {
				continue
			}
			if up := s.Pieces[w.part].Up.Turn(w.dir); math.Abs(up.Z) > uprightCos {
				walls = append(walls, w.part)
			}
		}
		if len(walls) == 0 {
			continue
		}
		var names []string
		for _, w := range walls {
			names = append(names, wording.Part(c.Mechanism, w))
		}
		at := f.Middle
		g := finding.Finding{
			Rule: "seam", Severity: finding.Warning, Where: finding.Where{Parts: []int{f.Outer, f.Inner}, At: &at}, Margin: left, Unit: "mm per side",
			Message: fmt.Sprintf("The round wall of %s slides with %s per side (%s across), and the seam of the layers stands %s proud.",
				wording.List(names), wording.Length(f.Gap), wording.Length(2*f.Gap), wording.Length(s.Settings.Seam)),
			Change: "Draw a relief groove along the wall and set the seam there, or widen the gap.",
		}
		if left <= 0 {
			g.Severity = finding.Fault
		}
		out = append(out, g)
	}
	return out
}
