package seam

import (
	_ "embed"
	"fmt"
	"math"

	"feint/internal/geom"
	"feint/internal/mating"
	"feint/internal/mechanism"
	"feint/internal/printable"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/wording"

	"gonum.org/v1/gonum/spatial/r3"
)

//go:embed doc.md
var doc string

// Rule gives the rule; doc.md says what it finds and why.
func Rule() finding.Rule {
	return finding.Rule{Name: "seam", Print: true, Title: "the seam of the layers runs along a sliding wall", Doc: doc, Check: check}
}

// Room is what must be left to slide, mm a side.
const Room = 0.05

// Zone is how far to either side of where it is set the seam may come to lie, mm:
// twice the width of a line, and the distance of the samples of a face.
const Zone = 1.5

// sameWall is how far from the fit's radius a place may lie and still be of its wall, mm.
const sameWall = 1.0

// uprightCos is the cosine of 10 degrees.
const uprightCos = 0.985

func check(c *finding.Case) []finding.Finding {
	s := c.Evidence.Printing
	if s == nil {
		return nil
	}
	var out []finding.Finding
	for k := range s.Fits {
		f := &s.Fits[k]
		if !f.Round {
			continue
		}
		g := finding.Finding{Rule: "seam", Severity: finding.Warning, Unit: "mm per side"}
		gap := math.Inf(1)
		var walls, set []string
		for _, w := range wallsOf(s, f) {
			at, zoned, slides := w.least(c.Mechanism, s)
			if !slides || at-s.Settings.Seam >= Room {
				continue
			}
			gap = min(gap, at)
			name := wording.Part(c.Mechanism, w.part)
			if walls = append(walls, name); zoned {
				set = append(set, name)
			}
		}
		if len(walls) == 0 {
			continue
		}
		at := f.Middle
		g.Where, g.Margin = finding.Where{Parts: []int{f.Outer, f.Inner}, At: &at}, gap-s.Settings.Seam
		if g.Margin <= 0 {
			g.Severity = finding.Fault
		}
		g.Message = fmt.Sprintf("The round wall of %s slides with %s per side (%s across), and the seam of the layers stands %s proud.",
			wording.List(walls), wording.Length(gap), wording.Length(2*gap), wording.Length(s.Settings.Seam))
		g.Change = fmt.Sprintf("Say where the slicer sets the seam of %s (seam = x) and draw a relief groove along the wall there, or widen the gap.", wording.List(walls))
		if len(set) == len(walls) {
			g.Message += fmt.Sprintf(" On the side to which the seam of %s is set the other part slides too.", wording.List(set))
			g.Change = "Draw a relief groove along the wall where the seam is set, set the seam where nothing slides, or widen the gap."
		}
		out = append(out, g)
	}
	return out
}

// wall is an upright wall of a round fit, of one of its parts as drawn.
type wall struct {
	part, other int
	axis        geom.Vec // unit vector
	middle      geom.Vec
	fit         *mating.Fit
}

// wallsOf lists the walls of a fit that print upright.
func wallsOf(s *printable.Survey, f *mating.Fit) []wall {
	inv := f.Relative.Inverse()
	var out []wall
	for _, w := range [2]wall{
		{f.Outer, f.Inner, f.Axis.Dir, f.Middle, f},
		{f.Inner, f.Outer, inv.Turn(f.Axis.Dir), inv.Apply(f.Middle), f},
	} {
		if s.Reports[w.part] == nil {
			continue
		}
		if up := s.Pieces[w.part].Up.Turn(w.axis); math.Abs(up.Z) > uprightCos {
			out = append(out, w)
		}
	}
	return out
}

// least is the least gap that the wall's seam meets: that of the fit where the seam
// may stand anywhere, else the least on the side to which it is set; slides is false
// where nothing slides there.
func (w *wall) least(m *mechanism.Mechanism, s *printable.Survey) (gap float64, zoned, slides bool) {
	side := m.Parts[w.part].Seam
	side = r3.Sub(side, r3.Scale(r3.Dot(side, w.axis), w.axis))
	l := math.Sqrt(r3.Norm2(side))
	if l < 0.1 {
		return w.fit.Gap, false, true
	}
	side = r3.Scale(1/l, side)
	gap = math.Inf(1)
	for i := range s.Pieces[w.part].Slides {
		k := &s.Pieces[w.part].Slides[i]
		out := r3.Sub(k.At, w.middle)
		out = r3.Sub(out, r3.Scale(r3.Dot(out, w.axis), w.axis))
		r := math.Sqrt(r3.Norm2(out))
		along := r3.Dot(out, side)
		if k.Other != w.other || k.Free || along <= 0 || math.Abs(r-w.fit.Wide/2) > sameWall {
			continue
		}
		if math.Sqrt(max(0, r*r-along*along)) < Zone {
			gap = min(gap, k.Gap)
		}
	}
	return gap, true, !math.IsInf(gap, 1)
}
