package unheld

import (
	_ "embed"
	"fmt"
	"math"
	"strings"

	"feint/internal/geom"
	"feint/internal/play"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"

	"gonum.org/v1/gonum/spatial/r3"
)

//go:embed doc.md
var doc string

// Rule finds parts that can be pushed where they have no travel.
func Rule() finding.Rule {
	return finding.Rule{Name: "unheld", Title: "nothing holds a part on its line", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	var out []finding.Finding
	for i := range c.Evidence.Play {
		p := &c.Evidence.Play[i]
		if len(p.Unheld) == 0 || c.Mechanism.Elsewhere(p.Part) {
			continue
		}
		name := wording.Part(c.Mechanism, p.Part)
		out = append(out, finding.Finding{
			Rule: "unheld", Severity: finding.Warning,
			Where:   finding.Where{Parts: []int{p.Part}, Config: c.Mechanism.Start},
			Message: fmt.Sprintf("Nothing holds %s at the start against a push %s: it goes %s and meets nothing, though it has no travel there.", name, directions(p.Unheld), wording.Length(play.MaxPush)),
			Change:  fmt.Sprintf("Hold %s there by a lip, a cover or a clip; if it is meant to come off, give it that travel, so that it is proved with it.", name),
		})
	}
	return out
}

// directions are those along the axes of the box if there are any, else the first.
func directions(all []geom.Vec) string {
	var words []string
	for _, d := range all {
		if max(math.Abs(d.X), math.Abs(d.Y), math.Abs(d.Z)) > 0.999 {
			words = append(words, wording.Towards(r3.Unit(d)))
		}
	}
	if len(words) == 0 {
		words = []string{wording.Towards(r3.Unit(all[0]))}
	}
	return strings.Join(words, " or ")
}
