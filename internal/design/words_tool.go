package design

import (
	"slices"

	"go.starlark.net/starlark"

	"feint/internal/mechanism"
)

// tool is a tool as described; its seats are tables of bounds.
type tool struct {
	name  string
	seats [][]bound
	pos   mechanism.Pos
}

func addTool(c *call) starlark.Value {
	d := &c.l.draft
	t := tool{name: c.name(""), pos: c.pos}
	for _, u := range d.tools {
		if u.name == t.name && t.name != "" {
			c.problem("name", "give one of them another name", "there is a tool called %q already, on %s", t.name, u.pos)
		}
	}
	for _, v := range c.seq("seats") {
		t.seats = append(t.seats, c.seat(v))
	}
	if len(t.seats) < 2 && !c.failed {
		c.problem("seats", "name at least two places, the one where it begins first", "tool %q has fewer than two places", t.name)
	}
	if !c.failed {
		d.tools = append(d.tools, t)
	}
	return starlark.None
}

// seat reads one place of a tool: bounds on every travel of one part.
func (c *call) seat(v starlark.Value) []bound {
	one := &call{l: c.l, word: c.word, args: map[string]starlark.Value{"where": v}, key: c.key, pos: c.pos, via: c.via}
	var out []bound
	one.table("where", func(t *travel, v starlark.Value) {
		if b, ok := one.bound(t, v); ok {
			out = append(out, b)
		}
	})
	c.failed = c.failed || one.failed
	if c.failed {
		return out
	}
	if len(out) == 0 {
		c.problem("seats", "write {travel: (lo, hi)} of the part in that place", "tool: a place names no travel")
		return out
	}
	owner := out[0].on.owner
	for _, b := range out {
		if b.on.owner != owner {
			c.problem("seats", "one table for each place", "tool: a place names travels of %s and of %s, but it is one part", owner.name, b.on.owner.name)
		}
	}
	for _, t := range owner.travels {
		if !slices.ContainsFunc(out, func(b bound) bool { return b.on == t }) {
			c.problem("seats", "say where it stands when the tool is out", "tool: nothing is said of %s", t)
		}
	}
	return out
}

// finishTools fills in the tools.
func (l *loader) finishTools(m *mechanism.Mechanism, numbers map[*travel]int, index map[string]int) {
	used := map[int]string{}
	for _, t := range l.draft.tools {
		out := mechanism.Tool{Name: t.name, Pos: t.pos}
		for _, s := range t.seats {
			seat := mechanism.Seat{Part: index[s[0].on.owner.name]}
			if u, ok := used[seat.Part]; ok {
				l.reportf(t.pos, "draw it once more as another part", "the part %q is a place of the tool %q already", s[0].on.owner.name, u)
			}
			used[seat.Part] = t.name
			for _, b := range s {
				seat.Out = append(seat.Out, mechanism.Bound{Travel: numbers[b.on], Lo: b.on.inside(b.lo), Hi: b.on.inside(b.hi)})
			}
			out.Seats = append(out.Seats, seat)
		}
		m.Tools = append(m.Tools, out)
	}
}
