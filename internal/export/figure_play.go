package export

import (
	"fmt"
	"math"
	"slices"

	"feint/internal/hands"
	"feint/internal/motion"
	"feint/internal/verdict/wording"
)

// The chart of growth against play, in units of the drawing.
const (
	playLeft  = 96.0
	playRight = 24.0
	playTop   = 30.0
	playRow   = 26.0
	playFoot  = 46.0
)

// beyondBind is by how much more than the fit window the chart shows of tight growths,
// mm: what play may add, and what the maps of the proof leave open there.
const beyondBind = 0.06

// PlayGrowths are the growths at which the chart of d is to be asked: the edges of its
// columns, ascending. They lie off the round numbers in which gaps are drawn.
func PlayGrowths(d *Document) []float64 {
	const columns = 72
	s := newScale(d)
	s.hi += beyondBind
	out := make([]float64, columns+1)
	for i := range out {
		out[i] = s.lo + (s.hi-s.lo)*(float64(i)+0.37)/columns
	}
	return out
}

// band is what is known between two shares of play, in runs of one zone.
type playBand struct {
	lo, hi float64 // share
	runs   []zoneRun
}

// bands of a chart. More growth never opens a way and more play never closes one, so
// what is said of a field holds all over it: that there is a way where one is found at
// its tight edge with its lesser play, and none where none is at its loose edge with
// its greater play.
func playBands(c *motion.PlayChart) []playBand {
	var out []playBand
	for j := 1; j < len(c.Rows); j++ {
		below, above := &c.Rows[j-1], &c.Rows[j]
		b := playBand{lo: below.Share, hi: above.Share}
		for i := 1; i < len(c.Growths); i++ {
			over := func(less, more []motion.Answer) motion.Answer {
				switch {
				case less[i] == motion.Yes:
					return motion.Yes
				case more[i-1] == motion.No:
					return motion.No
				}
				return motion.Undecided
			}
			b.add(c.Growths[i-1], c.Growths[i], playZone(over(below.Opens, above.Opens), over(below.Leaks, above.Leaks)))
		}
		out = append(out, b)
	}
	return out
}

// add takes on the next field of the band.
func (b *playBand) add(lo, hi float64, z zone) {
	if n := len(b.runs); n > 0 && b.runs[n-1].zone == z {
		b.runs[n-1].hi = hi
		return
	}
	b.runs = append(b.runs, zoneRun{lo, hi, z})
}

// directedBands are those of a chart whose fields were asked one by one.
func directedBands(c *hands.PlayChart) []playBand {
	var out []playBand
	for j := range c.Opens {
		b := playBand{lo: c.Shares[j], hi: c.Shares[j+1]}
		for i := range c.Opens[j] {
			b.add(c.Growths[i], c.Growths[i+1], playZone(c.Opens[j][i], c.Leaks[j][i]))
		}
		out = append(out, b)
	}
	return out
}

func playZone(opens, leaks motion.Answer) zone {
	switch {
	case opens == motion.No:
		return stuckZone
	case leaks == motion.Yes:
		return shortcutZone
	case opens == motion.Yes && leaks == motion.No:
		return worksZone
	}
	return unknownZone
}

// playFigure draws where the box works, binds and leaks, growth across and the play
// that is used upwards.
func playFigure(d *Document, c *motion.PlayChart) *Figure {
	return playBandsFigure(d, playBands(c), c.Growths, playChartWords(d)+" Nothing was looked at more closely for this: what the proof left open is not known.")
}

// directedPlayFigure is playFigure where parts fall and are pushed.
func directedPlayFigure(d *Document, c *hands.PlayChart) *Figure {
	words := playChartWords(d) + " Parts of this box fall, are pushed or spring back, so a looser print is not always the easier one."
	if !math.IsInf(c.From, 0) {
		words += fmt.Sprintf(" That it opens is known at the growths at which ways were found, from %s mm on, and taken to hold between them, as in the fit window; looser than that is not drawn.", wording.GrowthNumber(c.From))
	}
	words += " That it is stuck, or leaves out no step, is so all over a field, by the law of motion with the play used for or against the hand; what that leaves open is not known."
	return playBandsFigure(d, directedBands(c), c.Growths, words)
}

func playBandsFigure(d *Document, bs []playBand, growths []float64, words string) *Figure {
	f := &Figure{ID: "play", Title: "Growth against play", Legend: zoneKeys(), Words: words}
	if len(bs) == 0 {
		return nil
	}
	f.draw(func(w float64) string { return playDrawing(d, growths[0], growths[len(growths)-1], bs, w) })
	t := FigureTable{Caption: "The same in numbers, growth in mm a surface, from loose to tight", Heads: []string{"Play used", "the box"}}
	for i := len(bs) - 1; i >= 0; i-- {
		hi := bs[i].hi
		for i > 0 && slices.Equal(bs[i].runs, bs[i-1].runs) { // alike: said once
			i--
		}
		var out []Band
		for _, r := range bs[i].runs {
			out = append(out, Band{r.lo, r.hi, r.zone.String()})
		}
		t.Rows = append(t.Rows, []string{share(bs[i].lo) + " to " + share(hi), bandWords(out)})
	}
	if straight := newScale(d).bands(); len(straight) > 0 {
		t.Rows = append(t.Rows, []string{"none: the fit window", bandWords(straight)})
		f.Words += " " + heldStraight
	}
	f.Tables = []FigureTable{t}
	return f.whole()
}

// heldStraight explains why a field beside the fit window may say less than it.
const heldStraight = "Used not at all, it is the fit window: there the limits were closed in on, and so more is known, as the last line of the table says. A field says stuck only where all of its play does not help either, since a part that is pushed aside may slip past what stops it when held straight; so between the bind of the fit window and the fields that say stuck nothing is promised."

func share(v float64) string { return trimmed(100*v) + " %" }

func playChartWords(d *Document) string {
	out := "Across: how far every printed surface stands proud of the drawing. Upwards: how much of the play of the guides is used to push parts about, towards the goal and past steps alike."
	most := -1
	for i := range d.Play {
		if most < 0 || d.Play[i].Side > d.Play[most].Side {
			most = i
		}
	}
	if most >= 0 {
		out += fmt.Sprintf(" All of it is, as drawn, up to %s mm sideways (%s).", wording.Number(d.Play[most].Side, 2), wording.Name(d.Play[most].Part))
	}
	return out
}

// playDrawing draws the bands from growth lo to hi, w wide.
func playDrawing(d *Document, lo, hi float64, bs []playBand, w float64) string {
	high := playRow * float64(len(bs))
	x := func(g float64) float64 { return playLeft + (g-lo)/(hi-lo)*(w-playLeft-playRight) }
	y := func(share float64) float64 { return playTop + high*(1-share) }
	var g svgText
	g.open("scale", "Growth against play; the table below says the same", w, playTop+high+playFoot)
	for _, b := range bs {
		for _, r := range b.runs {
			g.rect(zoneClass(r.zone), x(r.lo), y(b.hi), x(r.hi)-x(r.lo), y(b.lo)-y(b.hi))
		}
	}
	g.rect("frame", x(lo), playTop, x(hi)-x(lo), high)
	for _, s := range []float64{0, 0.5, 1} {
		g.line("tick", playLeft-5, y(s), playLeft, y(s))
		g.text("rule-n", "end", playLeft-8, y(s)+4, share(s))
	}
	g.text("rule-n", "end", playLeft-8, y(0.25)+4, "play used")
	foot := playTop + high
	from := max(lo, d.Growth.Lo)
	g.polyline("asked", [][2]float64{{x(from), foot + 3}, {x(from), foot + 8}, {x(d.Growth.Hi), foot + 8}, {x(d.Growth.Hi), foot + 3}})
	if lo <= 0 {
		g.line("drawn", x(0), playTop-6, x(0), foot+8)
		g.text("drawn-n", "middle", x(0), playTop-10, "drawn")
	}
	for _, t := range ticks(lo, hi, w-playLeft-playRight) {
		g.line("tick", x(t), foot+10, x(t), foot+15)
		g.text("rule-n", "middle", x(t), foot+28, wording.GrowthNumber(t))
	}
	g.text("rule-n", "end", w-playRight, foot+42, "growth, mm")
	return g.close()
}
