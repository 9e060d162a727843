package verdict

import (
	"fmt"

	"feint/internal/geom"
	"feint/internal/motion"
	"feint/internal/verdict/wording"
)

// The range asked, in words.
func (j *judge) asked() string {
	return fmt.Sprintf("%s to %s a surface", wording.GrowthNumber(j.r.Asked[0]), wording.Growth(j.r.Asked[1]))
}

func (j *judge) works() string {
	how := "It works"
	if w := j.r.Way; w != nil {
		how += ": it opens in " + wording.Count(len(w.Moves), "move")
		if w.Fewest {
			how += " and in no fewer"
		}
	}
	steps := "every step must be taken"
	switch len(j.m.Steps) {
	case 0:
		steps = "no step is declared, so none can be missed"
	case 1:
		steps = "the one step must be taken"
	}
	s := fmt.Sprintf("%s, and %s, from %s", how, steps, j.asked())
	if l := j.r.Fit.LeakPlay; l != nil && l.Seen() && (l.Above || l.Hi >= j.r.Asked[0]) {
		s += "; that holds for parts held straight, with their play a step may be left out"
	}
	return s + "."
}

func (j *judge) clash() string {
	if len(j.in.Clashes) == 0 {
		return "Parts clash: the start configuration is not free as drawn."
	}
	c := j.in.Clashes[0]
	for _, d := range j.in.Clashes[1:] {
		if d.Depth > c.Depth {
			c = d
		}
	}
	more := ""
	if n := len(j.in.Clashes) - 1; n > 0 {
		more = fmt.Sprintf(", and %s more", wording.Count(n, "pair"))
	}
	at := ""
	if c.At != (geom.Vec{}) {
		at = " at " + wording.Place(c.At)
	}
	return fmt.Sprintf("Parts clash at the start: %s overlap by %s%s%s.",
		wording.Pair(j.m, c.A, c.B), wording.Length(c.Depth), at, more)
}

func (j *judge) stuckDrawn() string {
	s := "It is stuck: as drawn no way leads to the goal"
	if b := j.r.Fit.Bind; b != nil && !b.Below {
		return s + fmt.Sprintf("; printed smaller it opens, up to a growth of about %s a surface.", wording.Limit(b))
	}
	if j.r.Loose.Opens == motion.Yes {
		return s + fmt.Sprintf("; printed smaller, at %s a surface, it opens.", wording.Growth(j.r.Loose.Growth))
	}
	return s + "."
}

func (j *judge) stuckTight() string {
	s := fmt.Sprintf("It binds: it opens as drawn, but printed larger by %s a surface no way is left", wording.Growth(j.r.Asked[1]))
	switch {
	case j.r.Tight.Start == motion.No:
		s = fmt.Sprintf("It binds: printed larger by %s a surface parts already overlap in the start configuration", wording.Growth(j.r.Asked[1]))
	case j.r.Drawn.Opens != motion.Yes:
		s = fmt.Sprintf("It binds: printed larger by %s a surface no way leads to the goal", wording.Growth(j.r.Asked[1]))
	}
	if b := j.r.Fit.Bind; b != nil && !b.Below && !b.Above {
		s += fmt.Sprintf("; it binds %s", wording.LimitAt(b))
	}
	if t := j.r.Fit.Tightest; t.A != t.B {
		s += fmt.Sprintf(", %s have the least room", wording.Pair(j.m, t.A, t.B))
	}
	return s + "."
}

func (j *judge) shortcutDrawn() string {
	return fmt.Sprintf("It has a shortcut: as drawn, %s.", j.avoided(j.avoidable(asDrawn)))
}

func (j *judge) shortcutLoose() string {
	all := j.avoidable(inRange)
	s := fmt.Sprintf("It has a shortcut when it prints small: within %s, %s", j.asked(), j.avoided(all))
	if b := all[0].Bypass; b != nil && !b.Above {
		s += fmt.Sprintf(", at a growth of %s and below", wording.Limit(b))
	}
	return s + "."
}

// avoided says which steps can be missed and by how short a way.
func (j *judge) avoided(steps []*motion.Step) string {
	s := fmt.Sprintf("the step %s need not be taken", wording.Quoted(j.stepName(steps[0])))
	if w := steps[0].Shortcut; w != nil {
		s += fmt.Sprintf(" (a way of %s leaves it out)", wording.Count(len(w.Moves), "move"))
	}
	if n := len(steps) - 1; n > 0 {
		s += fmt.Sprintf(", nor %s", wording.Count(n, "other step"))
	}
	return s
}

func (j *judge) stepName(s *motion.Step) string {
	if s.Index < 0 || s.Index >= len(j.m.Steps) {
		return "?"
	}
	return j.m.Steps[s.Index].Name
}

func (j *judge) undecided() string {
	switch {
	case len(j.in.Refused) > 0:
		return "Undecided: the check by a second method did not agree with the answer found."
	case len(j.in.Defects) > 0:
		return fmt.Sprintf("Undecided: the mesh of %s is broken, so what touches it is not known.", wording.Part(j.m, j.in.Defects[0].Part))
	case len(j.in.Skipped) > 0:
		s := j.in.Skipped[0]
		return fmt.Sprintf("Undecided: the clearance of %s is not known.", wording.Pair(j.m, s.A, s.B))
	case j.none:
		return "Undecided: whether it opens was not examined."
	default:
		return "Undecided: at the finest resolution allowed, not every question has an answer."
	}
}
