package selfturning

import (
	_ "embed"
	"fmt"
	"math"

	"feint/internal/forces"
	"feint/internal/forces/survey"
	"feint/internal/mechanism"
	"feint/internal/units"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Spare is by how much the lead angle should stay below the angle of friction, since
// shaking takes friction away, radians (common practice, no source).
const Spare = 2 * math.Pi / 180

// Rule finds helices that run by themselves.
func Rule() finding.Rule {
	return finding.Rule{Name: "self-turning", Title: "a helix turns by itself", Doc: doc, Check: check}
}

func check(c *finding.Case) []finding.Finding {
	if c.Evidence.Forces == nil {
		return nil
	}
	var out []finding.Finding
	for i := range c.Evidence.Forces.Screws {
		k := &c.Evidence.Forces.Screws[i]
		t := &c.Mechanism.Travels[k.Travel]
		if t.Moved == mechanism.ByGravity {
			continue
		}
		runs := !math.IsInf(k.Tilt.Lo, 1)
		spare := k.Holds.Lo - k.Angle
		if !runs && (spare >= Spare || held(t, c.Mechanism.Start[k.Travel])) {
			continue
		}
		out = append(out, tell(c, k, t, runs))
	}
	return out
}

// held tells whether something else than friction keeps the travel at its start.
func held(t *mechanism.Travel, v float64) bool {
	for i := range t.Detents {
		if math.Abs(t.Detents[i].At-v) <= t.Detents[i].Width/2 {
			return true
		}
	}
	for i := range t.Latches {
		if math.Abs(t.Latches[i].At-v) <= t.Latches[i].Reach {
			return true
		}
	}
	return t.Spring != nil
}

func tell(c *finding.Case, k *survey.Screw, t *mechanism.Travel, runs bool) finding.Finding {
	name := wording.Part(c.Mechanism, k.Part)
	f := finding.Finding{
		Rule: "self-turning", Severity: finding.Warning, Where: finding.Where{Parts: []int{k.Part}, Config: c.Mechanism.Start},
		Margin: units.Deg(k.Holds.Lo - k.Angle), Unit: "deg",
	}
	angles := fmt.Sprintf("The helix of %s climbs at %s deg on a diameter of %s mm; friction holds up to %s deg, by estimate",
		name, wording.Number(units.Deg(k.Angle), 1), wording.Number(k.Mean, 1), degrees(k.Holds))
	if k.Collar > 0 {
		angles += ", its collar counted in"
	}
	switch {
	case runs && k.Tilt.Hi == 0:
		f.Message = angles + ". It runs by itself as the box stands at the start."
	case runs && !math.IsInf(k.Tilt.Hi, 1):
		f.Message = fmt.Sprintf("%s. It runs by itself when the box is tilted by %s deg from the start.", angles, degrees(k.Tilt))
	case runs:
		f.Message = fmt.Sprintf("%s. With the least friction it runs by itself when the box is tilted by %s deg from the start; with the most it stays.", angles, wording.Number(units.Deg(k.Tilt.Lo), 0))
	default:
		f.Message = angles + ". It holds when tilted, but so narrowly that shaking may make it creep."
	}
	f.Change = change(c.Mechanism, k, t)
	return f
}

// change says which lead would hold with Spare in hand.
func change(m *mechanism.Mechanism, k *survey.Screw, t *mechanism.Travel) string {
	const or = "a larger diameter, a collar under its head, or a detent or a latch where it must stay"
	most := math.Pi * k.Mean * math.Tan(max(0, k.Holds.Lo-Spare))
	if most < 0.5 {
		return fmt.Sprintf("Give %s %s: no lead that prints holds it by friction alone.", wording.Part(m, k.Part), or)
	}
	return fmt.Sprintf("Give it a lead of at most %s mm a turn in place of %s mm%s, or %s.",
		wording.Number(math.Floor(most*10)/10, 1), wording.Number(math.Abs(t.Lead), 1), wording.SetBy(m, t.Lead, "mm"), or)
}

func degrees(i forces.Interval) string {
	lo, hi := wording.Number(units.Deg(i.Lo), 1), wording.Number(units.Deg(i.Hi), 1)
	if lo == hi {
		return lo
	}
	return lo + " to " + hi
}
