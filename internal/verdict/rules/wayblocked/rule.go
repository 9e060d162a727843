package wayblocked

import (
	_ "embed"
	"fmt"

	"feint/internal/motion"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule finds a way that is missing, as drawn or at the tight end.
func Rule() finding.Rule {
	return finding.Rule{Name: "way-blocked", Title: "no way leads to the goal", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	r := c.Result
	f := finding.Finding{Rule: "way-blocked", Severity: finding.Fault}
	switch {
	case r.Drawn.Opens == motion.No:
		f.Message = "As drawn, no way leads to the goal."
		f.Change = "Look for the pair that should let go: open its gate, or lengthen the travel that ends too soon."
	case r.Tight.Opens == motion.No && r.Drawn.Opens != motion.Yes:
		f.Message = fmt.Sprintf("At a growth of %s no way is left; whether there is one as drawn is not known.", wording.Growth(r.Asked[1]))
		f.Change = "Look for the pair that should let go: open its gate, or lengthen the travel that ends too soon."
	case r.Tight.Opens == motion.No:
		f.Change = "Give the parts on the way more gap, or lengthen the travel that ends too soon."
		f.Message = fmt.Sprintf("As drawn it opens; at a growth of %s no way is left.", wording.Growth(r.Asked[1]))
	default:
		return nil
	}
	reason(c, &f)
	limit(r, &f)
	room(c, &f)
	return []finding.Finding{f}
}

// reason tells the plainest one: the parts overlap before anything moves.
func reason(c *finding.Case, f *finding.Finding) {
	switch {
	case c.Result.Drawn.Start == motion.No:
		f.Message += " The start itself is not free as drawn."
	case c.Result.Tight.Start == motion.No:
		f.Message += " There the parts already overlap in the start configuration."
	}
}

func limit(r *motion.Result, f *finding.Finding) {
	b := r.Fit.Bind
	if b == nil || b.Below || b.Above {
		return
	}
	asked := r.Asked[1]
	if r.Drawn.Opens == motion.No {
		asked = max(asked, r.Drawn.Growth)
	}
	f.Margin, f.Unit = b.Lo-asked, "mm a surface"
	f.Message += fmt.Sprintf(" It binds %s.", wording.LimitAt(b))
}

// room names the tightest pair and by how much its gap must grow.
func room(c *finding.Case, f *finding.Finding) {
	t := c.Result.Fit.Tightest
	if t.A == t.B || c.Result.Way == nil {
		return
	}
	f.Where.Parts, f.Where.Config = []int{t.A, t.B}, t.At
	f.Message += fmt.Sprintf(" The way is narrowest between %s: at least %s there as drawn (%s).",
		wording.Pair(c.Mechanism, t.A, t.B), wording.AtLeast(t.Clearance), wording.Settings(c.Mechanism, t.At))
	if f.Unit != "" && f.Margin < 0 {
		f.Change = fmt.Sprintf("Give %s %s more gap per side (%s across).", wording.Pair(c.Mechanism, t.A, t.B),
			wording.Length(-2*f.Margin), wording.Length(-4*f.Margin))
	}
}
