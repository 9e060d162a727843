package export

import (
	"fmt"
	"strings"

	"feint/internal/forces"
	"feint/internal/verdict/wording"
)

// magnetsFigure draws what magnets do to travels along their strokes, lids apart, and
// lists which magnets meet; nil where there is nothing to tell.
func (b *builder) magnetsFigure(h *HandlingInfo) *Figure {
	f := &Figure{ID: "magnets", Title: "Magnets along the travels"}
	var ps []panel
	var words []string
	var tables []FigureTable
	for i := range h.Courses {
		c := &h.Courses[i]
		if h.lid(c) {
			continue
		}
		if p := c.panel(); len(p.at) > 1 {
			ps = append(ps, p)
		}
		words = append(words, c.words()+".")
		tables = append(tables, b.courseTable(c))
	}
	for i := range h.OnWay {
		words = append(words, h.OnWay[i].words()+".")
	}
	if t := onWayTable(h); len(t.Rows) > 0 {
		tables = append([]FigureTable{t}, tables...)
	}
	if len(h.Meetings) > 0 {
		tables = append([]FigureTable{b.meetingTable(h)}, tables...)
	}
	if len(tables) == 0 {
		return nil
	}
	if len(ps) > 0 {
		f.draw(func(w float64) string { return panels(f.Title, ps, w) })
		f.Legend = []LegendKey{{"band", "the push, from the least to the most that it may be"}}
		f.Words = "What all magnets push a travel with along rising values, while everything else stands as at the start, by estimate; below nothing they push it back. A place where the curve falls through nothing is one where the part is drawn to rest. "
	}
	f.Words += strings.Join(words, " ")
	if len(h.Meetings) > 0 && h.Meetings[0].Reached {
		f.Words += " Magnets were looked for in every situation that may be reached, printed loose."
	}
	f.Words, f.Tables = strings.TrimSpace(f.Words), tables
	return f.whole()
}

func (c *CourseInfo) panel() panel {
	p := panel{title: c.Part + ", " + c.Travel, across: c.Travel + ", " + c.Unit, up: "push, " + c.ForceUnit}
	for _, k := range c.Curve {
		if k.Push.Lo != nil && k.Push.Hi != nil {
			p.at = append(p.at, k.At)
			p.span = append(p.span, forces.Interval{Lo: *k.Push.Lo, Hi: *k.Push.Hi})
		}
	}
	return p
}

func (b *builder) courseTable(c *CourseInfo) FigureTable {
	t := FigureTable{Caption: "What magnets push " + wording.Name(c.Part) + " " + wording.Name(c.Travel) + " with", Heads: []string{"At, " + c.Unit, "push, " + c.ForceUnit}}
	travel := b.travelNamed(c.Part, c.Travel)
	for _, k := range c.Curve {
		t.Rows = append(t.Rows, []string{wording.Number(k.At, 2), spanWords(k.Push, c.digits()+1)})
		t.Show = append(t.Show, b.startBut(travel, k.At))
	}
	return t
}

// meetingTable is a row for every two magnets that come near, or are meant to, and one
// more where they do the contrary.
func (b *builder) meetingTable(h *HandlingInfo) FigureTable {
	t := FigureTable{Caption: "Magnets that come near each other, where they are nearest", Heads: []string{"Magnets", "meant to", "there they", "with, N", "apart, mm"}}
	for i := range h.Meetings {
		p := &h.Meetings[i]
		meant := p.Meant
		if meant == "neither" {
			meant = "nothing said"
		}
		add := func(what string, k *MeetInfo) {
			t.Rows = append(t.Rows, []string{what, meant, k.does(), k.forceWords(), wording.Number(k.Apart, 1)})
			q := make([]float64, len(k.At))
			for j := range k.At {
				q[j] = k.At[j].Value
			}
			t.Show = append(t.Show, q)
		}
		names := p.A.Magnet + " of " + p.A.Part + ", " + p.B.Magnet + " of " + p.B.Part
		add(names, &p.Nearest)
		if p.Against != nil {
			add(names+", against what is meant", p.Against)
		}
	}
	return t
}

// forceWords is the force with why its least is not told.
func (k *MeetInfo) forceWords() string {
	if k.Unsure == "" {
		return k.force()
	}
	return k.force() + "; " + k.Unsure
}

// onWayTable is a row for every stroke of the solution along which magnets are felt.
func onWayTable(h *HandlingInfo) FigureTable {
	t := FigureTable{Caption: "What the solution takes against magnets, the parts where they then stand", Heads: []string{"Move", "stroke", "takes", "as at the start"}}
	for i := range h.OnWay {
		o := &h.OnWay[i]
		c := CourseInfo{ForceUnit: o.ForceUnit}
		t.Rows = append(t.Rows, []string{
			fmt.Sprint(o.Move),
			fmt.Sprintf("%s %s, %s to %s %s", wording.Name(o.Part), wording.Name(o.Travel), wording.Number(o.From, 1), wording.Number(o.To, 1), o.Unit),
			spanWords(o.Takes, c.digits()) + " " + o.ForceUnit, spanWords(o.Start, c.digits()) + " " + o.ForceUnit,
		})
	}
	return t
}
