package export

import (
	"math"
	"strings"

	"feint/internal/mechanism"
	"feint/internal/motion"
	"feint/internal/verdict/wording"
)

// StepsFigure is the table of the steps with their margins, and in words the ways that
// leave one out. r may be nil.
func StepsFigure(m *mechanism.Mechanism, r *motion.Result, d *Document) *Figure {
	f := &Figure{ID: "steps", Title: "Steps"}
	if len(d.Steps) == 0 {
		f.Words = "The design names no step, so none can be missed."
		return f.whole()
	}
	t := FigureTable{
		Caption: "What every solution must pass; the margin is what is left between the loose end of the growths asked and the growth at which the step can be left out",
		Heads:   []string{"Step", "as drawn", "surely holds", "left out at", "margin", "left out with play used"},
	}
	b := &builder{m: m}
	var lines []string
	for i := range d.Steps {
		s := &d.Steps[i]
		holds := "not known"
		if s.Holds != nil {
			holds = wording.Growth(*s.Holds) + " and above"
		}
		t.Rows = append(t.Rows, []string{s.Name, stepAnswer(s), holds, plusMinus(bypassWords(s)), stepMargin(s, d.Growth.Lo), playWords(s)})
		var at []float64
		if r != nil && r.Way != nil {
			if k := stepNamed(m, s.Name); k != nil {
				at = b.passes(r.Way, k)
			}
		}
		t.Show = append(t.Show, at)
		if w := shortcutWords(s); w != "" {
			lines = append(lines, w)
		}
	}
	f.Words, f.Tables = strings.Join(lines, " "), append(f.Tables, t)
	return f.whole()
}

func stepNamed(m *mechanism.Mechanism, name string) *mechanism.Region {
	for i := range m.Steps {
		if m.Steps[i].Name == name {
			return &m.Steps[i]
		}
	}
	return nil
}

// looksAlong is how often a stroke is looked at for a step.
const looksAlong = 64

// passes is a configuration of the way that lies in the region, mm and degrees: the
// middle of those of the first stroke that has some; nil if none does.
func (b *builder) passes(w *motion.Way, r *mechanism.Region) []float64 {
	q := append([]float64(nil), b.m.Start...)
	for i := range w.Moves {
		for _, k := range w.Moves[i].Strokes {
			first, last := -1, -1
			at := func(j int) float64 { return k.From + (k.To-k.From)*float64(j)/looksAlong }
			for j := range looksAlong + 1 {
				if q[k.Travel] = at(j); b.within(q, r) {
					if first < 0 {
						first = j
					}
					last = j
				}
			}
			if first >= 0 {
				q[k.Travel] = at((first + last) / 2)
				return b.outsides(q)
			}
			q[k.Travel] = k.To
		}
	}
	return nil
}

func (b *builder) within(q []float64, r *mechanism.Region) bool {
	for _, k := range r.Bounds {
		v, lo, hi := q[k.Travel], k.Lo, k.Hi
		if b.m.Travels[k.Travel].Full {
			// round the ring from the lower bound
			turn := 2 * math.Pi
			v = lo + math.Mod(math.Mod(v-lo, turn)+turn, turn)
			if hi < lo {
				hi += turn
			}
		}
		if v < lo || v > hi {
			return false
		}
	}
	return true
}
