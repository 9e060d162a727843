package export

import (
	"fmt"
	"math"
	"strings"

	"feint/internal/verdict/wording"
)

// How the box stands up to hands as a drawing: a bar a load, to ten times the level
// asked, the level marked on it; what it takes to open stands beyond or short of it.
const (
	handlingLeft  = 130.0 // less in a narrow window
	handlingSlim  = 90.0
	handlingRight = 16.0
	handlingRow   = 30.0
	handlingBar   = 14.0
	handlingTop   = 26.0
	handlingMost  = 10.0 // times the level asked
)

// handlingSVG draws the margin of every load; the table beside says the same.
func handlingSVG(h *HandlingInfo, w float64) string {
	rows := h.rows()
	left := handlingLeft
	if w < wideW {
		left = handlingSlim
	}
	var g svgText
	g.open("scale", "Handling; the table below says the same", w, handlingTop+handlingRow*float64(len(rows))+8)
	// a scale of square roots, so that 1 and 10 times the level both have room
	x := func(times float64) float64 {
		return left + math.Sqrt(min(max(times, 0), handlingMost)/handlingMost)*(w-left-handlingRight)
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
		if r.Outcome == "undecided" && r.Margin.Lo == nil {
			lo = 0
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
	return g.close()
}

// handlingFigures are the pictures of how the box stands up to hands, that of the loads
// first.
func (b *builder) handlingFigures(h *HandlingInfo) []*Figure {
	if h == nil {
		return nil
	}
	f := &Figure{ID: "handling", Title: "Handling"}
	f.draw(func(w float64) string { return handlingSVG(h, w) })
	f.Legend = []LegendKey{{"works", "it stands"}, {"unknown", "not known"}, {"stuck", "it opens or breaks"}}
	f.Words = "What tilting, shaking, spinning, a knock and strong fingers do to the box while the hand moves nothing, at the loose end of the growths asked; drawn from nothing to ten times the level asked, where the line is. Levels are by convention, friction and strength from tables: estimates, to be tried over a soft surface."
	switch h.Trap {
	case "yes":
		f.Words += " There is a trap: a situation that can be reached and from which the goal cannot."
	case "undecided":
		f.Words += " Whether there is a trap is not known."
	}
	f.Tables = []FigureTable{loadTable(h)}
	if len(h.Pushers) > 0 {
		f.Tables = append(f.Tables, pusherTable(h))
	}
	if len(h.Assembly) > 0 {
		f.Tables = append(f.Tables, assemblyTable(h))
	}
	out := []*Figure{f.whole()}
	if k := b.lidsFigure(h); k != nil {
		out = append(out, k)
	}
	if k := b.magnetsFigure(h); k != nil {
		out = append(out, k)
	}
	return out
}

// loadTable is a row for every load.
func loadTable(h *HandlingInfo) FigureTable {
	t := FigureTable{Caption: "The same in words", Heads: []string{"Load", "asked", "what happens", "margin", "gives way first", "comes loose"}}
	for _, r := range h.rows() {
		outcome, margin, first := r.Outcome, "no level opens it", "nothing"
		if !r.Sure && r.Outcome != "holds" && r.Outcome != "undecided" {
			outcome = "may be: " + r.Outcome
		}
		switch {
		case r.Margin.Lo != nil && r.Margin.Hi == nil && r.Level != nil && *r.Level+*r.Margin.Lo < least(r.Unit):
			margin = "not known"
		case r.Margin.Lo != nil && r.Margin.Hi == nil:
			margin = fmt.Sprintf("at least %s %s", wording.Number(*r.Margin.Lo, 1), r.Unit)
		case r.Margin.Lo != nil:
			margin = spanWords(r.Margin, 1) + " " + r.Unit
		case r.Outcome == "undecided":
			margin = "not known"
		}
		if f := r.First; f != nil {
			first = fmt.Sprintf("%s, %s, %s", wording.Name(f.Part), f.Way, f.from(r.Unit))
		}
		var moves []string
		for _, m := range r.Moves {
			moves = append(moves, wording.Name(m))
		}
		t.Rows = append(t.Rows, []string{r.Name, r.asked(), outcome, margin, first, strings.Join(moves, ", ")})
	}
	return t
}

// pusherTable is a row for every travel that pushes another.
func pusherTable(h *HandlingInfo) FigureTable {
	t := FigureTable{Caption: "What pushes what, from where they stand at the start", Heads: []string{"Pusher", "pushes", "dead travel before they touch", "then to", "every way needs"}}
	for i := range h.Pushers {
		p := &h.Pushers[i]
		needs := "not known"
		if p.Needs != nil {
			needs = wording.Number(*p.Needs, 2) + " " + p.Unit
		}
		if p.Short > 0 {
			needs += fmt.Sprintf("; %s %s short", wording.Number(p.Short, 2), p.Unit)
		}
		t.Rows = append(t.Rows, []string{wording.Name(p.Pusher), wording.Name(p.Pushed), wording.Number(p.Dead, 2), wording.Number(p.Gets, 2) + " " + p.Unit, needs})
	}
	return t
}

// assemblyTable is a row for every part in the order in which they go in.
func assemblyTable(h *HandlingInfo) FigureTable {
	t := FigureTable{Caption: "Putting it together, one part after another", Heads: []string{"Part", "goes in", "mind"}}
	for i := range h.Assembly {
		e := &h.Assembly[i]
		mind := ""
		if len(e.Turned) > 0 {
			mind = "it also goes in after half a turn about " + wording.List(e.Turned)
		}
		t.Rows = append(t.Rows, []string{fmt.Sprintf("%d. %s", i+1, e.name()), e.way(), mind})
	}
	return t
}
