package export

import (
	"fmt"

	"feint/internal/verdict/wording"
)

// SharePart is one kind of outcome among many prints.
type SharePart struct {
	Key, Name string
	Count     int
	Lo, Hi    float64 // interval of its share, 0 to 1; Lo below 0 is none
}

// SharesFigure draws what became of n prints as one bar, divided as they are.
func SharesFigure(title string, parts []SharePart, n int) *Figure {
	f := &Figure{ID: "shares", Title: title}
	t := FigureTable{Caption: "The same in numbers", Heads: []string{"The print", "prints", "share", "interval"}}
	for _, p := range parts {
		f.Legend = append(f.Legend, LegendKey{p.Key, p.Name})
		span := ""
		if p.Lo >= 0 {
			span = wording.Number(100*p.Lo, 1) + " to " + wording.Number(100*p.Hi, 1) + " %"
		}
		t.Rows = append(t.Rows, []string{p.Name, fmt.Sprint(p.Count), wording.Number(100*p.share(n), 1) + " %", span})
	}
	f.draw(func(w float64) string { return sharesDrawing(title, parts, n, w) })
	f.Tables = []FigureTable{t}
	return f.whole()
}

// share is the part of n prints, 0 to 1.
func (p *SharePart) share(n int) float64 { return float64(p.Count) / float64(max(n, 1)) }

func sharesDrawing(title string, parts []SharePart, n int, w float64) string {
	const left, top, bar = 14.0, 8.0, 30.0
	var g svgText
	g.open("scale", title+"; the table below says the same", w, top+bar+22)
	x, wide := left, w-2*left
	for _, p := range parts {
		if p.Count > 0 {
			g.rect("z-"+p.Key, x, top, wide*p.share(n), bar)
			x += wide * p.share(n)
		}
	}
	g.rect("frame", left, top, wide, bar)
	for k := range 5 {
		at := left + wide*float64(k)/4
		g.line("tick", at, top+bar+1, at, top+bar+5)
		anchor := "middle"
		switch k {
		case 0:
			anchor = "start"
		case 4:
			anchor = "end"
		}
		g.text("rule-n", anchor, at, top+bar+18, fmt.Sprintf("%d %%", 25*k))
	}
	return g.close()
}
