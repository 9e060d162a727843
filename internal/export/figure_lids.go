package export

import (
	"fmt"
	"strings"

	"feint/internal/forces"
	"feint/internal/forces/strength"
	"feint/internal/forces/survey"
	"feint/internal/verdict/wording"
)

// lidsFigure draws what magnets hold each lid with as it opens; nil where they hold none.
func (b *builder) lidsFigure(h *HandlingInfo) *Figure {
	if len(h.Lids) == 0 {
		return nil
	}
	f := &Figure{ID: "lids", Title: "Lids held by magnets", Legend: []LegendKey{{"band", "the pull, from the least to the most that it may be"}}}
	sum := FigureTable{Caption: "What magnets hold, shut", Heads: []string{"Lid", "magnets", "straight pull, N", "at the rim, N", "in shaking of up to, g", fmt.Sprintf("magnets for %g g", survey.Level)}}
	var ps []panel
	var words []string
	tables := []FigureTable{}
	for i := range h.Lids {
		l := &h.Lids[i]
		need := "not known"
		if l.Need > 0 {
			need = fmt.Sprint(l.Need)
		}
		sum.Rows = append(sum.Rows, []string{l.Part, fmt.Sprint(l.Magnets), spanWords(l.Pull, 2), spanWords(l.Peel, 2), spanWords(l.Kept, 1), need})
		if p := l.panel(); len(p.at) > 1 {
			ps = append(ps, p)
		}
		words = append(words, l.words())
		tables = append(tables, b.lidTable(l))
	}
	if len(ps) > 0 {
		f.draw(func(w float64) string { return panels(f.Title, ps, w) })
	}
	f.Words = "What pulls a lid shut as it opens by so much, all magnets together, by estimate. At the rim a finger lifts with less, if nothing keeps the lid from tipping. " + strings.Join(words, " ")
	f.Tables = append([]FigureTable{sum}, tables...)
	return f.whole()
}

// weighs is the force that shaking at survey.Level takes a lid off with, its weight
// helping, N.
func (l *LidInfo) weighs() float64 { return l.Grams / 1000 * forces.Gravity * (survey.Level + 1) }

func (l *LidInfo) panel() panel {
	p := panel{title: l.Part + ", " + l.Travel, across: "open by, mm", up: "pull, N"}
	for _, c := range l.Curve {
		if c.Pull.Lo != nil && c.Pull.Hi != nil {
			p.at = append(p.at, c.Open)
			p.span = append(p.span, forces.Interval{Lo: *c.Pull.Lo, Hi: *c.Pull.Hi})
		}
	}
	p.levels = []panelLevel{
		{l.weighs(), fmt.Sprintf("what %g g pull it off with: %s N", survey.Level, wording.Number(l.weighs(), 1))},
		{strength.HandOf(strength.Pull).Weak, fmt.Sprintf("what weak fingers pull: %g N", strength.HandOf(strength.Pull).Weak)},
	}
	return p
}

// words say how the pull stands to shaking and to fingers.
func (l *LidInfo) words() string {
	if l.Pull.Lo == nil || l.Pull.Hi == nil {
		return ""
	}
	lo, hi, weighs, weak := *l.Pull.Lo, *l.Pull.Hi, l.weighs(), strength.HandOf(strength.Pull).Weak
	out := fmt.Sprintf("Shaking at %g g pulls %s off with %s N, its weight helping: ", survey.Level, wording.Name(l.Part), wording.Number(weighs, 1))
	switch {
	case lo > weighs:
		out += "it stays on"
	case hi < weighs:
		out += "it comes off"
	default:
		out += "it may come off"
	}
	switch {
	case hi < weak:
		out += "; weak fingers part it."
	case lo > weak:
		out += fmt.Sprintf("; weak fingers, which pull %g N, do not part it straight.", weak)
	default:
		out += fmt.Sprintf("; weak fingers, which pull %g N, may not part it straight.", weak)
	}
	return out
}

func (b *builder) lidTable(l *LidInfo) FigureTable {
	t := FigureTable{Caption: "The pull of " + wording.Name(l.Part) + " as it opens", Heads: []string{"Open by, mm", "pull, N"}}
	travel := b.travelNamed(l.Part, l.Travel)
	for _, c := range l.Curve {
		t.Rows = append(t.Rows, []string{fmt.Sprintf("%g", c.Open), spanWords(c.Pull, 2)})
		t.Show = append(t.Show, b.startBut(travel, c.At))
	}
	return t
}

// travelNamed is the place of a travel by its part's and its own name; -1 if there is none.
func (b *builder) travelNamed(part, travel string) int {
	for i := range b.m.Travels {
		if t := &b.m.Travels[i]; t.Name == travel && b.part(t.Part) == part {
			return i
		}
	}
	return -1
}

// startBut is the start with one travel elsewhere, in its outside unit; nil for no travel.
func (b *builder) startBut(travel int, at float64) []float64 {
	if travel < 0 {
		return nil
	}
	q := b.outsides(b.m.Start)
	q[travel] = at
	return q
}
