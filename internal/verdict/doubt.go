package verdict

import (
	"fmt"

	"feint/internal/motion"
	"feint/internal/verdict/wording"
)

// doubts lists what is not known, in whole sentences.
func (j *judge) doubts(k Kind) []string {
	var out []string
	add := func(format string, a ...any) { out = append(out, fmt.Sprintf(format, a...)) }
	for _, s := range j.in.Refused {
		add("The checker does not agree: %s.", wording.Name(s))
	}
	switch {
	case j.in.Checked || len(j.in.Refused) > 0:
	case len(j.in.Checks) > 0:
		add("A second method could not confirm every answer, so it is not certified.")
	default:
		add("No second method has checked this, so it is not certified.")
	}
	for _, d := range j.in.Defects {
		add("The mesh of %s does not bound a solid: %s at %s.", wording.Part(j.m, d.Part), wording.Name(d.Kind), wording.Place(d.At))
	}
	for _, s := range j.in.Skipped {
		add("The pair %s was not examined: %s.", wording.Pair(j.m, s.A, s.B), wording.Name(s.Why))
	}
	switch {
	case j.none:
		add("Whether it opens was not examined.")
	case k == Undecided:
		out = append(out, j.questions()...)
	}
	if w := j.r.Way; w != nil && !w.Fewest && w.Least < len(w.Moves) {
		if w.Least > 0 {
			add("A way of fewer moves, %d at the least, is not ruled out.", w.Least)
		} else {
			add("A way of fewer moves is not ruled out.")
		}
	}
	return out
}

// questions lists the questions of the motion that have no answer.
func (j *judge) questions() []string {
	r := j.r
	var out []string
	add := func(format string, a ...any) {
		s := fmt.Sprintf(format, a...)
		if r.Space.Resolution != "" {
			s += fmt.Sprintf(" (looked down to %s)", r.Space.Resolution)
		}
		out = append(out, s+".")
	}
	if r.Drawn.Start == motion.Undecided {
		add("Whether the start is free of overlap is not known")
	}
	if r.Drawn.Opens == motion.Undecided {
		add("Whether it opens as drawn is not known")
	}
	for i, o := range [2]motion.Answer{r.Loose.Opens, r.Tight.Opens} {
		if o == motion.Undecided {
			add("Whether it opens at a growth of %s a surface is not known%s", wording.Growth(r.Asked[i]), j.atTheEnd(r.Asked[i]))
		}
	}
	if r.Drawn.Goal == motion.Undecided {
		add("Whether the goal already holds at the start is not known")
	}
	if len(r.Steps) != len(j.m.Steps) {
		add("Not every step was looked at")
	}
	for i := range r.Steps {
		s := &r.Steps[i]
		switch {
		case s.Unavoidable == motion.Undecided:
			add("Whether the step %s can be avoided as drawn is not known", wording.Quoted(j.stepName(s)))
		case j.straddles(s):
			add("Whether the step %s can be avoided within the asked range is not known: the limit is %s", wording.Quoted(j.stepName(s)), wording.Limit(s.Bypass))
		}
	}
	return out
}

// atTheEnd tells, where the bind lies at the end of the asked range that is g, that this
// is why, and what to do: two limits at one place are told apart by no resolution.
func (j *judge) atTheEnd(g float64) string {
	b := j.r.Fit.Bind
	if b == nil || !b.Seen() || b.Open() || b.Lo >= g || b.Hi <= g {
		return ""
	}
	return fmt.Sprintf(", since it binds just there, at %s; give a little more room where the way is narrowest, or ask for less with --growth", wording.Limit(b))
}
