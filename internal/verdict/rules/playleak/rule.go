package playleak

import (
	_ "embed"
	"fmt"

	"feint/internal/motion"
	"feint/internal/units"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule finds steps that can be left out only by pushing parts off their line.
func Rule() finding.Rule {
	return finding.Rule{Name: "play-leak", Title: "a shortcut for parts that are pushed or tipped", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	var out []finding.Finding
	loose := c.Result.Asked[0]
	for i := range c.Result.Steps {
		s := &c.Result.Steps[i]
		b := s.BypassPlay
		if b == nil || !b.Seen() || s.Index >= len(c.Mechanism.Steps) || leaks(s, loose) {
			continue
		}
		if !b.Above && b.Hi < loose {
			continue
		}
		out = append(out, tell(c, s))
	}
	return out
}

// leaks: the step can be left out by parts held straight, which is told already.
func leaks(s *motion.Step, loose float64) bool {
	b := s.Bypass
	return s.Unavoidable == motion.No || b != nil && b.Seen() && (b.Above || b.Lo >= loose)
}

func tell(c *finding.Case, s *motion.Step) finding.Finding {
	name := c.Mechanism.Steps[s.Index].Name
	f := finding.Finding{
		Rule: "play-leak", Severity: finding.Warning,
		Where:   finding.Where{Step: name},
		Message: fmt.Sprintf("With the parts' play used against you, the step %s may be left out %s.", wording.Quoted(name), upTo(s)),
		Change:  "Lengthen the guide or take gap out of it, so that the part cannot be pushed off its line, or make the gate narrower.",
	}
	if !s.BypassPlay.Open() {
		f.Margin, f.Unit = c.Result.Asked[0]-s.BypassPlay.Hi, "mm a surface"
	}
	var most *finding.Play
	for i := range c.Evidence.Play {
		p := &c.Evidence.Play[i]
		if most == nil || p.Side > most.Side {
			most = p
		}
	}
	if most != nil {
		f.Where.Parts = []int{most.Part}
		f.Message += fmt.Sprintf(" The loosest guide is that of %s: %s sideways, %s deg of tipping.",
			wording.Part(c.Mechanism, most.Part), wording.Length(most.Side), wording.Number(units.Deg(most.Tip), 2))
	}
	return f
}

// upTo says up to which growth.
func upTo(s *motion.Step) string {
	l, straight := s.BypassPlay, s.Bypass
	switch {
	case !l.Open():
		return "at a growth of " + wording.Limit(l) + " and below"
	case straight != nil && straight.Seen() && l.Lo <= straight.Lo: // no more is known than of parts held straight
		return fmt.Sprintf("above a growth of %s too, to which parts held straight can; up to which growth is not known", wording.Limit(straight))
	}
	return "at a growth of " + wording.Growth(l.Lo) + " and below, perhaps above it too"
}
