package clashatstart

import (
	_ "embed"
	"fmt"

	"feint/internal/geom"
	"feint/internal/motion"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule finds parts that overlap before anything is moved.
func Rule() finding.Rule {
	return finding.Rule{Name: "clash-at-start", Title: "parts overlap in the start configuration", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	var out []finding.Finding
	for _, k := range c.Evidence.Clashes {
		f := finding.Finding{
			Rule: "clash-at-start", Severity: finding.Fault,
			Where:  finding.Where{Parts: []int{k.A, k.B}, Config: c.Mechanism.Start},
			Margin: -k.Depth, Unit: "mm",
			Message: fmt.Sprintf("In the start configuration %s overlap by %s", wording.Pair(c.Mechanism, k.A, k.B), wording.Length(k.Depth)),
			Change:  "Move or shorten one of them, or correct the start. If they are meant to be pressed together, declare the press fit with its depth.",
		}
		if at := k.At; at != (geom.Vec{}) {
			f.Where.At = &at
			f.Message += " at " + wording.Place(at)
		}
		f.Message += "."
		out = append(out, f)
	}
	if len(out) == 0 && c.Result.Drawn.Start == motion.No {
		out = append(out, finding.Finding{
			Rule: "clash-at-start", Severity: finding.Fault,
			Where:   finding.Where{Config: c.Mechanism.Start},
			Message: "The start configuration is not free: some pair has less clearance than it needs as drawn.",
			Change:  "Correct the start, or declare the press fit that is meant.",
		})
	}
	return out
}
