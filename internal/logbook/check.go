package logbook

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Quantities lists what a check can bound, in mm but for the moves.
func Quantities() []string {
	return []string{"bind", "leak", "leak-with-play", "window", "clearance", "moves"}
}

// IsQuantity tells whether a check's rule is one of Quantities rather than a rule
// of the verdict.
func IsQuantity(rule string) bool { return slices.Contains(Quantities(), rule) }

// Answer is what a standing check says of a revision.
type Answer string

// The answers.
const (
	Holds   Answer = "holds"
	Returns Answer = "returns" // the fault would come back
	Untold  Answer = "untold"  // the proof does not tell
)

// Ruling is one standing check, asked of one proof.
type Ruling struct {
	Check  Check  `json:"check"`
	Answer Answer `json:"answer"`
	Why    string `json:"why"`
}

// bracket is a quantity known to lie from lo to hi.
type bracket struct{ lo, hi float64 }

// Judge asks a standing check of a proof. A bracket that reaches over the bound is
// untold, since the limit may lie on either side.
func Judge(c *Check, p *Proof) Ruling {
	r := Ruling{Check: *c, Answer: Untold}
	if gone := missing(c, p); gone != "" {
		r.Why = gone
		return r
	}
	if !IsQuantity(c.Rule) {
		r.Answer, r.Why = judgeRule(c, p)
		return r
	}
	b, what, why := quantity(c, p)
	if why != "" {
		r.Why = why
		return r
	}
	r.Answer = judgeBracket(c, b)
	r.Why = fmt.Sprintf("%s %s, and must be %s", what, b.words(c.Rule == "moves"), c.Wanted())
	return r
}

func judgeBracket(c *Check, b bracket) Answer {
	switch {
	case c.AtLeast != nil && b.hi < *c.AtLeast, c.AtMost != nil && b.lo > *c.AtMost:
		return Returns
	case (c.AtLeast == nil || b.lo >= *c.AtLeast) && (c.AtMost == nil || b.hi <= *c.AtMost):
		return Holds
	default:
		return Untold
	}
}

// Wanted words the bound of a check.
func (c *Check) Wanted() string {
	unit := c.Unit
	if unit != "" {
		unit = " " + unit
	}
	switch {
	case c.AtLeast != nil && c.AtMost != nil:
		return fmt.Sprintf("from %s to %s%s", short(*c.AtLeast), short(*c.AtMost), unit)
	case c.AtLeast != nil:
		return fmt.Sprintf("at least %s%s", short(*c.AtLeast), unit)
	case c.AtMost != nil:
		return fmt.Sprintf("at most %s%s", short(*c.AtMost), unit)
	default:
		return "without a finding"
	}
}

// short writes a length to a tenth of a micrometre, which no print can tell.
func short(v float64) string {
	s := strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.4f", v), "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

func (b bracket) words(count bool) string {
	unit := " mm"
	if count {
		unit = ""
	}
	switch {
	case b.lo == b.hi:
		return "is " + short(b.lo) + unit
	case math.IsInf(b.lo, -1) && math.IsInf(b.hi, 1):
		return "is without limit"
	case math.IsInf(b.lo, -1):
		return "lies below " + short(b.hi) + unit
	case math.IsInf(b.hi, 1):
		return "lies above " + short(b.lo) + unit
	default:
		return "lies from " + short(b.lo) + " to " + short(b.hi) + unit
	}
}

// missing says if the design has no more what the check is about.
func missing(c *Check, p *Proof) string {
	for _, name := range c.Parts {
		if !slices.Contains(p.Parts, name) {
			return gone("part", name, p.Parts, c)
		}
	}
	if c.Step != "" && !slices.Contains(p.Steps, c.Step) {
		return gone("step", c.Step, p.Steps, c)
	}
	return ""
}

func gone(what, name string, names []string, c *Check) string {
	hint := ""
	if n := Nearest(name, names); n != "" {
		hint = fmt.Sprintf("; was it renamed to %q?", n)
	}
	return fmt.Sprintf("this revision has no %s %q%s Edit check %d, or let it rest", what, name, orElse(hint, "."), c.ID)
}

// quantity gives what a proof knows of a quantity, or why it knows nothing.
func quantity(c *Check, p *Proof) (b bracket, what, unknown string) {
	bind, hasBind := limit(p.BindLo, p.BindHi)
	leak, hasLeak := limit(p.LeakLo, p.LeakHi)
	play, hasPlay := limit(p.PlayLo, p.PlayHi)
	switch c.Rule {
	case "bind":
		return bind, "the bind growth", unless(hasBind, "the proof gives no bind growth")
	case "leak", "leak-with-play":
		if c.Rule == "leak-with-play" {
			leak, hasLeak = play, hasPlay
		}
		if !hasLeak && p.Moves != nil {
			leak, hasLeak = bracket{math.Inf(-1), math.Inf(-1)}, true
		}
		return leak, "the leak growth", unless(hasLeak, "the proof gives no leak growth")
	case "window":
		if hasBind && !hasLeak && p.Moves != nil {
			return bracket{math.Inf(1), math.Inf(1)}, "the fit window", ""
		}
		w := bracket{bind.lo - leak.hi, bind.hi - leak.lo}
		return w, "the fit window", unless(hasBind && hasLeak, "the proof gives no fit window")
	case "moves":
		if p.Moves == nil {
			return b, "", "the proof found no way"
		}
		b = bracket{0, float64(*p.Moves)}
		if p.MovesLeast != nil {
			b.lo = float64(*p.MovesLeast)
		}
		return b, "the number of moves", ""
	default:
		return clearance(c, p)
	}
}

func unless(ok bool, why string) string {
	if ok {
		return ""
	}
	return why
}

// limit is the bracket of a limit; a nil end is beyond the growths searched.
func limit(lo, hi *float64) (bracket, bool) {
	b := bracket{math.Inf(-1), math.Inf(1)}
	if lo != nil {
		b.lo = *lo
	}
	if hi != nil {
		b.hi = *hi
	}
	return b, lo != nil || hi != nil
}

// clearance is the least clearance along the way of the parts that the check names,
// or of any. The proof has one pair a move, its closest; another pair has at least
// as much room in that move, and no more is known of it.
func clearance(c *Check, p *Proof) (b bracket, what, unknown string) {
	if p.Moves == nil || len(p.Way) == 0 {
		return b, "", "the proof found no way"
	}
	b = bracket{math.Inf(1), math.Inf(1)}
	for i := range p.Way {
		m := &p.Way[i]
		if m.Clearance == nil {
			continue
		}
		b.lo = min(b.lo, *m.Clearance)
		if c.concerns([]string{m.Part, m.Against}) {
			b.hi = min(b.hi, *m.Clearance)
		}
	}
	return b, "the least clearance along the way", ""
}

// concerns tells whether all parts of the check are among those given.
func (c *Check) concerns(parts []string) bool {
	for _, name := range c.Parts {
		if !slices.Contains(parts, name) {
			return false
		}
	}
	return true
}

// judgeRule looks for what a rule of the verdict found.
func judgeRule(c *Check, p *Proof) (Answer, string) {
	least := 0.0
	if c.AtLeast != nil {
		least = *c.AtLeast
	}
	told := false
	for i := range p.Found {
		f := &p.Found[i]
		if f.Rule != c.Rule || !c.concerns(f.Parts) || c.Step != "" && f.Step != c.Step {
			continue
		}
		told = true
		if f.Margin == nil || *f.Margin < least {
			return Returns, f.Message
		}
	}
	switch {
	case told:
		return Holds, fmt.Sprintf("%s finds a margin of %s or more", c.Rule, short(least))
	case p.Verdict == "undecided":
		return Untold, "the proof is undecided, so that the rule may not have had what it needs"
	case least > 0:
		return Untold, fmt.Sprintf("%s finds nothing, and does not tell by what margin; a check of a quantity (%s) would", c.Rule, strings.Join(Quantities(), ", "))
	default:
		return Holds, c.Rule + " finds nothing"
	}
}
