package idlestep

import (
	_ "embed"
	"fmt"

	"feint/internal/motion"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule finds steps that need not be taken at any size, and parts without a use.
func Rule() finding.Rule {
	return finding.Rule{Name: "idle-step", Title: "a step or a part that no way needs", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	var out []finding.Finding
	if c.Result.Drawn.Opens == motion.No {
		return nil
	}
	for i := range c.Result.Steps {
		s := &c.Result.Steps[i]
		if s.Index < len(c.Mechanism.Steps) && idle(s, c.Result.Asked[1]) {
			out = append(out, step(c, s))
		}
	}
	for _, p := range c.Result.Idle {
		out = append(out, finding.Finding{
			Rule: "idle-step", Severity: finding.Note,
			Where:   finding.Where{Parts: []int{p}},
			Message: fmt.Sprintf("The box opens without ever moving %s.", wording.Part(c.Mechanism, p)),
			Change:  "Keep it as a red herring on purpose, or let a gate in it stand in the way.",
		})
	}
	return out
}

// idle: avoidable as drawn, and not only because the print is small.
func idle(s *motion.Step, tight float64) bool {
	b := s.Bypass
	return s.Unavoidable == motion.No && (b == nil || b.Above || b.Lo >= tight)
}

func step(c *finding.Case, s *motion.Step) finding.Finding {
	name := c.Mechanism.Steps[s.Index].Name
	f := finding.Finding{
		Rule: "idle-step", Severity: finding.Fault,
		Where:   finding.Where{Step: name},
		Message: fmt.Sprintf("The step %s need not be taken, at any size asked.", wording.Quoted(name)),
		Change:  "Close the way round it, or take the step out of the design file if it was not meant to be needed.",
	}
	if h := c.Evidence.Hands; h != nil && s.Index < len(h.Steps) && h.Steps[s.Index].Shortcut != nil {
		f.Message += fmt.Sprintf(" A way of %s leaves it out.", wording.Count(len(h.Steps[s.Index].Shortcut.Moves), "move"))
	} else if w := s.Shortcut; w != nil {
		f.Message += fmt.Sprintf(" A way of %s leaves it out.", wording.Count(len(w.Moves), "move"))
	}
	return f
}
