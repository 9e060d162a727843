package export

import (
	"fmt"
	"html/template"
	"math"

	"feint/internal/verdict/wording"
)

// How the box stands up to hands as a drawing: a bar a load, to ten times the level
// asked, the level marked on it; what it takes to open stands beyond or short of it.
const (
	handlingW     = 720.0
	handlingLeft  = 130.0
	handlingRight = 16.0
	handlingRow   = 30.0
	handlingBar   = 14.0
	handlingTop   = 26.0
	handlingMost  = 10.0 // times the level asked
)

// handlingSVG draws the margin of every load; the table beside says the same.
func handlingSVG(h *HandlingInfo) template.HTML {
	if h == nil {
		return ""
	}
	rows := h.rows()
	var g svgText
	g.open("scale", "Handling; the table below says the same", handlingW, handlingTop+handlingRow*float64(len(rows))+8)
	// a scale of square roots, so that 1 and 10 times the level both have room
	x := func(times float64) float64 {
		return handlingLeft + math.Sqrt(min(max(times, 0), handlingMost)/handlingMost)*(handlingW-handlingLeft-handlingRight)
	}
	g.text("", "middle", x(1), handlingTop-10, "asked")
	for i := range rows {
		r := &rows[i]
		y := handlingTop + handlingRow*float64(i)
		g.text("", "start", 0, y+handlingBar-2, r.Name+" "+r.asked())
		lo, hi := handlingMost, handlingMost
		if r.Level != nil && *r.Level > 0 && r.Margin.Lo != nil {
			lo = 1 + *r.Margin.Lo / *r.Level
			if r.Margin.Hi != nil {
				hi = 1 + *r.Margin.Hi / *r.Level
			}
		}
		g.rect("z-works", x(0), y, x(lo)-x(0), handlingBar)
		if lo < handlingMost {
			g.rect("z-unknown", x(lo), y, max(x(hi)-x(lo), 1), handlingBar)
			if hi < handlingMost {
				g.rect("z-stuck", x(hi), y, x(handlingMost)-x(hi), handlingBar)
			}
		}
		g.rect("frame", x(0), y, x(handlingMost)-x(0), handlingBar)
		g.line("limit", x(1), y-4, x(1), y+handlingBar+4)
	}
	return template.HTML(g.close()) //nolint:gosec // built from numbers and escaped words
}

// handlingLine is a row of the table.
type handlingLine struct {
	Name, Asked, Outcome, Margin, First, Moves, Words string
}

func handlingLines(h *HandlingInfo) []handlingLine {
	if h == nil {
		return nil
	}
	var out []handlingLine
	for _, r := range h.rows() {
		l := handlingLine{Name: r.Name, Asked: r.asked(), Outcome: r.Outcome, Words: r.Words, Margin: "no level opens it", First: "nothing"}
		if !r.Sure && r.Outcome != "holds" && r.Outcome != "undecided" {
			l.Outcome = "may be: " + r.Outcome
		}
		if r.Margin.Lo != nil {
			l.Margin = spanWords(r.Margin, 1) + " " + r.Unit
		}
		if f := r.First; f != nil {
			l.First = fmt.Sprintf("%s, %s, from %s %s", wording.Name(f.Part), f.Way, spanWords(f.From, 1), r.Unit)
		}
		for i, m := range r.Moves {
			if i > 0 {
				l.Moves += ", "
			}
			l.Moves += wording.Name(m)
		}
		out = append(out, l)
	}
	return out
}
