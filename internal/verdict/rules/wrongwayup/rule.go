package wrongwayup

import (
	_ "embed"
	"fmt"

	"feint/internal/geom"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule finds parts that also go in turned round.
func Rule() finding.Rule {
	return finding.Rule{Name: "wrong-way-up", Title: "a part also goes in turned round", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	a := c.Evidence.Assembly
	if a == nil {
		return nil
	}
	var out []finding.Finding
	for i := range a.Order {
		e := &a.Order[i]
		if len(e.Turned) == 0 {
			continue
		}
		var about []string
		for _, d := range e.Turned {
			about = append(about, axis(d))
		}
		part := wording.Part(c.Mechanism, e.Part)
		out = append(out, finding.Finding{
			Rule: "wrong-way-up", Severity: finding.Note, Where: finding.Where{Parts: []int{e.Part}},
			Message: fmt.Sprintf("%s also goes in after half a turn about %s, and is another shape then.", part, wording.List(about)),
			Change:  fmt.Sprintf("Give %s a notch or a step that fits one way only, or a mark, or make it the same either way.", part),
		})
	}
	return out
}

func axis(d geom.Vec) string {
	switch {
	case d.X != 0:
		return "x"
	case d.Y != 0:
		return "y"
	default:
		return "z"
	}
}
