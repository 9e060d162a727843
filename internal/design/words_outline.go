package design

import (
	"fmt"
	"math"
	"slices"

	"go.starlark.net/starlark"

	"feint/internal/mechanism"
)

func outlineWords() []word {
	g := groupOutline
	return []word{
		{
			group: g, name: "outline", gives: "an outline", run: drawOutline,
			doc: "A plane figure from its corners, in order, either way round. It closes by itself. A corner is a pair (x, y), or corner(...) where it is rounded or the edge after it is an arc.",
			args: []arg{
				{"corners", "list", "", "the corners"},
				{"holes", "list", "[]", "outlines that are cut out; they must lie inside and apart"},
			},
			example: "outline([(0, 0), (20, 0), corner(20, 12, round = 3), (0, 12)])",
		},
		{
			group: g, name: "corner", gives: "a corner", run: cornerOf,
			doc: "A corner of an outline.",
			args: []arg{
				{"x", "mm", "", "place across"},
				{"y", "mm", "", "place up"},
				{"round", "mm", "0", "radius that replaces the corner, between two straight edges"},
				{"arc", "deg", "0", "the edge to the next corner is an arc of this many degrees; positive bends out to the right of the way, so that going round counter-clockwise it bulges"},
			},
			example: "corner(10, 0, arc = 90)",
		},
		{
			group: g, name: "disc", gives: "an outline", run: disc,
			doc: "A full circle about (0, 0).", args: []arg{{"d", "mm", "None", "diameter"}, {"r", "mm", "None", "radius, in place of the diameter"}},
			example: "disc(d = 20) - disc(d = 4).at(x = 5)",
		},
		{
			group: g, name: "rectangle", gives: "an outline", run: rectangle,
			doc: "A rectangle about (0, 0).",
			args: []arg{
				{"x", "mm", "", "size across"},
				{"y", "mm", "", "size up"},
				{"round", "mm", "0", "radius of the corners"},
			},
			example: "rectangle(30, 12, round = 2)",
		},
		{
			group: g, name: "slot", gives: "an outline", run: slot,
			doc:     "A slot with round ends about (0, 0), lying along x.",
			args:    []arg{{"length", "mm", "", "from end to end"}, {"width", "mm", "", "across"}},
			example: "slot(length = 20, width = 5)",
		},
		{
			group: g, name: "regular", gives: "an outline", run: regular,
			doc: "A figure of equal sides about (0, 0), with a flat side below.",
			args: []arg{
				{"sides", "", "", "how many, 3 to 360"},
				{"across", "mm", "", "diameter of the circle that touches the sides from inside; for an even number the distance across flats"},
				{"round", "mm", "0", "radius of the corners"},
			},
			example: "regular(sides = 6, across = 10)",
		},
		{
			group: g, name: "prism", gives: "a solid", run: prism,
			doc: "An outline raised straight up from z = 0. To stand a cross-section up, draw it as it is seen from the front (x to the right, y up) and follow with .turned(90, about = x): up is then z, and the prism runs from y = 0 to the front, y = -h.",
			args: []arg{
				{"outline", "outline", "", "the figure"},
				{"h", "mm", "", "height"},
				{"chamfer", "mm", "0", "leg of the 45-degree chamfer round the outer rim, at both ends"},
			},
			example: "prism(rectangle(30, 12, round = 2), h = 4)",
		},
		{
			group: g, name: "revolved", gives: "a solid", run: revolved,
			doc:     "An outline turned about the z axis. Its x is the distance from the axis, never negative, and its y is the height.",
			args:    []arg{{"outline", "outline", "", "the figure"}, {"angle", "deg", "360", "how far it is turned, counter-clockwise from x"}},
			example: "revolved(outline([(4, 0), (9, 0), (6, 10), (4, 10)]))",
		},
	}
}

// maxCorners bounds the corners of an outline.
const maxCorners = 5000

func (c *call) figure(p mechanism.Profile) starlark.Value {
	if c.failed {
		return c.standIn()
	}
	return &outline{opaque{"outline"}, p}
}

func drawOutline(c *call) starlark.Value {
	vs := c.seq("corners")
	if len(vs) > maxCorners {
		c.problem("corners", "use arcs for curves", "outline: there are %d corners, more than %d", len(vs), maxCorners)
		return c.standIn()
	}
	loop := make([]mechanism.ProfilePoint, 0, len(vs))
	for i, v := range vs {
		loop = append(loop, c.cornerPoint(i, v))
	}
	if !c.failed {
		c.checkLoop("corners", loop)
	}
	p := mechanism.Profile{Loops: [][]mechanism.ProfilePoint{counterClockwise(loop)}}
	for i, v := range c.seq("holes") {
		h, ok := v.(*outline)
		switch {
		case isUnknown(v):
			c.failed = true
		case !ok:
			c.problem("holes", "put only outlines into the list", "outline: hole %d is %s", i+1, describe(v))
		default:
			p = withHole(p, h.profile)
		}
	}
	return c.figure(p)
}

// cornerPoint reads a corner of a list.
func (c *call) cornerPoint(i int, v starlark.Value) mechanism.ProfilePoint {
	switch v := v.(type) {
	case *vertex:
		return v.point
	case unknown:
		c.failed = true
		return mechanism.ProfilePoint{}
	}
	vs, ok := elements(v)
	if !ok || len(vs) != 2 {
		c.problem("corners", "write (x, y) or corner(x, y, ...)", "outline: corner %d is %s", i+1, describe(v))
		return mechanism.ProfilePoint{}
	}
	x, _ := c.asLength("corners", fmt.Sprintf("x of corner %d", i+1), vs[0])
	y, _ := c.asLength("corners", fmt.Sprintf("y of corner %d", i+1), vs[1])
	return mechanism.ProfilePoint{X: x, Y: y}
}

// maxArc is the largest arc between two corners, deg; a full circle has no
// corners.
const maxArc = 350.0

func cornerOf(c *call) starlark.Value {
	p := mechanism.ProfilePoint{X: c.length("x", 0), Y: c.length("y", 0), Round: c.extra("round", 0)}
	arc := c.angle("arc", 0)
	if math.Abs(arc) > maxArc {
		c.problem("arc", "give one between -350 and 350", "corner: an arc of %s degrees", num(arc))
		arc = 0
	}
	if p.Round > 0 && arc != 0 {
		c.problem("round", "keep one of the two", "corner: a corner between straight edges can be rounded, but an arc begins here")
	}
	p.Bulge = bulge(arc)
	if c.failed {
		return c.standIn()
	}
	return &vertex{opaque{"corner"}, p}
}

// bulge is the tangent of a quarter of an arc in degrees.
func bulge(arc float64) float64 {
	if arc == 180 || arc == -180 {
		return math.Copysign(1, arc)
	}
	return math.Tan(arc * math.Pi / 720)
}

func disc(c *call) starlark.Value {
	r := c.radius()
	return c.figure(mechanism.Profile{Loops: [][]mechanism.ProfilePoint{{{X: r, Bulge: 1}, {X: -r, Bulge: 1}}}})
}

func rectangle(c *call) starlark.Value {
	x, y, r := c.size("x", 1)/2, c.size("y", 1)/2, c.extra("round", 0)
	loop := []mechanism.ProfilePoint{{X: -x, Y: -y, Round: r}, {X: x, Y: -y, Round: r}, {X: x, Y: y, Round: r}, {X: -x, Y: y, Round: r}}
	if !c.failed && r > min(x, y) {
		c.problem("round", fmt.Sprintf("make it %s mm at most", num(min(x, y))), "rectangle: corners of %s mm do not fit on sides of %s and %s mm", num(r), num(2*x), num(2*y))
	}
	return c.figure(mechanism.Profile{Loops: [][]mechanism.ProfilePoint{loop}})
}

func slot(c *call) starlark.Value {
	l, w := c.size("length", 2), c.size("width", 1)
	if !c.failed && l <= w {
		c.problem("length", "make it longer than wide, or use disc(...)", "slot: it is %s mm long and %s mm wide", num(l), num(w))
	}
	a, b := (l-w)/2, w/2
	return c.figure(mechanism.Profile{Loops: [][]mechanism.ProfilePoint{{
		{X: -a, Y: -b}, {X: a, Y: -b, Bulge: 1}, {X: a, Y: b}, {X: -a, Y: b, Bulge: 1},
	}}})
}

func regular(c *call) starlark.Value {
	n, across, r := c.count("sides", 6, 3, 360), c.size("across", 1), c.extra("round", 0)
	if !c.failed && r >= across/2 {
		c.problem("round", "make it smaller, or use disc(...)", "regular: corners of %s mm do not fit", num(r))
	}
	outer := across / 2 / math.Cos(math.Pi/float64(n))
	loop := make([]mechanism.ProfilePoint, n)
	for i := range loop {
		// the first corner is the right end of the flat side below
		s, co := exact(-90 + 180/float64(n) + 360*float64(i)/float64(n))
		loop[i] = mechanism.ProfilePoint{X: outer * co, Y: outer * s, Round: r}
	}
	return c.figure(mechanism.Profile{Loops: [][]mechanism.ProfilePoint{loop}})
}

// figureOf reads an argument that is an outline.
func (c *call) figureOf(name string) mechanism.Profile {
	v := c.value(name)
	if v == nil {
		return mechanism.Profile{}
	}
	o, ok := v.(*outline)
	if !ok {
		c.problem(name, "draw one with outline, disc, rectangle, slot or regular", "%s: %s must be an outline, not %s", c.word.name, name, describe(v))
		return mechanism.Profile{}
	}
	return o.profile
}

func prism(c *call) starlark.Value {
	p, h, ch := c.figureOf("outline"), c.size("h", 1), c.extra("chamfer", 0)
	if !c.failed && 2*ch > h {
		c.problem("chamfer", fmt.Sprintf("make it %s mm at most", num(h/2)), "prism: two chamfers of %s mm do not fit in a height of %s mm", num(ch), num(h))
	}
	return c.leaf(mechanism.Extrusion{Profile: p, H: h, Chamfer: ch})
}

func revolved(c *call) starlark.Value {
	p, a := c.figureOf("outline"), c.angle("angle", 360)
	if a <= 0 || a > 360 {
		c.problem("angle", "give one above 0 and up to 360", "revolved: an angle of %s degrees", num(a))
	}
	if least := leastX(p); !c.failed && least < -1e-9 {
		c.problem("outline", "move it to the right, or cut off what lies left of x = 0", "revolved: the outline reaches x = %s, beyond the axis", num(least))
	}
	return c.leaf(mechanism.Revolution{Profile: p, Angle: a * math.Pi / 180})
}

// hole cuts the figure b out of a.
func (l *loader) hole(pos mechanism.Pos, a, b *outline) starlark.Value {
	if len(a.profile.Loops)+len(b.profile.Loops) > maxCorners {
		l.reportf(pos, "use fewer", "the outline has too many holes")
		return unknown{}
	}
	return &outline{opaque{"outline"}, withHole(a.profile, b.profile)}
}

// withHole adds the outer loop of h as a hole of p, clockwise.
func withHole(p, h mechanism.Profile) mechanism.Profile {
	return mechanism.Profile{Loops: append(slices.Clip(p.Loops), reversed(h.Loops[0]))}
}
