package snap

import (
	_ "embed"
	"fmt"
	"math"
	"slices"

	"feint/internal/forces/strength"
	"feint/internal/forces/survey"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule finds what stands out of a part and breaks under a hand.
func Rule() finding.Rule {
	return finding.Rule{Name: "snap", Title: "a pin, web or lip breaks under a hand", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	if c.Evidence.Forces == nil {
		return nil
	}
	hand := strength.HandOf(strength.Pull)
	var weak []survey.Feature // the weakest of every part that has one
	more := map[int]int{}     // and how many others
	for _, f := range c.Evidence.Forces.Features {
		if f.Force.Lo >= hand.Strong {
			continue
		}
		i := slices.IndexFunc(weak, func(o survey.Feature) bool { return o.Part == f.Part })
		switch {
		case i < 0:
			weak = append(weak, f)
			continue
		case f.Force.Lo < weak[i].Force.Lo:
			weak[i] = f
		}
		more[f.Part]++
	}
	var out []finding.Finding
	for i := range weak {
		out = append(out, tell(c, &weak[i], hand, more[weak[i].Part]))
	}
	return out
}

func tell(c *finding.Case, f *survey.Feature, hand strength.Hand, more int) finding.Finding {
	at := f.Weak.Centre
	g := finding.Finding{
		Rule: "snap", Severity: finding.Note, Where: finding.Where{Parts: []int{f.Part}, At: &at},
		Margin: f.Force.Lo - hand.Strong, Unit: "N",
		Message: fmt.Sprintf("What stands %s mm out of %s at %s %s at %s across its tip, by estimate; its section there has %s mm2. Strong fingers pull %s N.",
			wording.Number(f.Length, 1), wording.Part(c.Mechanism, f.Part), wording.Place(at), f.Mode,
			wording.Force(f.Force.Lo, f.Force.Hi), wording.Number(f.Weak.Area, 1), wording.Number(hand.Strong, 0)),
		Change: fmt.Sprintf("Thicken it there by %s %%, or shorten it, or lay the part so that its layers run along it.", wording.Number(thicker(hand.Strong/f.Force.Lo), 0)),
	}
	switch {
	case f.Length > Slender*f.Weak.Thinnest():
		g.Message += " It is long and thin: what matters is whether its guide supports it."
	case f.Force.Lo < hand.Weak:
		g.Severity = finding.Warning
		g.Margin = f.Force.Lo - hand.Weak
		g.Message += fmt.Sprintf(" Weak ones pull %s N, which the margin is told to.", wording.Number(hand.Weak, 0))
	}
	switch {
	case more == 1:
		g.Message += " One more place of it holds less than that."
	case more > 1:
		g.Message += fmt.Sprintf(" %d more places of it hold less than that.", more)
	}
	return g
}

// Slender is the length of a thing over its thickness from which it is taken for an arm
// that something guides, not for a pin that a hand meets at its tip (common practice, no
// source).
const Slender = 5.0

// thicker is by how many per cent a section has to grow in every direction for the given
// factor of strength: bending goes with the third power, shear with the second; of the two
// the larger growth is told.
func thicker(factor float64) float64 { return math.Ceil(100 * (math.Sqrt(factor) - 1)) }
