package design

import (
	"math"
	"slices"
	"strings"

	"go.starlark.net/starlark"

	"feint/internal/geom"
	"feint/internal/mechanism"
)

func motionWords() []word {
	g := groupMotion
	axis := arg{"axis", "direction", "", "which way rising values go: x, y, z, -x, -y, -z or three numbers"}
	about := arg{"axis", "direction", "", "the axis; rising values turn counter-clockwise as seen when it points at the eye"}
	through := arg{"through", "point", "(0, 0, 0)", "a point of the axis, with every travel at 0"}
	common := []arg{
		{"name", "words", "the kind", "what the travel is called; needed where a part has two of a kind"},
		{"forward", "words", "from the axis", `how a person calls the way of rising values: "up", "to the left"`},
		{"backward", "words", "from the axis", "and the way of falling values"},
		{"marks", "table", "{}", `named places along the travel: {"shut": 0, "gate": 40}`},
		{"moved_by", "words", `"hand"`, `"hand": gripped and moved at will; "contact": only pushed by other parts, staying where it is left; "gravity": falls as far as the attitude of the box and its clearance allow`},
		{"spring", "spring", "None", "a spring that drives it"},
		{"holds", "list", "[]", "detents and latches along it"},
	}
	return []word{
		{
			group: g, name: "slide", gives: "a travel, to be given to a part", run: func(c *call) starlark.Value { return c.travelOf(mechanism.Slide) },
			doc: "The part slides along an axis. All parts are drawn where they stand when every travel is 0.",
			args: append([]arg{
				axis,
				{"lo", "mm", "", "least value"},
				{"hi", "mm", "", "greatest value"},
			}, common...),
			example: `slide(z, 0, 40, name = "lift")`,
		},
		{
			group: g, name: "turn", gives: "a travel, to be given to a part", run: func(c *call) starlark.Value { return c.travelOf(mechanism.Turn) },
			doc: "The part turns about an axis: between two stops, or without limits all the way round.",
			args: append([]arg{
				about,
				{"lo", "deg", "None", "least value; without lo and hi it turns full circle, from 0 to 360 and on"},
				{"hi", "deg", "None", "greatest value"},
				through,
			}, common...),
			example: `turn(z, marks = {"gate": 40})`,
		},
		{
			group: g, name: "helix", gives: "a travel, to be given to a part", run: func(c *call) starlark.Value { return c.travelOf(mechanism.Helix) },
			doc: "The part turns about an axis and moves along it at once, as a screw does. Its values are angles.",
			args: append([]arg{
				about,
				{"lo", "deg", "", "least value"},
				{"hi", "deg", "", "greatest value"},
				{"lead", "mm", "", "way along the axis in one turn; negative is left-handed"},
				through,
			}, common...),
			example: `helix(z, 0, 720, lead = 4, name = "screw")`,
		},
	}
}

// travelOf reads a travel of a kind. Its values stay in degrees until the
// design is finished.
func (c *call) travelOf(kind mechanism.Kind) starlark.Value {
	t := mechanism.Travel{Kind: kind, Pos: c.pos}
	t.Name = c.travelName(kind)
	t.Axis = geom.Line{Point: c.through(), Dir: c.axis("axis", geom.Vec{Z: 1})}
	if kind == mechanism.Turn && !c.has("lo") && !c.has("hi") {
		t.Full, t.Hi = true, 360
	} else {
		c.limits(&t)
	}
	if kind == mechanism.Helix {
		t.Lead = c.length("lead", 1)
		if t.Lead == 0 && !c.failed {
			c.problem("lead", "give how far one turn moves the part, or use turn(...)", "helix: lead is 0")
		}
	}
	t.Forward, t.Backward = c.ways(&t)
	t.Marks = c.marks(&t)
	c.drives(&t)
	if c.failed {
		return c.standIn()
	}
	return &freedom{opaque{"loose travel"}, t}
}

// travelName reads the name of a travel; it must not hide what else a part has.
func (c *call) travelName(kind mechanism.Kind) string {
	s := c.name(kind.String())
	if s == "name" || s == "solid" {
		c.problem("name", "choose another", "%s: a travel cannot be called %q, since every part has one", c.word.name, s)
		return kind.String()
	}
	return s
}

// limits reads lo and hi.
func (c *call) limits(t *mechanism.Travel) {
	read := c.length
	if turning(t.Kind) {
		read = c.angle
	}
	if t.Kind == mechanism.Turn && c.has("lo") != c.has("hi") {
		c.problem("", "give both lo and hi, or neither for a full circle", "turn: only one of its limits is given")
		t.Hi = 1
		return
	}
	before := c.failed
	t.Lo, t.Hi = read("lo", 0), read("hi", 1)
	if t.Lo >= t.Hi && c.failed == before && c.has("lo") && c.has("hi") {
		c.problem("hi", "the second limit must be the greater", "%s: its limits are %s and %s, so there is no way to go", c.word.name, num(t.Lo), num(t.Hi))
		t.Hi = t.Lo + 1
	}
}

// ways reads what a person calls the two ways of a travel, or finds words for
// the axes of coordinates.
func (c *call) ways(t *mechanism.Travel) (forward, backward string) {
	forward, backward = plainWays(t.Kind, t.Axis.Dir)
	forward, backward = c.text("forward", forward), c.text("backward", backward)
	for _, s := range []string{forward, backward} {
		if strings.TrimSpace(s) == "" || len(s) > maxNameLength || strings.ContainsAny(s, "\n\r\t") {
			c.problem("forward", `write a few words, for example "up"`, "%s: %q does not name a way", c.word.name, clip(s))
		}
	}
	if forward == backward && !c.failed {
		c.problem("backward", "call them differently", "%s: both ways are called %q", c.word.name, forward)
	}
	return forward, backward
}

// plainWays are words for the ways of a travel along an axis of coordinates,
// with the box before the reader: x to the right, y to the back, z up.
func plainWays(kind mechanism.Kind, d geom.Vec) (forward, backward string) {
	k := slices.Index([]geom.Vec{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}, {Z: 1}, {Z: -1}}, d)
	if k < 0 {
		return "forwards", "backwards"
	}
	names := [...]string{"to the right", "to the left", "to the back", "to the front", "up", "down"}
	if kind == mechanism.Slide {
		return names[k], names[k^1]
	}
	from := [...]string{"the right", "the left", "the back", "the front", "above", "below"}[k]
	return "counter-clockwise seen from " + from, "clockwise seen from " + from
}

// maxMarks bounds the named places of a travel.
const maxMarks = 400

// marks reads the named places of a travel, in the order of their values.
func (c *call) marks(t *mechanism.Travel) []mechanism.Mark {
	v := c.value("marks")
	if v == nil {
		return nil
	}
	d, ok := v.(*starlark.Dict)
	if !ok || d.Len() > maxMarks {
		c.problem("marks", `write a table: {"shut": 0, "gate": 40}`, "%s: marks cannot be %s", c.word.name, describe(v))
		return nil
	}
	var ms []mechanism.Mark
	for _, kv := range d.Items() {
		name, ok := starlark.AsString(kv[0])
		if isUnknown(kv[0]) || isUnknown(kv[1]) {
			c.failed = true
			continue
		}
		if why := badName(name); !ok || why != "" {
			c.problem("marks", "use letters, digits, spaces, - and _", "%s: %s is no name for a mark", c.word.name, describe(kv[0]))
			continue
		}
		f, ok := c.asNumber("marks", "the mark "+name, kv[1])
		if !ok {
			continue
		}
		if t.Full {
			f = once(f)
		} else if f < t.Lo || f > t.Hi {
			c.problem("marks", "move the mark or the limits", "%s: the mark %q at %s is outside the limits %s", c.word.name, name, num(f), between(t.Lo, t.Hi, ""))
		}
		ms = append(ms, mechanism.Mark{Name: name, Value: f})
	}
	slices.SortStableFunc(ms, func(a, b mechanism.Mark) int {
		if a.Value != b.Value {
			return int(math.Copysign(1, a.Value-b.Value))
		}
		return strings.Compare(a.Name, b.Name)
	})
	return ms
}

// once brings an angle of a full circle to 0 up to, not including, 360.
func once(deg float64) float64 {
	f := math.Mod(deg, 360)
	if f < 0 {
		f += 360
	}
	if f >= 360 {
		f = 0
	}
	return f
}
