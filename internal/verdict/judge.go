package verdict

import (
	"slices"

	"feint/internal/mechanism"
	"feint/internal/motion"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/rules"
	"feint/internal/verdict/wording"
)

// The types of package finding that callers meet, so that they need one package.
type (
	// Evidence is what is known beside the motion.
	Evidence = finding.Evidence
	// Finding is one thing that feint reports.
	Finding = finding.Finding
	// Severity tells how much a finding matters.
	Severity = finding.Severity
	// Check is one thing that the checker looked at.
	Check = finding.Check
	// Defect is a fault of a part's mesh.
	Defect = finding.Defect
	// Skip is a pair of parts whose clearance is not known.
	Skip = finding.Skip
	// Remedy is a change of a param against a shortcut.
	Remedy = finding.Remedy
	// Cure is a change of a param by which a finding goes.
	Cure = finding.Cure
	// Climb is a part that stands in a track.
	Climb = finding.Climb
	// Together is a shortcut for two parts that are pushed at once.
	Together = finding.Together
	// Pry is a lid that is tipped past its latch.
	Pry = finding.Pry
	// Gate is what a slide goes through after a turn.
	Gate = finding.Gate
	// Overlap is a clash in the start configuration.
	Overlap = finding.Overlap
	// Play is how far a part can be moved within its own guide.
	Play = finding.Play
)

// The severities of a finding.
const (
	Note    = finding.Note
	Warning = finding.Warning
	Fault   = finding.Fault
)

// Verdict is the answer to a proof.
type Verdict struct {
	Kind      Kind
	Certified bool     // the checker agreed with every answer and nothing was left out
	Sentence  string   // one sentence for a maker
	Doubts    []string // what is not known, or why the verdict is not certified; whole sentences
	Findings  []Finding
	Evidence  Evidence // what it rests on
}

// Judge gives the verdict on m. r may be nil where motion could not run; the
// verdict is then undecided. A fault that is sure is told even where another
// question is open; "works" needs every answer. The findings come faults first,
// then in the order of the rules.
func Judge(m *mechanism.Mechanism, r *motion.Result, in Evidence) *Verdict {
	j := &judge{m: m, r: r, in: &in}
	if r == nil {
		j.r, j.none = &motion.Result{}, true
	}
	v := &Verdict{Evidence: in}
	v.Kind, v.Sentence = j.verdict()
	v.Doubts = j.doubts(v.Kind)
	v.Certified = in.Checked && v.Kind != Undecided // what was refused or left out made it undecided
	v.Findings = findings(&finding.Case{Mechanism: m, Result: j.r, Evidence: &in}, nil)
	return v
}

// Findings is what the rules of the given names find, faults first.
func Findings(m *mechanism.Mechanism, r *motion.Result, in Evidence, names []string) []Finding {
	if r == nil {
		r = &motion.Result{}
	}
	return findings(&finding.Case{Mechanism: m, Result: r, Evidence: &in}, names)
}

// Cured puts before what a finding says to change what was found by trying.
func Cured(f *Finding) {
	if words := wording.Cured(f); words != "" {
		f.Change = words + " " + f.Change
	}
}

// findings asks the rules of the given names; nil names all.
func findings(c *finding.Case, names []string) []Finding {
	var all []Finding
	for _, r := range rules.All() {
		if names != nil && !slices.Contains(names, r.Name) {
			continue
		}
		fs := r.Check(c)
		for i := range fs {
			fs[i].Print = r.Print
		}
		all = append(all, fs...)
	}
	var out []Finding
	for _, s := range []finding.Severity{finding.Fault, finding.Warning, finding.Note} {
		for i := range all {
			if all[i].Severity == s {
				out = append(out, all[i])
			}
		}
	}
	return out
}

// judge holds what the verdict is made of.
type judge struct {
	m  *mechanism.Mechanism
	r  *motion.Result
	in *Evidence

	none bool // motion did not run
}

// verdict asks in the order of design: what was not examined, then faults that
// are sure (as drawn before the ends of the range), then what is still open.
func (j *judge) verdict() (Kind, string) {
	r := j.r
	switch {
	case len(j.in.Defects) > 0 || len(j.in.Skipped) > 0 || len(j.in.Refused) > 0:
		return Undecided, j.undecided()
	case len(j.in.Clashes) > 0 || r.Drawn.Start == motion.No:
		return Clash, j.clash()
	case r.Drawn.Goal == motion.Yes:
		return Open, "It stands open: the goal already holds at the start, before anything is moved."
	case r.Drawn.Opens == motion.No:
		return Stuck, j.stuckDrawn()
	case len(j.avoidable(asDrawn)) > 0:
		return Shortcut, j.shortcutDrawn()
	case r.Tight.Opens == motion.No:
		return Stuck, j.stuckTight()
	case len(j.avoidable(inRange)) > 0:
		return Shortcut, j.shortcutLoose()
	case j.open():
		return Undecided, j.undecided()
	default:
		return Works, j.works()
	}
}

// open tells whether any question that "works" needs is without an answer.
func (j *judge) open() bool {
	r := j.r
	// What opens at the tight end opens at the loose end too, and the goal does not
	// depend on the growth: neither is asked twice.
	if r.Drawn.Opens != motion.Yes || r.Tight.Opens != motion.Yes || r.Drawn.Goal != motion.No {
		return true
	}
	if r.Drawn.Start != motion.Yes || len(r.Steps) != len(j.m.Steps) {
		return true
	}
	for i := range r.Steps {
		if r.Steps[i].Unavoidable != motion.Yes || j.straddles(&r.Steps[i]) {
			return true
		}
	}
	return false
}

// straddles tells whether it is open if a step can be avoided within the range.
func (j *judge) straddles(s *motion.Step) bool {
	b := s.Bypass
	return b != nil && !b.Below && b.Lo < j.r.Asked[0] && b.Hi > j.r.Asked[0]
}

// asDrawn: a way avoids the step at drawn size.
func asDrawn(s *motion.Step, _ float64) bool { return s.Unavoidable == motion.No }

// inRange: a way surely avoids it somewhere in the asked range.
func inRange(s *motion.Step, loose float64) bool {
	return asDrawn(s, loose) || s.Bypass != nil && s.Bypass.Seen() && (s.Bypass.Above || s.Bypass.Lo >= loose)
}

func (j *judge) avoidable(by func(*motion.Step, float64) bool) []*motion.Step {
	var out []*motion.Step
	for i := range j.r.Steps {
		if by(&j.r.Steps[i], j.r.Asked[0]) {
			out = append(out, &j.r.Steps[i])
		}
	}
	return out
}
