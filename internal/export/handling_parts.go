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
	Part   string     `json:"part"`
	With   []string   `json:"with"`          // what rides on it and goes in with it
	Way    [3]float64 `json:"way_in"`        // unit, as the box is drawn
	Turned []string   `json:"turned_about"`  // half turns with which it goes in too, as another shape
	By     []string   `json:"blocked_by"`    // of a part for which no way in was found
	Found  bool       `json:"way_in_found"`  // whether there is a way in
	Leg    *LegInfo   `json:"then_straight"` // the straight way on which it goes on after that; null for none
	Then   *ThenInfo  `json:"then_along"`    // last, the travel along which it goes on once it is in; null if it goes straight to its place
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
		for _, d := range e.Turned {
			o.Turned = append(o.Turned, axisName(d))
		}
		out = append(out, o)
	}
	for _, j := range a.Stuck {
		out = append(out, EntryInfo{
			Part: b.part(j.Part), With: []string{}, Way: way(geom.Vec{X: -j.Way.X, Y: -j.Way.Y, Z: -j.Way.Z}),
			Turned: []string{}, By: b.names(j.By),
		})
	}
	return out
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
	var stuck []string
	for i := range h.Assembly {
		e := &h.Assembly[i]
		if !e.Found {
			stuck = append(stuck, fmt.Sprintf("%s (blocked by %s)", e.name(), wording.List(e.By)))
			continue
		}
		s := e.name() + ", " + e.way()
		if len(e.Turned) > 0 {
			s += "; mind how it faces: it also goes in after half a turn about " + wording.List(e.Turned)
		}
		t.para(fmt.Sprintf("  %2d. ", i+1), s+".")
	}
	if len(stuck) > 0 {
		t.para("  ", "No way in was found for "+wording.List(stuck)+". Divide what blocks, or say glued = True of a part that is printed in pieces and put together round the others.")
	}
	t.line("")
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
	if !e.Found {
		return "no way in was found; blocked by " + wording.List(e.By)
	}
	s := "going " + wayWords(e.Way)
	if k := e.Leg; k != nil {
		s += fmt.Sprintf(", then %s by %s mm", wayWords(k.Way), wording.Number(k.Far, 1))
	}
	if k := e.Then; k != nil {
		s += fmt.Sprintf(", then along %s from %s %s to its place", wording.Name(k.Travel), wording.Number(k.From, 1), k.Unit)
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
