package halfaligned

import (
	_ "embed"
	"fmt"
	"math"
	"strconv"
	"strings"

	"feint/internal/motion"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Near is how far below the asked range a bypass is still told, mm a surface: a
// printer drifts by about as much between spools. Common practice, no source.
const Near = 0.05

// Rule finds steps that can be avoided when the print comes out small.
func Rule() finding.Rule {
	return finding.Rule{Name: "half-aligned", Title: "gates that are half open let a part through", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	var out []finding.Finding
	for i := range c.Result.Steps {
		s := &c.Result.Steps[i]
		if f, ok := one(c, s); ok {
			out = append(out, f)
		}
	}
	return out
}

// Wanted is by how much, mm, the room of the shortcut past a step must shrink for
// the leak to lie Near below the asked range; false if the rule has nothing to
// tell of the step.
func Wanted(r *motion.Result, s *motion.Step) (float64, bool) {
	margin, ok := margin(r, s)
	return 2 * (Near - margin), ok
}

// margin is how far below the asked range the step can be avoided, mm a surface.
func margin(r *motion.Result, s *motion.Step) (float64, bool) {
	b := s.Bypass
	// A step that can be missed at every asked growth is idle-step's to tell; that it
	// can be missed at all is not known where the limit has no lower end.
	if b == nil || b.Below || b.Above || math.IsInf(b.Lo, -1) || b.Lo >= r.Asked[1] {
		return 0, false
	}
	m := r.Asked[0] - b.Hi
	return m, m <= Near
}

func one(c *finding.Case, s *motion.Step) (finding.Finding, bool) {
	margin, ok := margin(c.Result, s)
	if !ok || s.Index >= len(c.Mechanism.Steps) {
		return finding.Finding{}, false
	}
	name := c.Mechanism.Steps[s.Index].Name
	f := finding.Finding{
		Rule: "half-aligned", Severity: finding.Warning,
		Where:  finding.Where{Step: name},
		Margin: margin, Unit: "mm a surface",
		Message: fmt.Sprintf("The step %s can be left out at a growth of %s and below.", wording.Quoted(name), wording.Limit(s.Bypass)),
		Change:  change(c, s, Near-margin),
	}
	if s.Bypass.Lo >= c.Result.Asked[0] {
		f.Severity = finding.Fault
	}
	squeeze(c, s.Shortcut, &f)
	return f, true
}

// change says what to set to what, if a param was found that does it, or else how
// much room is to go. The leak is to fall by g.
func change(c *finding.Case, s *motion.Step, g float64) string {
	var does []string
	for i := range c.Evidence.Remedies {
		r := &c.Evidence.Remedies[i]
		if r.Step != s.Index || len(does) == told {
			continue
		}
		unit := " " + wording.Name(r.Unit)
		if r.Unit == "" {
			unit = ""
		}
		one := fmt.Sprintf("%s from %s to %s%s", wording.Quoted(r.Param), value(r.From), value(r.To), unit)
		if r.Costs >= 0.005 { // would print as 0.00
			one += fmt.Sprintf(" (which takes %s from the tightest place of the meant way)", wording.Length(r.Costs))
		}
		does = append(does, one)
	}
	room := fmt.Sprintf("off the room between the gate and what passes it; the leak then lies %s below the asked range.", wording.Length(Near))
	if len(does) == 0 {
		return fmt.Sprintf("Take %s per side (%s across) %s", wording.Length(2*g), wording.Length(4*g), room)
	}
	return fmt.Sprintf("Set %s: measured where the shortcut squeezes through, that takes the %s per side (%s across) %s Prove again: another way may open.",
		strings.Join(does, ", or "), wording.Length(2*g), wording.Length(4*g), room)
}

// told is how many params are named at most.
const told = 2

// value is a param's value as a maker writes it.
func value(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// squeeze names the pair that the shortcut has least room at.
func squeeze(c *finding.Case, w *motion.Way, f *finding.Finding) {
	if w == nil {
		return
	}
	var least *motion.Move
	for i := range w.Moves {
		k := &w.Moves[i]
		if k.Against >= 0 && (least == nil || k.Clearance < least.Clearance) {
			least = k
		}
	}
	if least == nil {
		return
	}
	f.Where.Parts = []int{least.Part, least.Against}
	f.Message += fmt.Sprintf(" The shortcut of %s squeezes %s past %s.", wording.Count(len(w.Moves), "move"),
		wording.Part(c.Mechanism, least.Part), wording.Part(c.Mechanism, least.Against))
}
