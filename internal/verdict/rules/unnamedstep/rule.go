package unnamedstep

import (
	_ "embed"
	"fmt"

	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule tells of places that every way passes although no step names them.
func Rule() finding.Rule {
	return finding.Rule{Name: "unnamed-step", Title: "every way passes a place that no step names", Doc: doc, Check: check}
}

// passed is where the way taken brings a travel to a value, nil where there is none.
func passed(c *finding.Case, travel int, value float64) []float64 {
	w := c.Result.Way
	if w == nil {
		return nil
	}
	q := append([]float64{}, c.Mechanism.Start...)
	for i := range w.Moves {
		for _, k := range w.Moves[i].Strokes {
			if k.Travel == travel && min(k.From, k.To) <= value && value <= max(k.From, k.To) {
				q[travel] = value
				return q
			}
			q[k.Travel] = k.To
		}
	}
	return nil
}

func check(c *finding.Case) []finding.Finding {
	var out []finding.Finding
	for _, q := range c.Result.Required {
		if q.Travel < 0 || q.Travel >= len(c.Mechanism.Travels) {
			continue
		}
		t := &c.Mechanism.Travels[q.Travel]
		than := "or less"
		bound := fmt.Sprintf("(None, %s)", wording.Number(wording.Outside(t, q.Value), 1))
		if q.Rising {
			than, bound = "or more", fmt.Sprintf("(%s, None)", wording.Number(wording.Outside(t, q.Value), 1))
		}
		out = append(out, finding.Finding{
			Rule: "unnamed-step", Severity: finding.Note,
			Where: finding.Where{Parts: []int{t.Part}, Config: passed(c, q.Travel, q.Value)},
			Message: fmt.Sprintf("Every way brings the %s of %s to %s %s, and no step says so.",
				wording.Name(t.Name), wording.Part(c.Mechanism, t.Part), wording.Value(t, q.Value), than),
			Change: fmt.Sprintf("Name it as a step with the bound %s if it is meant, so that later revisions are held to it.", bound),
		})
	}
	return out
}
