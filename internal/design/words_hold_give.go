package design

import (
	"slices"

	"go.starlark.net/starlark"

	"feint/internal/mechanism"
)

// drives reads what moves a travel beside the words for its way.
func (c *call) drives(t *mechanism.Travel) {
	switch c.choice("moved_by", "hand", "contact", "gravity") {
	case "contact":
		t.Moved = mechanism.ByContact
	case "gravity":
		t.Moved = mechanism.ByGravity
	}
	if v := c.value("spring"); v != nil {
		h, ok := v.(*holding)
		s, is := mechanism.Spring{}, false
		if ok {
			s, is = h.data.(mechanism.Spring)
		}
		switch {
		case !is:
			c.problem("spring", `write spring(toward = "hi", preload = 0.5)`, "%s: its spring cannot be %s", c.word.name, describe(v))
		case t.Full:
			c.problem("spring", "give the turn limits", "%s: a spring needs a limit to drive to, but it turns full circle", c.word.name)
		case t.Kind != mechanism.Slide && s.Leaf != (mechanism.Arm{}):
			c.problem("spring", "leave the leaf out", "%s: how far the leaf of its spring bends is told of slides alone", c.word.name)
		default:
			t.Spring = &s
		}
	}
	for _, v := range c.each("holds") {
		h, ok := v.(*holding)
		if !ok {
			c.problem("holds", "write [detent(at = 0, force = 1)]", "%s: it cannot be held by %s", c.word.name, describe(v))
			continue
		}
		switch d := h.data.(type) {
		case mechanism.Detent:
			d.At = c.heldAt(t, d.At)
			t.Detents = append(t.Detents, d)
		case mechanism.Latch:
			d.At = c.heldAt(t, d.At)
			t.Latches = append(t.Latches, d)
		default:
			c.problem("holds", "detents and latches hold a travel", "%s: it cannot be held by %s", c.word.name, describe(v))
		}
	}
}

// heldAt checks the place of a detent or latch on a travel.
func (c *call) heldAt(t *mechanism.Travel, at float64) float64 {
	if t.Full {
		return once(at)
	}
	if at < t.Lo || at > t.Hi {
		c.problem("holds", "move it or the limits", "%s: it is held at %s, outside the limits %s", c.word.name, num(at), between(t.Lo, t.Hi, ""))
	}
	return at
}

// each is the members of a list that are known.
func (c *call) each(name string) []starlark.Value {
	var out []starlark.Value
	for _, v := range c.seq(name) {
		if isUnknown(v) {
			c.failed = true
			continue
		}
		out = append(out, v)
	}
	return out
}

// partBuild reads how a part is filled and what magnets are in it.
func (c *call) partBuild(p *mechanism.Part) {
	p.Glued = c.flag("glued", false)
	infill := c.number("infill", 15) / 100
	if infill < 0 || infill > 1 {
		c.problem("infill", "give a percentage from 0 to 100", "part: an infill of %s %%", num(100*infill))
	}
	if c.has("walls") {
		p.Walls, p.Infill = c.size("walls", 1.2), infill
	} else if c.has("infill") {
		c.problem("infill", "add walls = ...: the thickness of the printed walls", "part: infill is given without walls")
	}
	for _, v := range c.each("magnets") {
		h, ok := v.(*holding)
		if !ok {
			c.problem("magnets", "write [magnet(d = 6, h = 3, at = (0, 0, 2))]", "part: %s is no magnet", describe(v))
			continue
		}
		m, ok := h.data.(mechanism.Magnet)
		if !ok {
			c.problem("magnets", "write [magnet(d = 6, h = 3, at = (0, 0, 2))]", "part: %s is no magnet", describe(v))
			continue
		}
		if slices.ContainsFunc(p.Magnets, func(o mechanism.Magnet) bool { return o.Name == m.Name }) {
			c.problem("magnets", `tell them apart with name = "..."`, "part: two of its magnets are called %q", m.Name)
		}
		p.Magnets = append(p.Magnets, m)
	}
}

// holdsInRadians turns the places, widths and rates of what holds and drives a
// turn or helix from degrees to radians.
func holdsInRadians(t *mechanism.Travel) {
	for i := range t.Detents {
		d := &t.Detents[i]
		d.At, d.Width = radians(d.At), radians(d.Width)
	}
	for i := range t.Latches {
		d := &t.Latches[i]
		d.At, d.Reach = radians(d.At), radians(d.Reach)
	}
	if t.Spring != nil {
		s := *t.Spring
		s.Rate /= radians(1)
		t.Spring = &s
	}
}
