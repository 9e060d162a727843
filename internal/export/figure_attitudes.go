package export

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"feint/internal/hands"
	"feint/internal/motion"
	"feint/internal/units"
	"feint/internal/verdict/wording"
)

// The sphere of attitudes as two discs, that of the attitudes nearer upright and that
// of those nearer upside down, in Lambert's equal-area projection (J. H. Lambert, 1772):
// equal areas of the discs are equal shares of all attitudes. Units of the drawing.
const (
	discR    = 145.0
	discGap  = 66.0
	discTop  = 44.0
	discSlim = 138.0 // the radius in a narrow window
)

// attitudeKind is what gravity alone does in an attitude.
type attitudeKind uint8

const (
	attitudeHolds attitudeKind = iota
	attitudeMay
	attitudeRuns
	attitudeOpens
)

func (k attitudeKind) String() string {
	return [...]string{"nothing runs", "something may run", "something runs", "it may open"}[k]
}

func kindOf(a *hands.Attitude) attitudeKind {
	switch {
	case a.Opens != motion.No:
		return attitudeOpens
	case len(a.Sure) > 0:
		return attitudeRuns
	case len(a.Loose) > 0:
		return attitudeMay
	}
	return attitudeHolds
}

// attitudesFigure draws what runs by which way the ground lies; the first six of as are
// the faces of load.Faces, the rest even shares of the sphere.
func (b *builder) attitudesFigure(as []hands.Attitude, growth float64) *Figure {
	faces, rest := as[:min(6, len(as))], as[min(6, len(as)):]
	if len(rest) == 0 {
		return nil
	}
	f := &Figure{ID: "attitudes", Title: "Attitudes"}
	f.draw(func(w float64) string { return attitudesDrawing(rest, w) })
	f.Legend = []LegendKey{{"aholds", attitudeHolds.String()}, {"amay", attitudeMay.String()}, {"aruns", attitudeRuns.String()}, {"aopens", attitudeOpens.String()}}
	share := map[attitudeKind]int{}
	for i := range rest {
		share[kindOf(&rest[i])]++
	}
	var w []string
	for k := attitudeHolds; k <= attitudeOpens; k++ {
		w = append(w, fmt.Sprintf("%s in %s %%", k, wording.Number(100*float64(share[k])/float64(len(rest)), 1)))
	}
	f.Words = fmt.Sprintf("What gravity alone does to the box at the start, printed loose (%s a surface), in every attitude; nothing is held by hand. The middle of the left disc is the box upright, its rim the box on its side, the middle of the right disc upside down; letters name the side of the box that is below. Of all attitudes: %s. Friction is from tables, so this is an estimate.",
		wording.Growth(growth), wording.List(w))
	f.Tables = []FigureTable{b.faceTable(faces), b.runTable(rest)}
	return f.whole()
}

func (b *builder) faceTable(faces []hands.Attitude) FigureTable {
	t := FigureTable{Caption: "The box standing on each side", Heads: []string{"Below is", "what happens", "runs", "may run"}}
	for i, n := range []string{"the bottom (-z), upright", "the top (+z)", "-x", "+x", "-y", "+y"} {
		if i < len(faces) {
			a := &faces[i]
			t.Rows = append(t.Rows, []string{n, kindOf(a).String(), b.travelList(a.Sure), b.travelList(maybe(a))})
		}
	}
	return t
}

// maybe are the travels that may run but need not.
func maybe(a *hands.Attitude) []int {
	var out []int
	for _, t := range a.Loose {
		if !slices.Contains(a.Sure, t) {
			out = append(out, t)
		}
	}
	return out
}

func (b *builder) travelList(ts []int) string {
	if len(ts) == 0 {
		return "nothing"
	}
	var w []string
	for _, t := range ts {
		w = append(w, wording.Name(b.travel(t)))
	}
	return strings.Join(w, ", ")
}

// runTable tells of every travel in what share of the attitudes it runs, and how far the
// box must be tilted from upright, by the directions looked at.
func (b *builder) runTable(as []hands.Attitude) FigureTable {
	t := FigureTable{Caption: "Every travel: in what share of all attitudes it runs, and how far from upright the nearest of them is", Heads: []string{"Travel", "runs in", "may run in", "least tilt at which it may"}}
	for k := range b.m.Travels {
		sure, may, least := 0, 0, math.Inf(1)
		for i := range as {
			if slices.Contains(as[i].Sure, k) {
				sure++
			}
			if slices.Contains(as[i].Loose, k) {
				may++
				least = min(least, math.Acos(max(-1, min(1, -as[i].Down.Z))))
			}
		}
		tilt := "nowhere"
		if may > 0 {
			tilt = wording.Number(units.Deg(least), 0) + " deg"
		}
		pct := func(n int) string { return wording.Number(100*float64(n)/float64(len(as)), 1) + " %" }
		t.Rows = append(t.Rows, []string{wording.Name(b.travel(k)), pct(sure), pct(may), tilt})
	}
	return t
}

// onDisc is where a direction of gravity lies: which disc, and from its middle, in
// radii. The middle of disc 0 is -z, of disc 1 +z; +x is to the right in both.
func onDisc(x, y, z float64) (disc int, u, v float64) {
	h := math.Abs(z)
	if z > 0 {
		disc = 1
	}
	side := math.Hypot(x, y)
	if side == 0 {
		return disc, 0, 0
	}
	r := math.Sqrt(1 - min(1, h)) // equal area: a cap of height 1-h takes the share 1-h of a hemisphere
	return disc, r * x / side, r * y / side
}

// attitudesDrawing draws the discs beside each other, in a narrow window one above the other.
func attitudesDrawing(as []hands.Attitude, w float64) string {
	r := discR
	if w < wideW {
		r = discSlim
	}
	high := discTop + 2*r + 24
	var g svgText
	cx, cy := [2]float64{w/2 - discGap/2 - r, w/2 + discGap/2 + r}, [2]float64{discTop + r, discTop + r}
	all := high
	if w < wideW {
		cx, cy[1], all = [2]float64{w / 2, w / 2}, high+discTop+r, 2*high
	}
	g.open("scale", "Attitudes; the tables below say the same", w, all)
	for i, n := range []string{"upright in the middle", "upside down in the middle"} {
		g.circle("frame", cx[i], cy[i], r+6)
		g.text("", "middle", cx[i], cy[i]-r-30, n)
		g.text("rule-n", "start", cx[i]+r+9, cy[i]+4, "+x")
		g.text("rule-n", "end", cx[i]-r-9, cy[i]+4, "-x")
		g.text("rule-n", "middle", cx[i], cy[i]-r-9, "+y")
		g.text("rule-n", "middle", cx[i], cy[i]+r+18, "-y")
	}
	for i := range as {
		d := as[i].Down
		k, u, v := onDisc(d.X, d.Y, d.Z)
		x, y := cx[k]+r*u, cy[k]-r*v
		g.attitude(kindOf(&as[i]), x, y)
	}
	return g.close()
}

// attitude marks one: each kind a shape of its own.
func (s *svgText) attitude(k attitudeKind, x, y float64) {
	switch k {
	case attitudeHolds:
		s.circle("a-holds", x, y, 1.6)
	case attitudeMay:
		s.circle("a-may", x, y, 3.4)
	case attitudeRuns:
		s.circle("a-runs", x, y, 4)
	case attitudeOpens:
		s.line("a-opens", x-4, y-4, x+4, y+4)
		s.line("a-opens", x-4, y+4, x+4, y-4)
	}
}
