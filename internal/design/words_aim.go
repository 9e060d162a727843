package design

import (
	"math"

	"go.starlark.net/starlark"

	"feint/internal/mechanism"
)

func aimWords() []word {
	g := groupAim
	bounds := arg{"where", "table", "", "{travel: (lo, hi), ...}; None leaves a side open, and the name of a mark may stand for a number. On a full turn lo may exceed hi: the range then runs through 0"}
	return []word{
		{
			group: g, name: "start", gives: "nothing", run: startAt,
			doc:     "Where the travels stand when the box is handed over. A travel that is not named starts at 0.",
			args:    []arg{{"values", "table", "", "{travel: value, ...}; the name of a mark may stand for a number"}},
			example: `start({rod.slide: 0, ring.turn: "gate"})`,
		},
		{
			group: g, name: "step", gives: "nothing", run: addStep,
			doc:     "A situation that every solution must pass through. feint proves that none avoids it, or shows the shortcut.",
			args:    []arg{{"name", "words", "", "what the situation is called"}, bounds},
			example: `step("rod behind ring 2", {rod.slide: (30, 34)})`,
		},
		{
			group: g, name: "goal", gives: "nothing", run: setGoal,
			doc:     "When the box counts as open.",
			args:    []arg{{"name", "words", "", "what it is called"}, bounds},
			example: `goal("lid clear", {lid.lift: (8, None)})`,
		},
	}
}

// valueOn reads a value of a travel: a number, or the name of a mark.
func (c *call) valueOn(name string, t *travel, v starlark.Value) (float64, bool) {
	s, isName := starlark.AsString(v)
	if !isName {
		return c.asNumber(name, "a value of "+t.String(), v)
	}
	var names []string
	for _, m := range t.travel.Marks {
		if m.Name == s {
			return m.Value, true
		}
		names = append(names, m.Name)
	}
	c.problem(name, orElse(meant(s, names), `add it: marks = {"name": value}`), "%s: %s has no mark called %q", c.word.name, t, clip(s))
	return 0, false
}

// table reads a table whose keys are travels of parts.
func (c *call) table(name string, each func(t *travel, v starlark.Value)) {
	v := c.value(name)
	if v == nil {
		return
	}
	d, ok := v.(*starlark.Dict)
	if !ok {
		c.problem(name, "write a table: {lid.lift: (8, None)}", "%s: %s must be a table, not %s", c.word.name, name, describe(v))
		return
	}
	for _, kv := range d.Items() {
		switch t := kv[0].(type) {
		case unknown:
			c.failed = true
		case *travel:
			each(t, kv[1])
		case *part:
			c.problem(name, "write which travel of it, for example "+exampleTravel(t), "%s: %s is a part, not a travel", c.word.name, t.name)
		default:
			c.problem(name, "write a travel of a part, for example lid.lift", "%s: %s is no travel", c.word.name, describe(kv[0]))
		}
	}
}

func exampleTravel(p *part) string {
	if len(p.travels) > 0 {
		return p.travels[0].String()
	}
	return "lid.lift"
}

func startAt(c *call) starlark.Value {
	d := &c.l.draft
	if d.started {
		c.problem("", "put all values into one start", "there is a start already, on %s", d.startPos)
		return starlark.None
	}
	d.started, d.startPos = true, c.pos
	c.table("values", func(t *travel, v starlark.Value) {
		f, ok := c.valueOn("values", t, v)
		if !ok {
			return
		}
		if t.travel.Full {
			f = once(f)
		} else if f < t.travel.Lo || f > t.travel.Hi {
			c.problem("values", "change the start or the limits of the travel", "start: %s is to start at %s, outside its limits %s", t, num(f), between(t.travel.Lo, t.travel.Hi, ""))
			return
		}
		d.start = append(d.start, bound{t, f, f})
	})
	return starlark.None
}

func addStep(c *call) starlark.Value {
	r := c.region("step")
	for _, s := range c.l.draft.steps {
		if s.name == r.name && r.name != "" {
			c.problem("name", "give one of them another name", "there is a step called %q already, on %s", r.name, s.pos)
		}
	}
	c.l.draft.steps = append(c.l.draft.steps, r)
	return starlark.None
}

func setGoal(c *call) starlark.Value {
	d := &c.l.draft
	r := c.region("goal")
	if d.goal != nil {
		c.problem("", "keep one; all its bounds must hold at once", "there is a goal already, on %s", d.goal.pos)
		return starlark.None
	}
	d.goal = &r
	return starlark.None
}

// region reads a named set of bounds.
func (c *call) region(kind string) region {
	r := region{name: c.name(""), pos: c.pos}
	c.table("where", func(t *travel, v starlark.Value) {
		if b, ok := c.bound(t, v); ok {
			r.bounds = append(r.bounds, b)
		}
	})
	if len(r.bounds) == 0 && !c.failed && c.has("where") {
		c.problem("where", "name a travel and its range", "%s %q says nothing", kind, r.name)
	}
	r.unsure = c.failed
	return r
}

// bound reads a range of a travel and checks that the travel can be there.
func (c *call) bound(t *travel, v starlark.Value) (bound, bool) {
	fail := func(advice, format string, args ...any) (bound, bool) {
		c.problem("where", advice, format, args...)
		return bound{}, false
	}
	vs, ok := elements(v)
	if isUnknown(v) {
		c.failed = true
		return bound{}, false
	}
	if !ok || len(vs) != 2 {
		return fail("write a range (lo, hi); None leaves a side open", "%s: the range of %s cannot be %s", c.word.name, t, describe(v))
	}
	b := bound{t, math.Inf(-1), math.Inf(1)}
	for i, at := range []*float64{&b.lo, &b.hi} {
		if vs[i] == starlark.None {
			continue
		}
		if *at, ok = c.valueOn("where", t, vs[i]); !ok {
			return bound{}, false
		}
	}
	if t.travel.Full {
		return c.roundBound(b)
	}
	lo, hi := t.travel.Lo, t.travel.Hi
	switch {
	case math.IsInf(b.lo, 0) && math.IsInf(b.hi, 0):
		return fail("give at least one number", "%s: (None, None) says nothing about %s", c.word.name, t)
	case b.lo > b.hi:
		return fail("write the smaller one first", "%s: the range of %s runs from %s to %s", c.word.name, t, num(b.lo), num(b.hi))
	case b.lo > hi || b.hi < lo:
		return fail("change the range or the limits", "%s: the range %s of %s lies outside its limits %s", c.word.name, between(b.lo, b.hi, ""), t, between(lo, hi, ""))
	}
	return b, true
}

// roundBound brings a range of a full turn to one turn.
func (c *call) roundBound(b bound) (bound, bool) {
	fail := func(advice, format string, args ...any) (bound, bool) {
		c.problem("where", advice, format, args...)
		return bound{}, false
	}
	switch {
	case math.IsInf(b.lo, 0) || math.IsInf(b.hi, 0):
		return fail("give both ends of the range", "%s: %s turns full circle and has no end to leave open", c.word.name, b.on)
	case math.Abs(b.hi-b.lo) >= 360:
		return fail("give a range of less than 360 degrees", "%s: the range %s to %s of %s is the whole circle", c.word.name, num(b.lo), num(b.hi), b.on)
	}
	lo, hi := once(b.lo), once(b.hi)
	if hi == 0 && lo > 0 {
		hi = 360
	}
	return bound{b.on, lo, hi}, true
}

// holds tells whether a value lies in the range.
func (b bound) holds(v float64) bool {
	if b.on.travel.Full && b.lo > b.hi {
		return v >= b.lo || v <= b.hi
	}
	return v >= b.lo && v <= b.hi
}

// bound keeps a travel within a range; region is a set of them, and fit a
// declared press fit. Angles are degrees, parts are named.
type bound struct {
	on     *travel
	lo, hi float64
}

type region struct {
	name   string
	bounds []bound
	unsure bool // a mistake left bounds out
	pos    mechanism.Pos
}

type fit struct {
	a, b            string
	depth           float64
	pos, posA, posB mechanism.Pos
}
