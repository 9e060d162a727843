package export

import (
	"fmt"
	"math"

	"feint/internal/geom"
	"feint/internal/hands"
	"feint/internal/verdict/wording"
)

// PusherInfo is one travel that pushes another, from where they stand at the start.
type PusherInfo struct {
	Pusher string   `json:"pusher"` // "part travel"
	Pushed string   `json:"pushed"`
	Unit   string   `json:"unit"`        // of the pushed travel
	Dead   float64  `json:"dead_travel"` // of the pusher, in its own unit, before they touch
	Gets   float64  `json:"gets_to"`     // value of the pushed travel at the end of the pusher's
	Needs  *float64 `json:"needs"`       // value to which every way takes it; null if that is not known
	Short  float64  `json:"short_by"`
}

// EntryInfo is how a part goes in.
type EntryInfo struct {
	Part   string        `json:"part"`
	With   []string      `json:"with"`          // what rides on it and goes in with it
	Way    [3]float64    `json:"way_in"`        // unit, as the box is drawn
	Turned []string      `json:"turned_about"`  // half turns with which it goes in too, as another shape
	By     []string      `json:"blocked_by"`    // of a part for which no way in was found
	Found  bool          `json:"way_in_found"`  // whether there is a way in
	Leg    *LegInfo      `json:"then_straight"` // the straight way on which it goes on after that; null for none
	Then   *ThenInfo     `json:"then_along"`    // last, the travel along which it goes on once it is in; null if it goes straight to its place
	Path   []StretchInfo `json:"path"`          // all stretches of a way of several, in the order of going in, where it is none of those above
	Stands []StandInfo   `json:"stands"`        // its travels that do not stand where they do at the start, once it is in
	After  []ShiftInfo   `json:"then_moved"`    // what is moved of the parts that are in, once it is
	Proved string        `json:"proved"`        // of blocked_by: "" nothing, "unturned" that the one part keeps it as the two are turned to each other, "anyhow" that it does however they are
}

// StretchInfo is one stretch of a way in: straight, or a turn.
type StretchInfo struct {
	Way     *[3]float64 `json:"way"`    // unit, as the box is drawn; null for a turn
	Far     float64     `json:"far_mm"` // 0 for the first, from outside
	Axis    *[3]float64 `json:"axis"`   // of a turn, unit; null for a straight stretch
	Through *[3]float64 `json:"axis_through_mm"`
	Angle   float64     `json:"angle_deg"` // right-handed about the axis
}

// StandInfo is where a travel stands.
type StandInfo struct {
	Travel string  `json:"travel"`
	At     float64 `json:"at"` // mm or degrees
	Unit   string  `json:"unit"`
}

// ShiftInfo moves a part along a travel.
type ShiftInfo struct {
	Travel string  `json:"travel"`
	From   float64 `json:"from"` // mm or degrees
	To     float64 `json:"to"`
	Unit   string  `json:"unit"`
	Back   int     `json:"undoes_move"` // of the solution, from 1; 0: none
}

// TriedInfo is what was looked at for parts for which no way in was found.
type TriedInfo struct {
	Places int  `json:"configurations"` // of the other parts
	Stands int  `json:"stances"`        // places and attitudes of single parts
	Short  bool `json:"bounded"`        // the bound on what is looked at was reached
}

// LegInfo is a straight way.
type LegInfo struct {
	Way [3]float64 `json:"way"` // unit, as the box is drawn
	Far float64    `json:"far_mm"`
}

// ThenInfo is a travel along which a part goes to its place.
type ThenInfo struct {
	Travel string  `json:"travel"`
	From   float64 `json:"from"` // mm or degrees: where the travel stands as the part comes in
	Unit   string  `json:"unit"`
}

func (b *builder) pushers(ps []hands.Pusher) []PusherInfo {
	out := []PusherInfo{}
	for i := range ps {
		p := &ps[i]
		o := PusherInfo{
			Pusher: b.travel(p.Travel), Pushed: b.travel(p.Pushed), Unit: wording.Unit(&b.m.Travels[p.Pushed]),
			Dead: b.out(p.Travel, p.Dead), Gets: b.out(p.Pushed, p.Gets), Short: b.out(p.Pushed, p.Short),
		}
		if !math.IsNaN(p.Needs) {
			v := b.out(p.Pushed, p.Needs)
			o.Needs = &v
		}
		out = append(out, o)
	}
	return out
}

// assembly lists the parts in the order in which they go in, then those that jam.
func (b *builder) assembly(a *hands.Assembly) []EntryInfo {
	out := []EntryInfo{}
	if a == nil {
		return out
	}
	way := func(v geom.Vec) [3]float64 { return [3]float64{tidy(v.X), tidy(v.Y), tidy(v.Z)} }
	for _, e := range a.Order {
		o := EntryInfo{Part: b.part(e.Part), With: b.names(e.With), Way: way(e.Way), Turned: []string{}, By: []string{}, Found: true}
		if k := e.Bend; k != nil {
			o.Then = &ThenInfo{Travel: b.travel(k.Travel), From: b.out(k.Travel, k.At), Unit: wording.Unit(&b.m.Travels[k.Travel])}
		}
		if k := e.Leg; k != nil {
			o.Leg = &LegInfo{way(k.Way), tidy(k.Far)}
		}
		b.further(&o, &e)
		for _, d := range e.Turned {
			o.Turned = append(o.Turned, axisName(d))
		}
		out = append(out, o)
	}
	for _, j := range a.Stuck {
		o := EntryInfo{
			Part: b.part(j.Part), With: []string{}, Way: way(geom.Vec{X: -j.Way.X, Y: -j.Way.Y, Z: -j.Way.Z}),
			Turned: []string{}, By: b.names(j.By), Proved: [...]string{hands.Unproved: "", hands.Upright: unturned, hands.Anyhow: anyhow}[j.Kept],
		}
		b.further(&o, &hands.Entry{})
		out = append(out, o)
	}
	return out
}

// What is proved of what keeps a part, in the document.
const (
	unturned = "unturned"
	anyhow   = "anyhow"
)

// further tells of ways of several stretches, and of parts that are moved meanwhile.
func (b *builder) further(o *EntryInfo, e *hands.Entry) {
	vec := func(v geom.Vec) *[3]float64 { return &[3]float64{tidy(v.X), tidy(v.Y), tidy(v.Z)} }
	o.Path, o.Stands, o.After = []StretchInfo{}, []StandInfo{}, []ShiftInfo{}
	for i := range e.Path {
		k := &e.Path[i]
		if k.Angle != 0 {
			o.Path = append(o.Path, StretchInfo{Axis: vec(k.Axis.Dir), Through: vec(k.Axis.Point), Angle: tidy(k.Angle * 180 / math.Pi)})
			continue
		}
		o.Path = append(o.Path, StretchInfo{Way: vec(k.Way), Far: tidy(k.Far)})
	}
	unit := func(t int) string { return wording.Unit(&b.m.Travels[t]) }
	for _, k := range e.Stands {
		o.Stands = append(o.Stands, StandInfo{b.travel(k.Travel), b.out(k.Travel, k.At), unit(k.Travel)})
	}
	for _, k := range e.After {
		o.After = append(o.After, ShiftInfo{b.travel(k.Travel), b.out(k.Travel, k.From), b.out(k.Travel, k.To), unit(k.Travel), k.Back})
	}
}

// tried is what was looked at for parts that stay; nil where none do.
func tried(a *hands.Assembly) *TriedInfo {
	if a == nil || len(a.Stuck) == 0 || !a.Tried.Further {
		return nil
	}
	return &TriedInfo{a.Tried.Places, a.Tried.Stands, a.Tried.Short}
}

func axisName(d geom.Vec) string {
	switch {
	case d.X != 0:
		return "x"
	case d.Y != 0:
		return "y"
	default:
		return "z"
	}
}

// parts tells what magnets hold, what pushes what and how the parts go in.
func (t *terminal) parts(h *HandlingInfo) {
	if len(h.Lids)+len(h.Courses)+len(h.Meetings)+len(h.Pushers) > 0 {
		t.line("")
	}
	t.lids(h)
	t.magnets(h)
	for i := range h.Pushers {
		p := &h.Pushers[i]
		s := fmt.Sprintf("%s pushes %s: %s of its travel before they touch, then to %s %s", wording.Name(p.Pusher), wording.Name(p.Pushed),
			wording.Number(p.Dead, 2), wording.Number(p.Gets, 2), p.Unit)
		if p.Short > 0 {
			s += fmt.Sprintf("; %s %s short", wording.Number(p.Short, 2), p.Unit)
		}
		t.para("  - ", s+".")
	}
	if len(h.Assembly) == 0 {
		return
	}
	t.line("")
	t.para("  ", "Putting it together, one part after another:")
	stuck := false
	for i := range h.Assembly {
		e := &h.Assembly[i]
		if !e.Found {
			stuck = true
			t.para("   -  ", e.name()+": "+e.way()+".")
			continue
		}
		s := e.name() + ", " + e.way()
		if len(e.Turned) > 0 {
			s += "; mind how it faces: it also goes in after half a turn about " + wording.List(e.Turned)
		}
		t.para(fmt.Sprintf("  %2d. ", i+1), s+".")
	}
	if s := triedWords(h.Tried); s != "" {
		t.para("  ", s)
	}
	if stuck {
		t.para("  ", "Divide what blocks, or say glued = True of a part that is printed in pieces and put together round the others.")
	}
	t.line("")
}

// triedWords tells what was tried.
func triedWords(k *TriedInfo) string {
	if k == nil || k.Stands == 0 {
		return ""
	}
	s := fmt.Sprintf("Tried were straight ways and such of several stretches and turns: %s of the other parts, %s of a single part.",
		wording.Count(k.Places, "situation"), wording.Count(k.Stands, "place"))
	if k.Short {
		s += " More were not looked at."
	}
	return s
}

// name is the part with what rides on it.
func (e *EntryInfo) name() string {
	if len(e.With) == 0 {
		return wording.Name(e.Part)
	}
	return wording.Name(e.Part) + " with " + wording.List(e.With)
}

// way tells how it goes in, or what stops it.
func (e *EntryInfo) way() string {
	switch {
	case e.Found:
	case e.Proved == anyhow:
		return fmt.Sprintf("%s keeps it in or out however it is turned, proved of rigid parts", wording.List(e.By))
	case e.Proved == unturned:
		return fmt.Sprintf("%s keeps it in or out unless it is turned, proved of rigid parts; no way with turns was found among those tried", wording.List(e.By))
	case len(e.By) == 0:
		return "no way in was found among those tried"
	default:
		return "no way in was found among those tried; straight, it meets " + wording.List(e.By)
	}
	s := "going " + wayWords(e.Way)
	for i := 1; i < len(e.Path); i++ {
		s += ", then " + e.Path[i].words()
	}
	if k := e.Leg; k != nil {
		s += fmt.Sprintf(", then %s by %s mm", wayWords(k.Way), wording.Number(k.Far, 1))
	}
	if k := e.Then; k != nil {
		s += fmt.Sprintf(", then along %s from %s %s to its place", wording.Name(k.Travel), wording.Number(k.From, 1), k.Unit)
	}
	for i, k := range e.Stands {
		lead := ", with "
		if i > 0 {
			lead = " and "
		}
		s += fmt.Sprintf("%s%s at %s %s", lead, wording.Name(k.Travel), wording.Number(k.At, 1), k.Unit)
	}
	return s + shiftWords(e.After)
}

func (k *StretchInfo) words() string {
	if k.Way != nil {
		return fmt.Sprintf("%s by %s mm", wayWords(*k.Way), wording.Number(k.Far, 1))
	}
	a, about := *k.Axis, ""
	for i, name := range [3]string{"x", "y", "z"} {
		if math.Abs(a[i]) > 1-grain {
			about = "about " + name
		}
	}
	if about == "" {
		about = fmt.Sprintf("about (%s, %s, %s)", wording.Number(a[0], 2), wording.Number(a[1], 2), wording.Number(a[2], 2))
	}
	angle := k.Angle
	if a[0]+a[1]+a[2] < 0 {
		angle = -angle
	}
	return fmt.Sprintf("turned by %s deg %s", wording.Number(angle, 0), about)
}

// shiftWords tells what is moved once a part is in; moves of the way that are undone one
// after the other are told together.
func shiftWords(all []ShiftInfo) string {
	s := ""
	for i := 0; i < len(all); i++ {
		k := &all[i]
		if k.Back == 0 {
			s += fmt.Sprintf("; then %s from %s to %s %s", wording.Name(k.Travel), wording.Number(k.From, 1), wording.Number(k.To, 1), k.Unit)
			continue
		}
		last := k.Back
		for i+1 < len(all) && all[i+1].Back > 0 {
			i++
			last = all[i].Back
		}
		if last == k.Back {
			s += fmt.Sprintf("; then move %d of the solution backwards", last)
		} else {
			s += fmt.Sprintf("; then moves %d to %d of the solution backwards", k.Back, last)
		}
	}
	return s
}

// wayWords calls a direction of the drawing, x to the right, y to the back, z up.
func wayWords(w [3]float64) string {
	names := [3][2]string{{"to the right", "to the left"}, {"to the back", "to the front"}, {"up", "down"}}
	for k := range w {
		if math.Abs(math.Abs(w[k])-1) < grain {
			if w[k] > 0 {
				return names[k][0]
			}
			return names[k][1]
		}
	}
	return fmt.Sprintf("along (%s, %s, %s)", wording.Number(w[0], 2), wording.Number(w[1], 2), wording.Number(w[2], 2))
}
