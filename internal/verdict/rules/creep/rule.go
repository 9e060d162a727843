package creep

import (
	_ "embed"
	"fmt"
	"math"
	"slices"

	"feint/internal/forces"
	"feint/internal/forces/caution"
	"feint/internal/forces/strength"
	"feint/internal/mechanism"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"
)

//go:embed doc.md
var doc string

// Rule finds leaves that are kept bent at rest.
func Rule() finding.Rule {
	return finding.Rule{Name: "creep", Title: "a spring or detent kept bent loses its force", Doc: doc, Check: check}
}

// bent is a leaf at rest.
type bent struct {
	what   string // "spring" or "detent"
	leaf   mechanism.Arm
	by     float64 // mm
	config []float64
	when   string
}

func (b *bent) strain() float64 { return strength.LeafStrain(b.leaf.Length, b.leaf.Thickness, b.by) }

// rest is a configuration in which a box is left lying.
type rest struct {
	config []float64
	when   string
}

func check(c *finding.Case) []finding.Finding {
	rests := []rest{{c.Mechanism.Start, "at the start"}}
	if end := last(c); end != nil {
		rests = append(rests, rest{end, "at the end of the way"})
	}
	var out []finding.Finding
	for t := range c.Mechanism.Travels {
		v := &c.Mechanism.Travels[t]
		m := &c.Mechanism.Parts[v.Part].Material
		if v.Kind != mechanism.Slide && len(v.Detents) == 0 || m.Bought {
			continue
		}
		for _, most := range worst(v, t, rests) {
			if held := strength.Held(m.Name); most.strain() > held.Lo {
				out = append(out, tell(c, v, &most, held))
			}
		}
	}
	return out
}

// last is the configuration at the end of the way; nil where none is known.
func last(c *finding.Case) []float64 {
	if h := c.Evidence.Hands; h != nil && h.Way != nil && len(h.Way.Moves) > 0 {
		return h.Way.Moves[len(h.Way.Moves)-1].After
	}
	if c.Result == nil || c.Result.Way == nil {
		return nil
	}
	end := slices.Clone(c.Mechanism.Start)
	for i := range c.Result.Way.Moves {
		for _, s := range c.Result.Way.Moves[i].Strokes {
			end[s.Travel] = s.To
		}
	}
	return end
}

// worst is by how much each leaf of a travel is bent where it is bent most.
func worst(v *mechanism.Travel, t int, rests []rest) []bent {
	var out []bent
	if s := v.Spring; s != nil && s.Leaf.Length > 0 {
		out = append(out, most("spring", s.Leaf, rests, func(q []float64) float64 { return sprung(v, q[t]) }))
	}
	for i := range v.Detents {
		if d := &v.Detents[i]; d.Leaf.Length > 0 {
			out = append(out, most("detent", d.Leaf, rests, func(q []float64) float64 { return lifted(v, d, q[t]) }))
		}
	}
	return out
}

func most(what string, leaf mechanism.Arm, rests []rest, by func([]float64) float64) bent {
	out := bent{what: what, leaf: leaf}
	for _, r := range rests {
		if d := by(r.config); d > out.by {
			out.by, out.config, out.when = d, r.config, r.when
		}
	}
	return out
}

// sprung is how far the leaf of a spring is bent at v: at its limit by as much as gives its
// preload.
func sprung(t *mechanism.Travel, v float64) float64 {
	away := v - t.Lo
	if t.Spring.Toward > 0 {
		away = t.Hi - v
	}
	if t.Spring.Rate > 0 {
		away += t.Spring.Preload / t.Spring.Rate
	}
	return max(0, away)
}

// lifted is how far the arm of a detent is bent at v.
func lifted(t *mechanism.Travel, d *mechanism.Detent, v float64) float64 {
	off := v - d.At
	if t.Full {
		off = math.Remainder(off, t.Hi-t.Lo)
	}
	if math.Abs(off) <= d.Width/2 {
		return 0
	}
	return d.Lift
}

func tell(c *finding.Case, v *mechanism.Travel, b *bent, held forces.Interval) finding.Finding {
	m, part := c.Mechanism, &c.Mechanism.Parts[v.Part]
	percent := func(x float64) string { return wording.Number(100*x, 2) }
	f := finding.Finding{
		Rule: "creep", Of: v.Name + " " + b.what, Severity: finding.Note, Where: finding.Where{Parts: []int{v.Part}, Config: b.config},
		Margin: 100 * (held.Lo - b.strain()), Unit: "% strain",
		Message: fmt.Sprintf("The leaf of the %s of %s is bent by %s mm %s: a strain of %s %%, by estimate, and %s bears %s to %s %% for long.",
			b.what, wording.Part(m, v.Part), wording.Number(b.by, 1), b.when, percent(b.strain()), wording.Name(part.Material.Name), percent(held.Lo), percent(held.Hi)),
	}
	if b.strain() > held.Hi {
		f.Severity = finding.Warning
		f.Message += " Kept so for months it stays bent and loses its force."
	}
	if at, ok := caution.Softens(part.Material.Name); ok {
		f.Message += fmt.Sprintf(" From some %s C on, in a car in the sun, it takes minutes.", wording.Number(at, 0))
	}
	// the strain goes with t/l2
	long := b.leaf.Length * math.Sqrt(b.strain()/held.Lo)
	thin := b.leaf.Thickness * held.Lo / b.strain()
	f.Change = fmt.Sprintf("Make the leaf %s mm long in place of %s mm%s, or %s mm thick in place of %s mm%s; or let it be relaxed %s.",
		wording.Number(math.Ceil(long*10)/10, 1), wording.Number(b.leaf.Length, 1), wording.SetBy(m, b.leaf.Length, "mm"),
		wording.Number(math.Floor(thin*100)/100, 2), wording.Number(b.leaf.Thickness, 2), wording.SetBy(m, b.leaf.Thickness, "mm"), b.when)
	return f
}
