package export

import (
	"fmt"
	"math"

	"feint/internal/hands"
	"feint/internal/motion"
	"feint/internal/printable"
	"feint/internal/verdict/wording"
)

// Further is what is asked of a proof for its pictures.
type Further struct {
	Distances *motion.Distances // for hands that reach everything; nil where they do not move everything at will
	Directed  *hands.Distances  // where they do not
	Unit      [2]float64        // of Directed: mm and radians
	Trap      string            // whether there is a trap: yes, no, undecided
	Play      *motion.PlayChart // for hands that reach everything; nil where it cannot be asked
	Pushed    *hands.PlayChart  // where they do not; nil where it cannot be asked
	Attitudes []hands.Attitude  // the six faces, then even shares of the sphere; empty where it was not asked
	Loose     float64           // the growth of Attitudes, mm

	Walls [][]printable.WallPiece // by part, the map of its walls; nil, or nil entries, where it was not asked
}

// figures are the pictures of what was asked.
func (f *Further) figures(in *ReportInput) []*Figure {
	var out []*Figure
	if f == nil {
		return out
	}
	var play *Figure
	switch {
	case f.Play != nil:
		play = playFigure(in.Document, f.Play)
	case f.Pushed != nil:
		play = directedPlayFigure(in.Document, f.Pushed)
	}
	if play != nil {
		out = append(out, play)
	}
	b := &builder{m: in.Mechanism}
	switch {
	case f.Distances != nil:
		out = append(out, b.situations(f.Distances))
	case f.Directed != nil:
		out = append(out, directedSituations(f))
	}
	if k := b.attitudesFigure(f.Attitudes, f.Loose); k != nil {
		out = append(out, k)
	}
	return out
}

// situations is the map of situations for hands that reach everything.
func (b *builder) situations(d *motion.Distances) *Figure {
	f := &Figure{ID: "situations", Title: "Situations by distance from the goal"}
	f.draw(newSituationMap(d).draw)
	start, ends := -1, 0
	for i := range d.Places {
		if d.Places[i].Start {
			start = d.Places[i].Moves
		}
	}
	t := FigureTable{
		Caption: "All that can be reached, by the fewest moves to the goal; a configuration is " + d.Resolution,
		Heads:   []string{"Moves to the goal", "configurations", "places", "of them dead ends"},
	}
	for i := range d.By {
		k := &d.By[i]
		ends += k.Ends
		places := fmt.Sprint(k.Places)
		if k.Rest > 0 {
			places += " or more"
		}
		t.Rows = append(t.Rows, []string{distanceName(i, start), bigWords(k.Count), places, fmt.Sprint(k.Ends)})
		t.Show = append(t.Show, b.firstAt(d, i))
	}
	f.Tables = []FigureTable{t}
	if e := b.deadEnds(d); len(e.Rows) > 0 {
		f.Tables = append(f.Tables, e)
	}
	f.Words = fmt.Sprintf("The start is %s from the goal; the farthest that one can stray is %s. A place is all that can be reached from each other without the distance changing; "+
		"a dead end is a place, off the shortest ways, from which one can only turn back: there %s. Lines are moves; below a column stands how many more places it has than are drawn.",
		wording.Count(max(start, 0), "move"), wording.Count(len(d.By)-1, "move"), are(ends))
	if d.Lost > 0 {
		f.Words += fmt.Sprintf(" From %s configurations no way back to the goal was found.", bigWords(d.Lost))
	} else {
		f.Words += " There is no trap: every move can be taken back."
	}
	f.Legend = []LegendKey{{"onway", "on a shortest way"}, {"off", "off the way"}, {"end", "dead end"}, {"count", "how many configurations, each rule ten times as many"}}
	return f.whole()
}

func are(n int) string {
	switch n {
	case 0:
		return "is none"
	case 1:
		return "is one"
	}
	return fmt.Sprintf("are %d", n)
}

func distanceName(i, start int) string {
	switch i {
	case start:
		return fmt.Sprintf("%d, the start", i)
	case 0:
		return "0, the goal"
	}
	return fmt.Sprint(i)
}

// firstAt is a configuration of a distance, of the largest place on the way if there
// is one.
func (b *builder) firstAt(d *motion.Distances, moves int) []float64 {
	best := -1
	for i := range d.Places {
		if p := &d.Places[i]; p.Moves == moves && (best < 0 || p.Start || p.OnWay && !d.Places[best].OnWay) {
			best = i
		}
	}
	if best < 0 {
		return nil
	}
	return b.outsides(d.Places[best].At)
}

func (b *builder) outsides(q []float64) []float64 {
	out := make([]float64, len(q))
	for i, v := range q {
		out[i] = b.out(i, v)
	}
	return out
}

// mostEnds is how many dead ends are listed.
const mostEnds = 12

// deadEnds lists the largest dead ends, the farthest from the goal first.
func (b *builder) deadEnds(d *motion.Distances) FigureTable {
	t := FigureTable{Caption: "Dead ends, the largest of each distance", Heads: []string{"Moves to the goal", "configurations", "one of them"}}
	for i := len(d.By) - 1; i >= 0 && len(t.Rows) < mostEnds; i-- {
		for k := range d.Places {
			if p := &d.Places[k]; p.Moves == i && p.End && !p.OnWay {
				t.Rows = append(t.Rows, []string{fmt.Sprint(i), bigWords(p.Count), wording.Settings(b.m, p.At)})
				t.Show = append(t.Show, b.outsides(p.At))
				break
			}
		}
	}
	return t
}

// directedSituations is the map where parts fall, spring back or are pushed.
func directedSituations(f *Further) *Figure {
	d := f.Directed
	unit := fmt.Sprintf("%.3g mm and %.3g deg", f.Unit[0], f.Unit[1]*180/math.Pi)
	k := &Figure{ID: "situations", Title: "Situations by distance from the goal"}
	k.draw((&situationMap{counts: d.By, start: -1}).draw)
	t := FigureTable{Caption: "Situations at rest that can be reached, by the fewest moves to the goal; one is " + unit, Heads: []string{"Moves to the goal", "situations"}}
	for i, n := range d.By {
		t.Rows = append(t.Rows, []string{distanceName(i, -1), bigWords(n)})
	}
	t.Rows = append(t.Rows, []string{"no way found", bigWords(d.Lost)})
	k.Tables = []FigureTable{t}
	k.Words = fmt.Sprintf("Parts fall, spring back or are pushed here, so only situations at rest count, in every attitude of the box. The farthest from which a way was found is %s from the goal.", wording.Count(len(d.By)-1, "move"))
	switch f.Trap {
	case "yes":
		k.Words += " There is a trap: a situation that can be reached and from which the goal cannot."
	case "no":
		k.Words += " There is no trap."
	default:
		k.Words += " Whether there is a trap is not known."
	}
	k.Legend = []LegendKey{{"count", "how many situations, each rule ten times as many"}}
	return k.whole()
}
