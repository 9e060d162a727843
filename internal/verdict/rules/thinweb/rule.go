package thinweb

import (
	_ "embed"
	"fmt"
	"math"
	"slices"

	"feint/internal/forces"
	"feint/internal/forces/strength"
	"feint/internal/geom"
	"feint/internal/printable"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"

	"gonum.org/v1/gonum/spatial/r3"
)

//go:embed doc.md
var doc string

// Rule finds walls between two arms of a track that are too thin.
func Rule() finding.Rule {
	return finding.Rule{Name: "thin-web", Title: "the wall between two arms of a track is too thin", Doc: doc, Check: check}
}

// most is how many webs of a part are told, the thinnest.
const most = 3

func check(c *finding.Case) []finding.Finding {
	s := c.Evidence.Printing
	if s == nil {
		return nil
	}
	var out []finding.Finding
	for i, r := range s.Reports {
		if r == nil {
			continue
		}
		n := 0
		for k := range r.Webs {
			w := &r.Webs[k]
			if n == most {
				break
			}
			if slices.ContainsFunc(r.Webs[:k], func(o printable.Web) bool { return alike(&o, w) }) {
				continue
			}
			if f, ok := one(c, i, w, s.Settings.Line); ok {
				out = append(out, f)
				n++
			}
		}
	}
	return out
}

// alike tells whether two places are of one web, as far as can be told: the same slides on
// either side, and the thickness is the same.
func alike(a, b *printable.Web) bool {
	others := a.Others == b.Others || a.Others == [2]int{b.Others[1], b.Others[0]}
	return others && math.Abs(a.Thickness-b.Thickness) < 0.05
}

func one(c *finding.Case, part int, w *printable.Web, line float64) (finding.Finding, bool) {
	pose := c.Mechanism.Pose(part, c.Mechanism.Start)
	at := pose.Apply(w.At)
	f := finding.Finding{Rule: "thin-web", Severity: finding.Warning, Where: finding.Where{Parts: []int{part}, At: &at}}
	f.Message = fmt.Sprintf("The web of %s at %s, between %s, is %s thick", wording.Part(c.Mechanism, part), wording.Place(at), sliders(c, w), wording.Length(w.Thickness))
	hand := strength.HandOf(strength.Push)
	bears := Bears(c, part, w)
	breaks := bears.Lo < hand.Weak
	wants := math.Ceil(10*w.Thickness*math.Sqrt(hand.Weak/bears.Lo)) / 10 // the force goes with the square
	if breaks {
		f.Message += fmt.Sprintf(" and %s high: a force across its edge breaks it at %s, by estimate, and a weak thumb gives %s N", wording.Length(w.Height),
			wording.Force(bears.Lo, bears.Hi), wording.Number(hand.Weak, 0))
	}
	f.Change = fmt.Sprintf("Move the arms apart until it is %s, or lay the part so that its layers run up it.", wording.Length(wants))
	switch {
	case w.Thickness < 2*line-1e-6:
		f.Margin, f.Unit = w.Thickness-2*line, "mm"
		f.Message += fmt.Sprintf("; two lines are %s", wording.Length(2*line))
		if !breaks {
			f.Change = fmt.Sprintf("Move the arms apart until it is %s or more.", wording.Length(2*line))
		}
		if w.Thickness < line-1e-6 {
			f.Severity = finding.Fault
		}
	case !breaks:
		return finding.Finding{}, false
	default:
		f.Margin, f.Unit = bears.Lo-hand.Weak, "N"
		if bears.Hi >= hand.Weak {
			f.Severity = finding.Note
		}
	}
	f.Message += "."
	return f, true
}

func sliders(c *finding.Case, w *printable.Web) string {
	if w.Others[0] == w.Others[1] {
		return "two places where " + wording.Part(c.Mechanism, w.Others[0]) + " slides"
	}
	return fmt.Sprintf("where %s and where %s slides", wording.Part(c.Mechanism, w.Others[0]), wording.Part(c.Mechanism, w.Others[1]))
}

// Bears is the force across its edge that breaks a web, N; without end where it has no
// free edge.
func Bears(c *finding.Case, part int, w *printable.Web) forces.Interval {
	if w.Height <= 0 || w.Length <= 0 {
		return forces.Exact(math.Inf(1))
	}
	p := &c.Mechanism.Parts[part]
	back := p.Print.Inverse()
	up := back.Turn(geom.Vec{Z: 1})
	if r3.Norm(up) < 0.5 { // no way of printing is given
		up = geom.Vec{Z: 1}
	}
	s := strength.Of(p.Material.Name).At(w.Lift, up)
	return s.Map(func(s float64) float64 { return strength.Web(w.Thickness, w.Height, w.Length, s) })
}
