package backlash

import (
	_ "embed"
	"fmt"

	"feint/internal/units"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule finds gates that are narrower than the play of what goes through them.
func Rule() finding.Rule {
	return finding.Rule{Name: "backlash", Title: "turning play misses the gate", Doc: doc, Check: check}
}

// Margin is half the window of a gate less the play against it, radians.
func Margin(g *finding.Gate) float64 { return g.Half - g.Turn - g.Side/g.Radius }

func check(c *finding.Case) []finding.Finding {
	var out []finding.Finding
	for i := range c.Evidence.Gates {
		g := &c.Evidence.Gates[i]
		more, worst := others(c.Evidence.Gates, i)
		if Margin(g) >= 0 || !worst {
			continue
		}
		t := &c.Mechanism.Travels[g.Travel]
		f := finding.Finding{
			Rule: "backlash", Severity: finding.Note, Where: finding.Where{Parts: []int{g.Slides, g.Turns}},
			Margin: units.Deg(Margin(g)), Unit: "deg",
			Message: fmt.Sprintf("With %s at %s, %s has room for %s deg either way, and play of %s deg: %s deg of turning, and %s sideways at a radius of %s mm.",
				wording.Part(c.Mechanism, g.Turns), wording.Value(t, wording.Folded(t, g.At)), wording.Part(c.Mechanism, g.Slides), wording.Number(units.Deg(g.Half), 1),
				wording.Number(units.Deg(g.Turn+g.Side/g.Radius), 1), wording.Number(units.Deg(g.Turn), 1), wording.Length(g.Side), wording.Number(g.Radius, 1)),
			Change: fmt.Sprintf("Give the gate a lead-in of %s a side, or take as much from the play there.", wording.Length(-Margin(g)*g.Radius)),
		}
		if more > 0 {
			f.Message += fmt.Sprintf(" So at %s.", wording.Count(more, "more gate"))
		}
		out = append(out, f)
	}
	return out
}

// others counts the gates of the same sliding part that are missed too, and tells whether
// gate i is the worst of them, the first of equals.
func others(gs []finding.Gate, i int) (more int, worst bool) {
	worst = true
	for k := range gs {
		if k == i || gs[k].Slides != gs[i].Slides || Margin(&gs[k]) >= 0 {
			continue
		}
		more++
		if d := Margin(&gs[k]) - Margin(&gs[i]); d < 0 || d == 0 && k < i {
			worst = false
		}
	}
	return more, worst
}
