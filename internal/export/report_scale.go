package export

import (
	"feint/internal/verdict/wording"
)

// The fit window as a drawing: a bar of zones over two rules, mm a side and mm
// across. Lengths in units of the drawing.
const (
	scaleLeft = 78
	scaleEnd  = 20
	scaleTop  = 46
	scaleBar  = 34
	scaleH    = 128
)

// zoneClass names the style of a zone; each has a pattern beside its colour.
func zoneClass(z zone) string { return [...]string{"z-unknown", "z-works", "z-short", "z-stuck"}[z] }

func scaleDrawing(s *scale, printers []standing, w float64) string {
	known := 0
	for _, k := range printers {
		if k.Mean != nil {
			known++
		}
	}
	var g svgText
	g.open("scale", "Fit window; the table below says the same", w, scaleH+printerRow*float64(known))
	x := func(v float64) float64 { return scaleLeft + s.share(v)*(w-scaleLeft-scaleEnd) }
	for _, r := range s.runs() {
		g.rect(zoneClass(r.zone), x(r.lo), scaleTop, x(r.hi)-x(r.lo), scaleBar)
	}
	g.rect("frame", x(s.lo), scaleTop, x(s.hi)-x(s.lo), scaleBar)
	// What was asked: a bracket below the bar.
	y := float64(scaleTop + scaleBar + 8)
	g.polyline("asked", [][2]float64{{x(s.asked.Lo), y - 5}, {x(s.asked.Lo), y}, {x(s.asked.Hi), y}, {x(s.asked.Hi), y - 5}})
	g.line("drawn", x(0), scaleTop-6, x(0), scaleTop+scaleBar+8)
	g.limits(s, x, w)
	g.rules(s, x, y, w)
	g.printers(s, printers, x, scaleH+14)
	return g.close()
}

// limits names leak and bind above the bar.
func (s *svgText) limits(sc *scale, x func(float64) float64, w float64) {
	leak, bind := sc.fit.Leak, sc.fit.Bind
	low, high := "end", "start"
	if leak != nil && bind != nil && *leak > *bind {
		low, high = high, low
	}
	const letter = 7.6 // at most, of the words at a limit
	taken := 0.0       // up to where there are words already
	put := func(v *float64, anchor, word string) {
		if v == nil {
			return
		}
		s.line("limit", x(*v), scaleTop-22, x(*v), scaleTop+scaleBar)
		at := x(*v)
		// a word of 90 units must not run off the drawing
		if anchor == "end" && at < 90 {
			anchor = "start"
		}
		if anchor == "start" && at > w-90 {
			anchor = "end"
		}
		if anchor == "end" { // apart where leak and bind meet
			at -= 4
		} else {
			at += 4
		}
		words := word + " " + wording.GrowthNumber(*v)
		if anchor == "start" {
			at = max(at, taken+4)
			taken = at + letter*float64(len(words))
		}
		s.text("limit-n", anchor, at, scaleTop-28, words)
	}
	put(leak, low, "leak")
	put(bind, high, "bind")
	s.text("drawn-n", "middle", x(0), scaleTop-10, "drawn")
}

// rules writes two rows of numbers below the bar, per side and across.
func (s *svgText) rules(sc *scale, x func(float64) float64, y, w float64) {
	s.text("rule-n", "end", scaleLeft-26, y+19, "a side")
	s.text("rule-n", "end", scaleLeft-26, y+36, "across")
	for _, t := range ticks(sc.lo, sc.hi, w-scaleLeft-scaleEnd) {
		s.line("tick", x(t), y+2, x(t), y+7)
		s.text("rule-n", "middle", x(t), y+19, wording.GrowthNumber(t))
	}
	for _, t := range ticks(sc.lo, sc.hi, w-scaleLeft-scaleEnd) {
		s.text("rule-n", "middle", x(t), y+36, wording.GrowthNumber(2*t))
	}
}

// ticks are the multiples of 0.05 mm from lo to hi on a rule w wide, of more where their
// numbers would come too near each other.
func ticks(lo, hi, w float64) []float64 {
	const room = 48 // of a number
	step := 0.05
	for (hi-lo)/step > w/room {
		step *= 2
	}
	var out []float64
	for k := int(lo/step) - 1; float64(k)*step <= hi; k++ {
		if v := float64(k) * step; v >= lo {
			out = append(out, v)
		}
	}
	return out
}

// zoneRun is a stretch of growth of one zone.
type zoneRun struct {
	lo, hi float64
	zone   zone
}

// runs cuts the scale into stretches of one zone, at the points where a zone can
// change.
func (s *scale) runs() []zoneRun {
	cuts := []float64{s.lo, s.hi}
	for _, l := range []*LimitInfo{s.fit.LeakLimit, s.fit.BindLimit} {
		if l == nil {
			continue
		}
		for _, v := range []*float64{l.Lo, l.Hi} {
			if v != nil {
				cuts = append(cuts, *v)
			}
		}
	}
	cuts = append(cuts, s.opens, s.sound)
	cuts = within(cuts, s.lo, s.hi)
	var out []zoneRun
	for i := 1; i < len(cuts); i++ {
		z := s.at((cuts[i-1] + cuts[i]) / 2)
		if n := len(out); n > 0 && out[n-1].zone == z {
			out[n-1].hi = cuts[i]
			continue
		}
		out = append(out, zoneRun{cuts[i-1], cuts[i], z})
	}
	return out
}
