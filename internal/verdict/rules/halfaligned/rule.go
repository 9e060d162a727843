package halfaligned

import (
	_ "embed"
	"fmt"

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

func one(c *finding.Case, s *motion.Step) (finding.Finding, bool) {
	b, loose, tight := s.Bypass, c.Result.Asked[0], c.Result.Asked[1]
	// A step that can be missed at every asked growth is idle-step's to tell.
	if b == nil || !b.Seen() || b.Open() || b.Lo >= tight || s.Index >= len(c.Mechanism.Steps) {
		return finding.Finding{}, false
	}
	margin := loose - b.Hi
	if margin > Near {
		return finding.Finding{}, false
	}
	name := c.Mechanism.Steps[s.Index].Name
	f := finding.Finding{
		Rule: "half-aligned", Severity: finding.Warning,
		Where:  finding.Where{Step: name},
		Margin: margin, Unit: "mm a surface",
		Message: fmt.Sprintf("The step %s can be left out at a growth of %s and below.", wording.Quoted(name), wording.Limit(b)),
		Change: fmt.Sprintf("Take %s per side (%s across) off the room between the gate and what passes it; the leak then lies %s below the asked range.",
			wording.Length(2*(Near-margin)), wording.Length(4*(Near-margin)), wording.Length(Near)),
	}
	if b.Lo >= loose {
		f.Severity = finding.Fault
	}
	squeeze(c, s.Shortcut, &f)
	return f, true
}

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
