package export

import (
	"fmt"
	"math"
	"strings"

	"feint/internal/mechanism"
	"feint/internal/verdict/wording"
)

// shifts are by how many whole turns a line must be moved to be seen: on a full turn
// it is drawn as often as it takes, one turn apart; what lies beyond the edge is
// clipped.
func (d *sheetDrawing) shifts(line [][2]float64) []float64 {
	if !d.s.Coords[1].Cyclic {
		return []float64{0}
	}
	lo, hi := line[0][1], line[0][1]
	for _, p := range line {
		lo, hi = min(lo, p[1]), max(hi, p[1])
	}
	var out []float64
	turn := 2 * math.Pi
	for k := math.Floor((d.lo[1] - hi) / turn); k*turn+lo <= d.lo[1]+d.size[1]; k++ {
		if k*turn+hi >= d.lo[1] {
			out = append(out, k*turn)
		}
	}
	return out
}

// clipped begins a nested svg, which clips what runs over its edge.
func (d *sheetDrawing) clipped(g *svgText) {
	fmt.Fprintf(&g.b, `<svg x="%s" y="%s" width="%s" height="%s" viewBox="%s %s %s %s">`,
		num(sheetLeft), num(sheetTop), num(sheetW), num(d.h), num(sheetLeft), num(sheetTop), num(sheetW), num(d.h))
}

func (d *sheetDrawing) shifted(line [][2]float64, off float64) [][2]float64 {
	var pts [][2]float64
	for _, p := range line {
		pts = append(pts, [2]float64{d.x(p[1] + off), d.y(p[0])})
	}
	return pts
}

// way draws the way taken.
func (d *sheetDrawing) way(g *svgText, way [][2]float64) {
	if len(way) == 0 {
		return
	}
	shifts := d.shifts(way)
	d.clipped(g)
	for _, off := range shifts {
		g.arrow(d.shifted(way, off), 9)
	}
	g.b.WriteString("</svg>")
	d.numbers(g, way, shifts)
}

// shortName names a shortcut on the drawing.
func shortName(i int) string { return fmt.Sprintf("S%d", i+1) }

// shortcuts draws the ways that leave out a step, dashed, each named where it first
// leaves the way taken.
func (d *sheetDrawing) shortcuts(g *svgText) {
	for i := range d.s.Shortcuts {
		line := d.s.Shortcuts[i].Way
		shifts := d.shifts(line)
		d.clipped(g)
		for _, off := range shifts {
			pts := d.shifted(line, off)
			g.polyline("halo", pts)
			g.polyline("detour", pts)
		}
		g.b.WriteString("</svg>")
		at := d.apart(line, float64(i+1)/float64(len(d.s.Shortcuts)+1))
		for _, off := range shifts {
			if x := d.x(at[1] + off); x >= sheetLeft && x <= sheetLeft+sheetW {
				g.tag(x, d.y(at[0]), shortName(i))
				break
			}
		}
	}
}

// apart is a place on the first stretch of a line that does not lead to a corner of the
// way taken, at a share of its length: names of several lines there do not hide each
// other.
func (d *sheetDrawing) apart(line [][2]float64, share float64) [2]float64 {
	for k := 1; k < len(line); k++ {
		if k >= len(d.s.Way) || line[k] != d.s.Way[k] {
			a, b := line[k-1], line[k]
			return [2]float64{a[0] + share*(b[0]-a[0]), a[1] + share*(b[1]-a[1])}
		}
	}
	return line[len(line)-1]
}

// tag sets a name in a frame with corners.
func (s *svgText) tag(x, y float64, words string) {
	w := 8*float64(len(words)) + 8
	s.rect("disc", x-w/2, y-9, w, 18)
	s.text("disc-n", "middle", x, y+4, words)
}

func (d *sheetDrawing) shortWords(m *mechanism.Mechanism) []sheetShort {
	var out []sheetShort
	for i := range d.s.Shortcuts {
		k := &d.s.Shortcuts[i]
		o := sheetShort{Name: shortName(i), Growth: wording.Growth(k.Growth)}
		if k.Step >= 0 && k.Step < len(m.Steps) {
			o.Step = m.Steps[k.Step].Name
		}
		var at []string
		for _, p := range k.Way[:min(len(k.Way), wayCorners)] {
			at = append(at, d.length(p[0])+" at "+d.angle(p[1]))
		}
		o.Corners = strings.Join(at, "; ")
		out = append(out, o)
	}
	return out
}

// looseWords tells of the loose end what share of the sheet opens only there.
func (d *sheetDrawing) looseWords(share float64) string {
	out := ""
	if share > 0 {
		out = fmt.Sprintf(" Printed loose, at %s a surface, %s %% of it more is free.", wording.Growth(d.s.Growth), wording.Number(100*share, 1))
	}
	switch n := len(d.s.Shortcuts); {
	case n == 1:
		out += " One shortcut runs here otherwise than the way taken; it is dashed."
	case n > 1:
		out += fmt.Sprintf(" %d shortcuts run here otherwise than the way taken; they are dashed.", n)
	}
	return out
}
