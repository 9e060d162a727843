package wear

import (
	_ "embed"
	"fmt"
	"math"

	"feint/internal/forces"
	"feint/internal/mechanism"
	"feint/internal/motion"
	"feint/internal/printed"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

const (
	// Solves is how many solves a box should stand (common practice, no source: a few
	// years in a family or a season on a counter).
	Solves = 500.0
	// deviations from the mean that bound the wear: one print in forty is beyond either.
	deviations = 2.0
)

// Rule finds what wears out soon.
func Rule() finding.Rule {
	return finding.Rule{Name: "wear", Title: "gaps open and clicks flatten with use", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	if c.Result == nil {
		return nil
	}
	m := c.Evidence.Printer
	if m == nil {
		m = printed.Unknown()
	}
	loss := lost(m)
	if loss.Hi <= 0 {
		return nil
	}
	var out []finding.Finding
	if f, ok := leaks(c, loss); ok {
		out = append(out, f)
	}
	for t := range c.Mechanism.Travels {
		for i := range c.Mechanism.Travels[t].Detents {
			if f, ok := flattens(c, &c.Mechanism.Travels[t], &c.Mechanism.Travels[t].Detents[i], loss); ok {
				out = append(out, f)
			}
		}
	}
	return out
}

// lost is what a surface loses in one solve, mm.
func lost(m *printed.Model) forces.Interval {
	a := m.Amounts[printed.Wear]
	return forces.About(a.Mean, deviations*math.Hypot(a.Prints, a.Features)).Positive().Scale(1e-3)
}

// until is after how many solves a surface has lost the length: by the most wear and by
// the least; without end where there may be none.
func until(length forces.Interval, loss forces.Interval) forces.Interval {
	out := forces.Interval{Lo: length.Lo / loss.Hi, Hi: math.Inf(1)}
	if loss.Lo > 0 {
		out.Hi = length.Hi / loss.Lo
	}
	return out
}

// leaks tells when the leak is reached, if parts held straight and pushed do not leak yet.
func leaks(c *finding.Case, loss forces.Interval) (finding.Finding, bool) {
	var step *motion.Step
	leak := math.Inf(-1)
	for i := range c.Result.Steps {
		s := &c.Result.Steps[i]
		for _, l := range [2]*motion.Limit{s.Bypass, s.BypassPlay} {
			if l != nil && l.Seen() && !l.Open() && l.Hi > leak && s.Index < len(c.Mechanism.Steps) {
				step, leak = s, l.Hi
			}
		}
		if s.Unavoidable == motion.No {
			return finding.Finding{}, false
		}
	}
	loose := c.Result.Asked[0]
	if step == nil || leak >= loose {
		return finding.Finding{}, false
	}
	n := until(forces.Interval{Lo: loose - leak, Hi: max(0, loose) - leak}, loss)
	if n.Lo >= Solves {
		return finding.Finding{}, false
	}
	name := c.Mechanism.Steps[step.Index].Name
	return finding.Finding{
		Rule: "wear", Severity: finding.Note, Where: finding.Where{Step: name}, Margin: n.Lo - Solves, Unit: "solves",
		Message: fmt.Sprintf("The step %s can be left out once each surface has lost %s mm, printed at the loose end, or %s mm as drawn: after %s, by a wide estimate.",
			wording.Quoted(name), wording.Number(loose-leak, 3), wording.Number(max(0, loose)-leak, 3), solves(n)),
		Change: fmt.Sprintf("Give the step %s mm more a surface before it leaks: a longer step, a narrower gate, less gap.", wording.Number(Solves*loss.Hi-(loose-leak), 3)),
	}, true
}

// flattens tells when a detent of known lift has half of it left.
func flattens(c *finding.Case, t *mechanism.Travel, d *mechanism.Detent, loss forces.Interval) (finding.Finding, bool) {
	if d.Lift <= 0 || c.Mechanism.Parts[t.Part].Material.Bought {
		return finding.Finding{}, false
	}
	n := until(forces.Exact(d.Lift/2), loss.Scale(2)) // bump and dimple
	if n.Lo >= Solves {
		return finding.Finding{}, false
	}
	return finding.Finding{
		Rule: "wear", Of: t.Name, Severity: finding.Note, Where: finding.Where{Parts: []int{t.Part}}, Margin: n.Lo - Solves, Unit: "solves",
		Message: fmt.Sprintf("The detent of %s, %s mm high, has half its height and half its force left after %s, by a wide estimate.",
			wording.Part(c.Mechanism, t.Part), wording.Number(d.Lift, 2), solves(n)),
		Change: fmt.Sprintf("Make it %s mm high%s on a longer leaf, or let it snap less often.",
			wording.Number(math.Ceil(4*Solves*loss.Hi*100-1e-6)/100, 2), wording.SetBy(c.Mechanism, d.Lift, "mm")),
	}, true
}

// solves tells a number of solves to two digits.
func solves(n forces.Interval) string {
	round := func(v float64) string {
		if v <= 0 {
			return "0"
		}
		k := math.Pow(10, math.Floor(math.Log10(v))-1)
		return wording.Number(math.Round(v/k)*k, 0)
	}
	if math.IsInf(n.Hi, 1) {
		return round(n.Lo) + " solves or more"
	}
	return round(n.Lo) + " to " + round(n.Hi) + " solves"
}
