package export

import (
	"fmt"
	"math"
	"strings"

	"feint/internal/verdict/wording"
)

// Printer is a printer of the workshop as the fit window needs it.
type Printer struct {
	Name  string
	From  string   // where what is known of it comes from
	Mean  *float64 // growth in plane, mm a surface; nil if nothing was measured
	Sigma float64  // its standard deviation, from print to print and between features
}

// printerRow is a printer on the scale.
const (
	printerRow  = 30.0
	printerWide = 2 // standard deviations either side of the mean that are drawn
)

// standing is how a printer stands in the fit window.
type standing struct {
	*Printer
	lo, hi float64
	at     zone   // at its mean
	over   []zone // what lies between lo and hi, each once, from loose to tight
}

func (s *scale) stands(ps []Printer) []standing {
	var out []standing
	for i := range ps {
		k := standing{Printer: &ps[i]}
		if m := ps[i].Mean; m != nil {
			w := printerWide * ps[i].Sigma
			k.lo, k.hi, k.at = *m-w, *m+w, s.at(*m)
			k.over = s.over(k.lo, k.hi)
		}
		out = append(out, k)
	}
	return out
}

// over lists the zones from lo to hi, each once; what lies off the scale is as at
// its end.
func (s *scale) over(lo, hi float64) []zone {
	var out []zone
	add := func(z zone) {
		for _, k := range out {
			if k == z {
				return
			}
		}
		out = append(out, z)
	}
	if lo < s.lo {
		add(s.at(lo))
	}
	for _, r := range s.runs() {
		if r.hi > lo && r.lo < hi || lo == hi && r.lo <= lo && lo <= r.hi {
			add(r.zone)
		}
	}
	if hi > s.hi {
		add(s.at(hi))
	}
	return out
}

// reach widens the scale to the means of the printers, but no further than it could
// be read.
func (s *scale) reach(ps []Printer) {
	const most = 0.3
	for i := range ps {
		if m := ps[i].Mean; m != nil && math.Abs(*m) <= most {
			s.lo, s.hi = min(s.lo, *m-0.02), max(s.hi, *m+0.02)
		}
	}
}

// printers draws a row for every printer of which something is known: a line over
// its usual growths, a dot at the mean, arrows where it runs off.
func (s *svgText) printers(sc *scale, ks []standing, x func(float64) float64, y float64) {
	for _, k := range ks {
		if k.Mean == nil {
			continue
		}
		s.text("", "start", x(sc.lo), y, k.Name)
		line := y + 11
		a, b := max(k.lo, sc.lo), min(k.hi, sc.hi)
		if a < b {
			s.line("limit", x(a), line, x(b), line)
			s.end(x(a), line, k.lo < sc.lo, -1)
			s.end(x(b), line, k.hi > sc.hi, 1)
		}
		if m := *k.Mean; m >= sc.lo && m <= sc.hi {
			s.circle("mean", x(m), line, 5)
		}
		y += printerRow
	}
}

// end closes a line with a bar, or with an arrow where it runs on.
func (s *svgText) end(x, y float64, on bool, way float64) {
	if on {
		s.polyline("asked", [][2]float64{{x - 6*way, y - 5}, {x, y}, {x - 6*way, y + 5}})
		return
	}
	s.line("limit", x, y-5, x, y+5)
}

// printerTable says the same.
func printerTable(ks []standing) FigureTable {
	t := FigureTable{
		Caption: "The printers of this workshop on the scale: growth in plane, mm a surface, at its mean and twice the standard deviation either side",
		Heads:   []string{"Printer", "usual growth", "at its mean the box", "over its usual growths", "known from"},
	}
	for _, k := range ks {
		if k.Mean == nil {
			t.Rows = append(t.Rows, []string{k.Name, "not measured", "not known", "not known", k.From})
			continue
		}
		t.Rows = append(t.Rows, []string{
			k.Name, fmt.Sprintf("%s (%s to %s)", wording.GrowthNumber(*k.Mean), wording.GrowthNumber(k.lo), wording.GrowthNumber(k.hi)),
			k.at.String(), zoneWords(k.over), k.From,
		})
	}
	return t
}

// zoneWords lists zones as what the box does.
func zoneWords(zs []zone) string {
	if len(zs) == 1 {
		return zs[0].String() + " throughout"
	}
	var w []string
	for _, z := range zs {
		w = append(w, z.String())
	}
	return wording.List(w)
}

// ScaleFigure is the fit window as a scale with printers on it.
func ScaleFigure(d *Document, ps []Printer) *Figure {
	s := newScale(d)
	s.reach(ps)
	ks := s.stands(ps)
	f := &Figure{ID: "scale", Title: "Fit window", Legend: zoneKeys(), Words: strings.TrimSpace(bandSentence(s.bands()) + " " + confirmedWords(d)), Tables: []FigureTable{limitTable(d)}}
	f.draw(func(w float64) string { return scaleDrawing(s, ks, w) })
	if len(ks) > 0 {
		f.Tables = append(f.Tables, printerTable(ks))
	}
	return f.whole()
}

func bandSentence(bs []Band) string {
	return "From loose to tight: " + bandWords(bs) + "."
}

func limitTable(d *Document) FigureTable {
	t := FigureTable{Caption: "The limits in numbers, mm", Heads: []string{"Limit", "a side", "across", "meaning"}}
	for _, r := range fitRows(d) {
		t.Rows = append(t.Rows, []string{r.Name, plusMinus(r.Side), plusMinus(r.Across), r.Means})
	}
	return t
}
