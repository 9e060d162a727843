package loosened

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"feint/internal/forces/load"
	"feint/internal/hands"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

// Rule finds what a load of the kind opens.
func Rule(kind load.Kind, title, doc string) finding.Rule {
	name := kind.String() + "-open"
	return finding.Rule{Name: name, Title: title, Doc: doc, Check: func(c *finding.Case) []finding.Finding {
		return check(c, name, kind)
	}}
}

func check(c *finding.Case, name string, kind load.Kind) []finding.Finding {
	for i := range c.Evidence.Handling {
		r := &c.Evidence.Handling[i]
		if r.Kind != kind || kind == load.Shake && r.Level != hands.ShakeLevel || r.Outcome < hands.Skips {
			continue
		}
		return []finding.Finding{tell(c, name, r)}
	}
	return nil
}

func tell(c *finding.Case, name string, r *hands.Row) finding.Finding {
	doing := [...]string{"tilting it", "shaking it", "spinning it", "knocking it"}[r.Kind]
	f := finding.Finding{Rule: name, Severity: finding.Warning}
	level := ""
	if r.Kind != load.Tilt {
		level = fmt.Sprintf(" at %s %s", wording.Number(r.Level, 0), r.Kind.Unit())
	}
	may := "may "
	if r.Sure {
		may = "does "
	}
	switch {
	case r.Outcome == hands.Opens:
		f.Message = fmt.Sprintf("%s%s alone %sbring the goal about, by estimate.", upper(doing), level, may)
		if !math.IsInf(r.Margin.Lo, 0) {
			f.Margin, f.Unit = r.Margin.Lo, r.Kind.Unit()
		}
	case r.Step >= 0:
		f.Where.Step = c.Mechanism.Steps[r.Step].Name
		loosens := "may loosen"
		if r.Sure {
			loosens = "loosens"
		}
		f.Message = fmt.Sprintf("%s%s %s what keeps a solver to the step %s, by estimate.", upper(doing), level, loosens, wording.Quoted(f.Where.Step))
	}
	f.Change = "Hold what must not run by itself: a detent, a stronger latch or spring, or a part across its way."
	if r.First != nil {
		t := &c.Mechanism.Travels[r.First.Travel]
		f.Where.Parts = []int{t.Part}
		from := fmt.Sprintf("from %s %s on", wording.Number(r.First.From.Lo, 1), r.Kind.Unit())
		switch least := r.Kind.Least(); {
		case r.First.From.Hi < least:
			from = "at once"
		case r.First.From.Lo < least:
			from = "perhaps at once"
		}
		f.Message += fmt.Sprintf(" The first to give way is %s, %s.", wording.Part(c.Mechanism, t.Part), from)
		f.Change = fmt.Sprintf("Hold %s: a detent, a stronger latch or spring, or a part across its way.", wording.Part(c.Mechanism, t.Part))
	}
	if len(r.Keeps) > 0 {
		hold(c, r, &f)
	}
	return f
}

// hold names the parts of which holding one is enough.
func hold(c *finding.Case, r *hands.Row, f *finding.Finding) {
	f.Where.Parts = nil
	var names []string
	for _, k := range r.Keeps {
		if p := c.Mechanism.Travels[k].Part; !slices.Contains(f.Where.Parts, p) {
			f.Where.Parts = append(f.Where.Parts, p)
			names = append(names, wording.Part(c.Mechanism, p))
		}
	}
	enough := ""
	if len(names) > 1 {
		enough = " One of them is enough."
	}
	f.Change = fmt.Sprintf("Hold %s: a detent, a stronger latch or spring, or a part across its way.%s", strings.Join(names, " or "), enough)
}

func upper(s string) string { return string(s[0]-'a'+'A') + s[1:] }
