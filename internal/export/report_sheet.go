package export

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"feint/internal/clearance"
	"feint/internal/mechanism"
	"feint/internal/motion"
	"feint/internal/units"
	"feint/internal/verdict/wording"
)

// A sheet is drawn with the angle across and the length upwards. Sizes in units
// of the drawing.
const (
	sheetW     = 640 // of the map itself
	sheetMinH  = 180
	sheetMaxH  = 460
	sheetLeft  = 72
	sheetTop   = 14
	sheetRight = 18
	sheetFoot  = 46
	armDepth   = 22 // a blind arm shorter than a letter with its disc is not marked
	wayCorners = 99 // numbers of two digits fit a disc
)

// sheetView is a sheet as the report shows it.
type sheetView struct {
	Title   string
	Drawing template.HTML
	Words   string
	Corners []sheetCorner
	Arms    []sheetArm
	Short   []sheetShort
	Along   string // heading of the two columns of numbers
	Round   string
	Blank   bool // nothing to draw
}

type sheetCorner struct {
	N            int
	Along, Round string
}

type sheetArm struct {
	Letter                 string
	EndAlong, EndRound     string
	LeaveAlong, LeaveRound string
}

// sheetShort is a way that leaves out a step.
type sheetShort struct {
	Name, Step, Growth, Corners string
}

// sheetDrawing places a sheet on its drawing.
type sheetDrawing struct {
	s    *motion.Sheet
	g    *sheetGrid
	h    float64
	lo   [2]float64 // along, round
	size [2]float64
}

func newSheetView(m *mechanism.Mechanism, s *motion.Sheet) sheetView {
	v := sheetView{
		Title: fmt.Sprintf("%s in %s", wording.Part(m, s.A), wording.Part(m, s.B)),
		Along: coordWords(m, &s.Coords[0]), Round: coordWords(m, &s.Coords[1]),
	}
	g, ok := newSheetGrid(s)
	if !ok {
		v.Blank = true
		return v
	}
	d := &sheetDrawing{s: s, g: g, lo: [2]float64{g.ys[0], g.xs[0]}}
	d.size = [2]float64{g.ys[g.rows()] - d.lo[0], g.xs[g.cols()] - d.lo[1]}
	// As if unrolled from a cylinder of 20 mm radius: true proportions are not
	// known here, and a map that can be read matters more.
	d.h = min(sheetMaxH, max(sheetMinH, sheetW*d.size[0]/(20*d.size[1])))
	dx, dy := d.steps()
	arms := g.arms(dx, dy, armDepth)
	corners := wayPoints(s)
	v.Corners = d.cornerWords(corners)
	v.Arms = d.armWords(arms)
	v.Short = d.shortWords(m)
	v.Words = d.words(m, arms)
	v.Drawing = d.draw(v.Title, v.Along, v.Round, corners, arms)
	return v
}

// coordWords names a coordinate by its travels: "key rod turn - gallery turn".
func coordWords(m *mechanism.Mechanism, c *clearance.Coord) string {
	var b strings.Builder
	for i, j := range c.Terms {
		switch {
		case i > 0 && j.Sign < 0:
			b.WriteString(" less ")
		case i > 0:
			b.WriteString(" plus ")
		case j.Sign < 0:
			b.WriteString("minus ")
		}
		t := &m.Travels[j.Travel]
		b.WriteString(wording.Part(m, t.Part) + " " + wording.Name(t.Name))
	}
	unit := "mm"
	if c.Angle {
		unit = "deg"
	}
	return b.String() + ", " + unit
}

func (d *sheetDrawing) x(a float64) float64 { return sheetLeft + sheetW*(a-d.lo[1])/d.size[1] }
func (d *sheetDrawing) y(z float64) float64 { return sheetTop + d.h*(1-(z-d.lo[0])/d.size[0]) }

// steps are the widths of the columns and the heights of the rows in the drawing.
func (d *sheetDrawing) steps() (dx, dy []float64) {
	for i := range d.g.cols() {
		dx = append(dx, d.x(d.g.xs[i+1])-d.x(d.g.xs[i]))
	}
	for i := range d.g.rows() {
		dy = append(dy, d.y(d.g.ys[i])-d.y(d.g.ys[i+1]))
	}
	return dx, dy
}

// wayPoints are the corners of the way, without repeats.
func wayPoints(s *motion.Sheet) [][2]float64 {
	var out [][2]float64
	for _, p := range s.Way {
		if n := len(out); n == 0 || math.Abs(out[n-1][0]-p[0]) > 1e-6 || math.Abs(out[n-1][1]-p[1]) > 1e-6 {
			out = append(out, p)
		}
	}
	return out
}

// length and angle write the coordinates for a person.
func (d *sheetDrawing) length(z float64) string { return wording.Number(z, 1) }

func (d *sheetDrawing) angle(a float64) string {
	if d.s.Coords[1].Cyclic {
		a = math.Mod(math.Mod(a, 2*math.Pi)+2*math.Pi, 2*math.Pi)
	}
	return wording.Number(units.Deg(a), 1)
}

func (d *sheetDrawing) cornerWords(c [][2]float64) []sheetCorner {
	var out []sheetCorner
	for i, p := range c {
		out = append(out, sheetCorner{i + 1, d.length(p[0]), d.angle(p[1])})
	}
	return out
}

func (d *sheetDrawing) armWords(arms []arm) []sheetArm {
	var out []sheetArm
	for i, a := range arms {
		ex, ey := d.middle(a.x, a.y)
		lx, ly := d.middle(a.fromX, a.fromY)
		out = append(out, sheetArm{armLetter(i), d.length(ey), d.angle(ex), d.length(ly), d.angle(lx)})
	}
	return out
}

func armLetter(i int) string { return string(rune('A' + i)) }

// middle is the middle of a place of the grid.
func (d *sheetDrawing) middle(x, y int) (a, z float64) {
	return (d.g.xs[x] + d.g.xs[x+1]) / 2, (d.g.ys[y] + d.g.ys[y+1]) / 2
}

// words says what the drawing shows.
func (d *sheetDrawing) words(m *mechanism.Mechanism, arms []arm) string {
	s := d.g.shares()
	pct := func(v float64) string { return wording.Number(100*v, 1) + " %" }
	out := fmt.Sprintf("Seen unrolled, %s can be reached in %s of the sheet; %s is free but out of reach, %s blocked, %s not known.",
		wording.Part(m, d.s.A), pct(s[groundReach]), pct(s[groundFree]), pct(s[groundBlocked]+s[groundNone]), pct(s[groundUndecided]))
	switch {
	case len(d.s.Way) == 0:
		out += " No way is drawn."
	default:
		out += fmt.Sprintf(" The way taken has %s, numbered in its order.", wording.Count(len(wayPoints(d.s)), "corner"))
	}
	if len(arms) > 0 {
		out += fmt.Sprintf(" %s can be entered that lead no further on this way.", wording.Count(len(arms), "blind arm"))
	} else if len(d.s.Way) > 0 {
		out += " There is no blind arm long enough to mark."
	}
	return out + d.looseWords(s[groundLoose])
}

func (d *sheetDrawing) draw(title, along, round string, way [][2]float64, arms []arm) template.HTML {
	var g svgText
	g.open("sheet", "Unrolled map of "+title+"; the text beside says the same", sheetLeft+sheetW+sheetRight, sheetTop+d.h+sheetFoot)
	for _, k := range []struct {
		ground
		class string
	}{{groundNone, "g-blocked"}, {groundBlocked, "g-blocked"}, {groundUndecided, "g-undecided"}, {groundLoose, "g-loose"}, {groundFree, "g-free"}, {groundReach, "g-reach"}} {
		g.loops(k.class, d.place(d.g.outline(k.ground)))
	}
	g.rect("frame", sheetLeft, sheetTop, sheetW, d.h)
	d.axes(&g, along, round)
	d.shortcuts(&g)
	d.way(&g, way)
	for i, a := range arms {
		x, z := d.middle(a.x, a.y)
		g.circle("arm", d.x(x), d.y(z), 9)
		g.text("arm-n", "middle", d.x(x), d.y(z)+4, armLetter(i))
	}
	return template.HTML(g.close()) //nolint:gosec // built from numbers and escaped words
}

func (d *sheetDrawing) place(loops [][][2]int) [][][2]float64 {
	out := make([][][2]float64, len(loops))
	for i, l := range loops {
		for _, p := range l {
			out[i] = append(out[i], [2]float64{d.x(d.g.xs[p[0]]), d.y(d.g.ys[p[1]])})
		}
	}
	return out
}

// beside is how far the numbers stand off the edge: the number of a corner may lie on it.
const beside = 18

// axes writes the numbers at the edges, clear of the numbers of corners on them.
func (d *sheetDrawing) axes(g *svgText, along, round string) {
	bottom := sheetTop + d.h
	for _, t := range niceTicks(units.Deg(d.lo[1]), units.Deg(d.lo[1]+d.size[1]), []float64{15, 30, 45, 60, 90}, 12) {
		x := d.x(units.Rad(t))
		g.line("tick", x, bottom, x, bottom+5)
		g.text("rule-n", "middle", x, bottom+21, wording.Number(t, 0))
	}
	for _, t := range niceTicks(d.lo[0], d.lo[0]+d.size[0], []float64{1, 2, 5, 10, 20, 50, 100}, 9) {
		g.line("tick", sheetLeft-5, d.y(t), sheetLeft, d.y(t))
		g.text("rule-n", "end", sheetLeft-beside, d.y(t)+4, wording.Number(t, 0))
	}
	g.text("rule-n", "middle", sheetLeft+sheetW/2, bottom+36, round)
	fmt.Fprintf(&g.b, `<g transform="rotate(-90 14 %s)">`, num(sheetTop+d.h/2))
	g.text("rule-n", "middle", 14, sheetTop+d.h/2, along)
	g.b.WriteString("</g>")
}

// niceTicks are the multiples from lo to hi of the first step that gives no more
// than most of them.
func niceTicks(lo, hi float64, steps []float64, most int) []float64 {
	step := steps[len(steps)-1]
	for _, s := range steps {
		if (hi-lo)/s <= float64(most) {
			step = s
			break
		}
	}
	var out []float64
	for k := math.Ceil(lo/step - 1e-9); k*step <= hi+1e-9; k++ {
		out = append(out, k*step)
	}
	return out
}

// numbers sets the corners' numbers, corners that are too near one another in
// one disc.
func (d *sheetDrawing) numbers(g *svgText, way [][2]float64, shifts []float64) {
	type disc struct {
		x, y float64
		n    string
	}
	var discs []disc
	for i, p := range way[:min(len(way), wayCorners)] {
		for _, off := range shifts {
			x, y := d.x(p[1]+off), d.y(p[0])
			if x < sheetLeft-1 || x > sheetLeft+sheetW+1 {
				continue
			}
			near := false
			for k := range discs {
				if math.Hypot(discs[k].x-x, discs[k].y-y) < 15 {
					discs[k].n += "," + fmt.Sprint(i+1)
					near = true
					break
				}
			}
			if !near {
				discs = append(discs, disc{x, y, fmt.Sprint(i + 1)})
			}
			break
		}
	}
	for _, k := range discs {
		g.label(k.x, k.y, k.n)
	}
}

// label is numbered for words of any length.
func (s *svgText) label(x, y float64, words string) {
	if len(words) <= 2 {
		s.numbered(x, y, 9, words)
		return
	}
	w := 7*float64(len(words)) + 8
	fmt.Fprintf(&s.b, `<rect class="disc" x="%s" y="%s" width="%s" height="18" rx="9"/>`, num(x-w/2), num(y-9), num(w))
	s.text("disc-n", "middle", x, y+4, words)
}
