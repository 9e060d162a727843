package export

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"feint/internal/forces/load"
	"feint/internal/hands"
	"feint/internal/motion"
	"feint/internal/units"
	"feint/internal/verdict"
	"feint/internal/verdict/sample"
)

// shape is an element of a drawing.
type shape struct {
	kind, class, text string
	at                map[string]float64
	points            [][2]float64
}

// points reads those of a polyline.
func points(t *testing.T, words string) (out [][2]float64) {
	t.Helper()
	for _, w := range strings.Fields(words) {
		var p [2]float64
		if _, err := fmt.Sscanf(w, "%g,%g", &p[0], &p[1]); err != nil {
			t.Fatalf("point %q: %v", w, err)
		}
		out = append(out, p)
	}
	return out
}

// shapes reads a drawing with the XML reader of the standard library.
func shapes(t *testing.T, svg string) []shape {
	t.Helper()
	var out []shape
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		k, err := d.Token()
		if errors.Is(err, io.EOF) {
			return out
		}
		if err != nil {
			t.Fatal(err)
		}
		switch e := k.(type) {
		case xml.StartElement:
			s := shape{kind: e.Name.Local, at: map[string]float64{}}
			for _, a := range e.Attr {
				if a.Name.Local == "class" {
					s.class = a.Value
				} else if a.Name.Local == "points" {
					s.points = points(t, a.Value)
				} else if v, err := strconv.ParseFloat(a.Value, 64); err == nil {
					s.at[a.Name.Local] = v
				}
			}
			out = append(out, s)
		case xml.CharData:
			if len(out) > 0 {
				out[len(out)-1].text += string(e)
			}
		}
	}
}

func sampleDocument(t *testing.T) (*Document, *motion.Result) {
	t.Helper()
	m, r := sample.Mechanism(), sample.Result()
	return NewDocument(m, r, verdict.Judge(m, r, verdict.Evidence{Checked: true}), Info{}), r
}

// ruler reads the growth that a place across stands for off two numbers of the rule.
func ruler(t *testing.T, ss []shape) func(x float64) float64 {
	t.Helper()
	at := map[string]float64{}
	for _, s := range ss {
		if _, ok := at[s.text]; s.kind == "text" && !ok {
			at[s.text] = s.at["x"]
		}
	}
	lo, hi := at["-0.05"], at["+0.05"]
	if lo == 0 || hi <= lo {
		t.Fatalf("the rule lacks its numbers: %v", at)
	}
	return func(x float64) float64 { return -0.05 + 0.1*(x-lo)/(hi-lo) }
}

// near is a tenth of a unit of the drawing, to which places are written, in mm: the
// sample's scale has some 0.4 mm over 600 units.
const near = 1e-4

// TestPrintersOnScale: a printer's dot stands at its mean and its line from two
// standard deviations below to two above, by the rule's own numbers.
func TestPrintersOnScale(t *testing.T) {
	d, _ := sampleDocument(t)
	mean, far := 0.021, 0.09
	f := ScaleFigure(d, []Printer{{Name: "kitchen", Mean: &mean, Sigma: 0.013}, {Name: "shed", Mean: &far, Sigma: 0.04}, {Name: "loft", From: "nothing"}})
	ss := shapes(t, f.SVG)
	growth := ruler(t, ss)
	var dots []float64
	lines := map[string]bool{}
	for _, s := range ss {
		switch {
		case s.class == "mean":
			dots = append(dots, growth(s.at["cx"]))
		case s.class == "limit" && s.at["y1"] == s.at["y2"]:
			lines[strconv.FormatFloat(growth(s.at["x1"]), 'f', 3, 64)+" "+strconv.FormatFloat(growth(s.at["x2"]), 'f', 3, 64)] = true
		}
	}
	if len(dots) != 2 || math.Abs(dots[0]-mean) > 2*near || math.Abs(dots[1]-far) > 2*near {
		t.Errorf("dots at %v, want %g and %g", dots, mean, far)
	}
	if !lines["-0.005 0.047"] {
		t.Errorf("lines %v, want one from -0.005 to 0.047", lines)
	}
	rows := f.Tables[1].Rows
	if len(rows) != 3 || rows[0][2] != "works as meant" || rows[0][3] != "works as meant throughout" {
		t.Errorf("in words: %q", rows)
	}
	// the sample binds between 0.1 and 0.11: 0.09 +- 0.08 works, is not known and is stuck
	if rows[1][3] != "works as meant, not known and is stuck" || rows[2][1] != "not measured" {
		t.Errorf("in words: %q", rows)
	}
}

// TestPlayBands: where there is a way up to g = 0.08 + 0.05 f and a step can be left
// out up to g = -0.06 + 0.04 f (closed forms), no field says otherwise anywhere within
// it, and what is left open is no wider than a column and the slope over a row.
func TestPlayBands(t *testing.T) {
	bind := func(f float64) float64 { return 0.08 + 0.05*f }
	leak := func(f float64) float64 { return -0.06 + 0.04*f }
	d, _ := sampleDocument(t)
	c := &motion.PlayChart{Growths: PlayGrowths(d)}
	yes := func(is bool) motion.Answer {
		if is {
			return motion.Yes
		}
		return motion.No
	}
	for _, f := range motion.Shares(8) {
		r := motion.PlayRow{Share: f}
		for _, g := range c.Growths {
			r.Opens, r.Leaks = append(r.Opens, yes(g <= bind(f))), append(r.Leaks, yes(g <= leak(f)))
		}
		c.Rows = append(c.Rows, r)
	}
	column := c.Growths[1] - c.Growths[0]
	bs := playBands(c)
	for _, b := range bs {
		open := 0.0
		for _, r := range b.runs {
			if r.zone == unknownZone {
				open += r.hi - r.lo
			}
			for _, f := range []float64{b.lo, (b.lo + b.hi) / 2, b.hi} {
				for _, g := range []float64{r.lo + 1e-9, (r.lo + r.hi) / 2, r.hi - 1e-9} {
					want := worksZone
					switch {
					case g > bind(f):
						want = stuckZone
					case g <= leak(f):
						want = shortcutZone
					}
					if r.zone != unknownZone && r.zone != want {
						t.Errorf("share %g, growth %.4f: %v, want %v", f, g, r.zone, want)
					}
				}
			}
		}
		if most := 4*column + (0.05+0.04)*(b.hi-b.lo); open == 0 || open > most+1e-9 {
			t.Errorf("share %g to %g: %.4f mm left open, at most %.4f are needed", b.lo, b.hi, open, most)
		}
	}
	// drawn to scale: the stuck field of the top row begins where the table says
	f := playFigure(d, c)
	rows := f.Tables[0].Rows
	last := rows[len(rows)-1]
	if !strings.Contains(last[0], "fit window") || last[1] != bandWords(newScale(d).bands()) || !strings.Contains(f.Words, "fit window") {
		t.Errorf("with no play used it is not the fit window: %q, %s", last, f.Words)
	}
	growth := ruler(t, shapes(t, f.SVG))
	for _, s := range shapes(t, f.SVG) {
		if s.class == "z-stuck" && s.at["y"] == playTop {
			if g := growth(s.at["x"]); math.Abs(g-bind(1)) > 2*column+0.05/8 {
				t.Errorf("drawn stuck from %.4f on, want about %.4f", g, bind(1))
			}
		}
	}
}

// TestDirectedBands: fields that were asked one by one are drawn as they were answered.
func TestDirectedBands(t *testing.T) {
	d, _ := sampleDocument(t)
	y, n, u := motion.Yes, motion.No, motion.Undecided
	c := &hands.PlayChart{
		Growths: []float64{-0.05, 0, 0.05, 0.1, 0.15}, Shares: []float64{0, 0.5, 1}, From: -0.05,
		Opens: [][]motion.Answer{{y, y, u, n}, {y, y, u, u}}, Leaks: [][]motion.Answer{{u, n, n, n}, {y, n, n, n}},
	}
	var got []string
	for _, b := range directedBands(c) {
		for _, r := range b.runs {
			got = append(got, fmt.Sprintf("%g-%g %g..%g %v", b.lo, b.hi, r.lo, r.hi, r.zone))
		}
	}
	want := []string{
		"0-0.5 -0.05..0 not known", "0-0.5 0..0.05 works as meant", "0-0.5 0.05..0.1 not known", "0-0.5 0.1..0.15 is stuck",
		"0.5-1 -0.05..0 has a shortcut", "0.5-1 0..0.05 works as meant", "0.5-1 0.05..0.15 not known",
	}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	f := directedPlayFigure(d, c)
	if f == nil || !strings.Contains(f.Words, "from -0.05 mm on") || len(f.Tables) != 1 || len(f.Tables[0].Rows) != 3 {
		t.Errorf("figure %+v", f)
	}
}

// TestSituationBars: the bar of 10^k configurations is k tenfold rules high.
func TestSituationBars(t *testing.T) {
	svg := (&situationMap{counts: []float64{1, 10, 1000, 1e6}, start: -1}).draw(wideW)
	var high []float64
	for _, s := range shapes(t, svg) {
		if s.class == "z-count" {
			high = append(high, s.at["height"])
		}
	}
	rule := mapBars / 6
	for i, k := range []float64{0, 1, 3, 6} {
		if i >= len(high) || math.Abs(high[i]-k*rule) > 0.1 {
			t.Fatalf("bars %v, want 0, 1, 3 and 6 times %g", high, rule)
		}
	}
}

// TestSituationMap: a start two moves off, a dead end beside the way.
func TestSituationMap(t *testing.T) {
	m := sample.Mechanism()
	at := func(v float64) []float64 { q := append([]float64(nil), m.Start...); q[0] = v; return q }
	d := &motion.Distances{
		Resolution: "0.1 mm and 0.5 deg",
		By:         []motion.Distance{{Count: 100, Places: 1}, {Count: 12, Places: 2, Ends: 1}, {Count: 40, Places: 7}},
		Places: []motion.Place{
			{Moves: 0, Count: 100, OnWay: true, At: at(40)},
			{Moves: 1, Count: 10, OnWay: true, Nearer: []int{0}, At: at(20)},
			{Moves: 1, Count: 2, End: true, Nearer: []int{0}, At: at(10)},
			{Moves: 2, Count: 40, OnWay: true, Start: true, End: true, Nearer: []int{1}, At: at(0)},
		},
	}
	f := (&builder{m: m}).situations(d)
	count := map[string]int{}
	for _, s := range shapes(t, f.SVG) {
		count[s.class]++
		if s.text == "+6" {
			count["hidden"]++
		}
	}
	want := map[string]int{"place-way": 3, "place-end": 1, "ring": 1, "join-way": 2, "join": 1, "hidden": 1, "place": 0}
	for k, n := range want {
		if count[k] != n {
			t.Errorf("%d of %s, want %d", count[k], k, n)
		}
	}
	rows := f.Tables[0].Rows
	if len(rows) != 3 || rows[2][0] != "2, the start" || rows[1][3] != "1" || f.Tables[0].Show[1][0] != 20 || len(f.Tables[1].Rows) != 1 || f.Tables[1].Show[0][0] != 10 {
		t.Errorf("tables %+v", f.Tables)
	}
	for _, w := range []string{"The start is 2 moves from the goal", "there is one.", "no trap"} {
		if !strings.Contains(f.Words, w) {
			t.Errorf("%q is not said in %q", w, f.Words)
		}
	}
}

// TestStepsFigure: each step is shown where the way passes it, within its bounds.
func TestStepsFigure(t *testing.T) {
	d, r := sampleDocument(t)
	m := sample.Mechanism()
	f := StepsFigure(m, r, d)
	tab := f.Tables[0]
	for i := range m.Steps {
		q := tab.Show[i]
		for _, b := range m.Steps[i].Bounds {
			v := q[b.Travel]
			if m.Travels[b.Travel].Kind != 0 {
				v = units.Rad(v)
			}
			if v < b.Lo || v > b.Hi {
				t.Errorf("step %q shown at %g, outside %g to %g", m.Steps[i].Name, v, b.Lo, b.Hi)
			}
		}
	}
	if tab.Rows[0][4] != "at least 0.07 mm" && tab.Rows[0][4] != "at least +0.07 mm" {
		t.Errorf("margin %q: the step holds down to -0.12 mm and -0.05 is asked", tab.Rows[0][4])
	}
}

// TestOnDisc: closed forms of Lambert's equal-area projection. A direction 60 degrees
// from the middle lies at sqrt(1 - cos 60) of the radius, one on the side at the rim;
// and of n even shares of the sphere n/8 lie within half a radius of each middle.
func TestOnDisc(t *testing.T) {
	s60 := math.Sqrt(3) / 2
	for _, c := range []struct{ x, y, z, u, v float64 }{
		{0, 0, -1, 0, 0}, {1, 0, 0, 1, 0}, {0, -1, 0, 0, -1}, {s60, 0, -0.5, math.Sqrt(0.5), 0},
	} {
		disc, u, v := onDisc(c.x, c.y, c.z)
		if disc != 0 || math.Abs(u-c.u) > 1e-12 || math.Abs(v-c.v) > 1e-12 {
			t.Errorf("%+v lies at %d %g %g", c, disc, u, v)
		}
	}
	const n = 800
	var within [2]int
	for _, d := range load.Sphere(n) {
		if k, u, v := onDisc(d.X, d.Y, d.Z); math.Hypot(u, v) < 0.5 {
			within[k]++
		}
	}
	for k, w := range within {
		if math.Abs(float64(w)-n/8) > 2 {
			t.Errorf("disc %d: %d of %d within half a radius, want %d", k, w, n, n/8)
		}
	}
}

// TestAttitudesFigure: a slide that runs in the lower half of the directions.
func TestAttitudesFigure(t *testing.T) {
	var as []hands.Attitude
	faces := load.Faces()
	for _, d := range append(faces[:], load.Sphere(200)...) {
		a := hands.Attitude{Down: d, Opens: motion.No}
		if d.Z > 0 {
			a.Loose, a.Sure = []int{0}, []int{0}
		}
		as = append(as, a)
	}
	f := (&builder{m: sample.Mechanism()}).attitudesFigure(as, -0.05)
	runs := 0
	for _, s := range shapes(t, f.SVG) {
		if s.class == "a-runs" {
			runs++
		}
	}
	if rows := f.Tables[0].Rows; runs != 100 || rows[1][1] != "something runs" || rows[0][1] != "nothing runs" || f.Tables[1].Rows[0][1] != "50.0 %" {
		t.Errorf("%d run; %q; %q", runs, rows, f.Tables[1].Rows[0])
	}
}
