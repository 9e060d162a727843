package mirrored

import (
	_ "embed"
	"fmt"

	"feint/internal/mechanism"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule gives the rule; doc.md says what it finds and why.
func Rule() finding.Rule {
	return finding.Rule{Name: "mirrored", Title: "a mirror turns lettering or a thread to the wrong hand", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	var out []finding.Finding
	for i := range c.Mechanism.Parts {
		w := walk{c: c, part: i}
		if s := c.Mechanism.Parts[i].Shape; s != nil {
			w.shape(s, false)
		}
		out = append(out, w.out...)
	}
	return out
}

// walk goes through one part's drawing.
type walk struct {
	c    *finding.Case
	part int
	out  []finding.Finding
}

func (w *walk) shape(s *mechanism.Shape, turned bool) {
	if s.Op == mechanism.Mirror {
		turned = !turned
	}
	switch p := s.Prim.(type) {
	case mechanism.Text:
		if turned {
			w.tell(finding.Warning, fmt.Sprintf("The lettering %s on %s is mirrored and reads backwards (%s).", wording.Quoted(p.Words), wording.Part(w.c.Mechanism, w.part), wording.Name(s.Pos.String())),
				"Add the lettering after the mirror.")
		}
	case mechanism.Thread:
		w.thread(p, s.Pos, turned)
	}
	for _, a := range s.Args {
		w.shape(a, turned)
	}
}

// thread holds the hand of a thread against the helices that part takes part in.
func (w *walk) thread(p mechanism.Thread, pos mechanism.Pos, turned bool) {
	lead := p.Lead
	if turned {
		lead = -lead
	}
	any := false
	for i := range w.c.Mechanism.Travels {
		t := &w.c.Mechanism.Travels[i]
		if t.Kind != mechanism.Helix || (t.Part != w.part && w.c.Mechanism.Parts[t.Part].Carrier != w.part) {
			continue
		}
		any = true
		if t.Lead*lead < 0 {
			w.tell(finding.Fault, fmt.Sprintf("The thread of %s is %s and its helix %s is %s (%s).", wording.Part(w.c.Mechanism, w.part), hand(lead),
				wording.Quoted(t.Name), hand(t.Lead), wording.Name(pos.String())), "Give one of the two the other sign, or mirror the solid before the thread is added.")
		}
	}
	if turned && !any {
		w.tell(finding.Note, fmt.Sprintf("A mirror makes the thread of %s %s (%s).", wording.Part(w.c.Mechanism, w.part), hand(lead), wording.Name(pos.String())),
			"Nothing, if that is meant.")
	}
}

func hand(lead float64) string {
	if lead < 0 {
		return "left-handed"
	}
	return "right-handed"
}

func (w *walk) tell(s finding.Severity, message, change string) {
	w.out = append(w.out, finding.Finding{Rule: "mirrored", Severity: s, Where: finding.Where{Parts: []int{w.part}}, Message: message, Change: change})
}
