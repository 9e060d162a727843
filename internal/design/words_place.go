package design

import (
	"math"

	"go.starlark.net/starlark"
	"gonum.org/v1/gonum/spatial/r3"

	"feint/internal/geom"
	"feint/internal/mechanism"
)

func placeWords() []word {
	g := groupPlace
	by := []arg{{"x", "mm", "0", "to the right"}, {"y", "mm", "0", "to the back"}, {"z", "mm", "0", "up"}}
	through := arg{"through", "point", "(0, 0, 0)", "a point of the axis"}
	return []word{
		{
			on: "solid", group: g, name: "at", gives: "a solid", run: at,
			doc: "The solid moved by so much.", args: by, example: "cylinder(d = 4, h = 6).at(x = 10, z = 2)",
		},
		{
			on: "solid", group: g, name: "along", gives: "a solid", run: along,
			doc:     "The solid laid over so that its up (z) points along an axis, by the shortest turn about (0, 0, 0).",
			args:    []arg{{"axis", "direction", "", "x, y, z, -x, -y, -z or three numbers"}},
			example: "cylinder(d = 3, h = 4).along(x)",
		},
		{
			on: "solid", group: g, name: "turned", gives: "a solid", run: turned,
			doc:     "The solid turned, counter-clockwise as seen when the axis points at the eye.",
			args:    []arg{{"angle", "deg", "", "how far"}, {"about", "direction", "z", "the axis"}, through},
			example: "block(10, 4, 4).turned(30)",
		},
		{
			on: "solid", group: g, name: "mirrored", gives: "a solid", run: mirrored,
			doc:     "The mirror image of the solid in the plane that is square to an axis: mirrored(x) swaps left and right.",
			args:    []arg{{"across", "direction", "", "the axis that is reversed"}, {"through", "point", "(0, 0, 0)", "a point of the plane"}},
			example: "cylinder(d = 4, h = 6).at(x = 10).mirrored(x)",
		},
		{
			on: "solid", group: g, name: "repeated", gives: "a solid", run: repeated,
			doc:     "The solid so many times in a row, joined; the first is the solid itself.",
			args:    append([]arg{{"times", "", "", "how many in all"}}, by...),
			example: "cylinder(d = 2, h = 6).repeated(5, x = 8)",
		},
		{
			on: "solid", group: g, name: "around", gives: "a solid", run: around,
			doc:     "The solid so many times round an axis, joined; the first is the solid itself.",
			args:    []arg{{"times", "", "", "how many in all"}, {"step", "deg", "360 / times", "from one to the next"}, {"about", "direction", "z", "the axis"}, through},
			example: "cylinder(d = 2, h = 6).at(x = 10).around(8)",
		},
		{
			on: "outline", group: groupOutline, name: "at", gives: "an outline", run: outlineAt,
			doc: "The outline moved by so much.", args: by[:2], example: "disc(d = 4).at(x = 5)",
		},
		{
			on: "outline", group: groupOutline, name: "turned", gives: "an outline", run: outlineTurned,
			doc: "The outline turned counter-clockwise about (0, 0).", args: []arg{{"angle", "deg", "", "how far"}},
			example: "rectangle(10, 4).turned(45)",
		},
		{
			on: "outline", group: groupOutline, name: "mirrored", gives: "an outline", run: outlineMirrored,
			doc:  "The mirror image of the outline: mirrored(x) swaps left and right, mirrored(y) up and down.",
			args: []arg{{"across", "direction", "", "x or y"}}, example: "outline([(0, 0), (9, 0), (0, 4)]).mirrored(x)",
		},
	}
}

// place gives the call's solid moved by m.
func (c *call) place(m geom.Motion) starlark.Value {
	if c.failed {
		return c.standIn()
	}
	return c.l.moved(c.self.(*solid), m, c.pos)
}

func (c *call) offset() geom.Vec {
	return geom.Vec{X: c.length("x", 0), Y: c.length("y", 0), Z: c.length("z", 0)}
}

func at(c *call) starlark.Value { return c.place(geom.Translation(c.offset())) }

func along(c *call) starlark.Value {
	return c.place(geom.Motion{R: carrying(geom.Vec{Z: 1}, c.axis("axis", geom.Vec{Z: 1}))})
}

// carrying is the shortest turn that carries the unit vector a to b, exact for
// axes of coordinates: R = c I + [k] + k k'/(1+c), k = a x b, c = a.b.
func carrying(a, b geom.Vec) [3]geom.Vec {
	k, co := r3.Cross(a, b), r3.Dot(a, b)
	if co < -1+1e-12 {
		// half a turn about an axis square to a: x, or y where a is x
		n := geom.Vec{X: 1}
		if math.Abs(a.X) > 0.9 {
			n = geom.Vec{Y: 1}
		}
		n = r3.Unit(r3.Sub(n, r3.Scale(r3.Dot(n, a), a)))
		return [3]geom.Vec{
			{X: 2*n.X*n.X - 1, Y: 2 * n.X * n.Y, Z: 2 * n.X * n.Z},
			{X: 2 * n.X * n.Y, Y: 2*n.Y*n.Y - 1, Z: 2 * n.Y * n.Z},
			{X: 2 * n.X * n.Z, Y: 2 * n.Y * n.Z, Z: 2*n.Z*n.Z - 1},
		}
	}
	f := 1 / (1 + co)
	return [3]geom.Vec{
		{X: co + f*k.X*k.X, Y: f*k.X*k.Y - k.Z, Z: f*k.X*k.Z + k.Y},
		{X: f*k.X*k.Y + k.Z, Y: co + f*k.Y*k.Y, Z: f*k.Y*k.Z - k.X},
		{X: f*k.X*k.Z - k.Y, Y: f*k.Y*k.Z + k.X, Z: co + f*k.Z*k.Z},
	}
}

// rotation turns by degrees about the line through p, exactly where the angle
// is a multiple of 90 (Rodrigues' formula).
func rotation(p, k geom.Vec, deg float64) geom.Motion {
	s, c := exact(deg)
	v := 1 - c
	m := geom.Motion{R: [3]geom.Vec{
		{X: c + k.X*k.X*v, Y: k.X*k.Y*v - k.Z*s, Z: k.X*k.Z*v + k.Y*s},
		{X: k.Y*k.X*v + k.Z*s, Y: c + k.Y*k.Y*v, Z: k.Y*k.Z*v - k.X*s},
		{X: k.Z*k.X*v - k.Y*s, Y: k.Z*k.Y*v + k.X*s, Z: c + k.Z*k.Z*v},
	}}
	m.T = r3.Sub(p, m.Turn(p))
	return m
}

func turned(c *call) starlark.Value {
	return c.place(rotation(c.through(), c.axis("about", geom.Vec{Z: 1}), c.angle("angle", 0)))
}

func mirrored(c *call) starlark.Value {
	plane := geom.Line{Point: c.through(), Dir: c.axis("across", geom.Vec{X: 1})}
	if c.failed {
		return c.standIn()
	}
	v := c.l.operation(mechanism.Mirror, c.pos, c.self.(*solid))
	if s, ok := v.(*solid); ok {
		s.shape.Plane = plane
	}
	return v
}

// copies joins the call's solid with copies of it, moved by at(1), at(2) ...
func (c *call) copies(n int, at func(i int) geom.Motion) starlark.Value {
	if c.failed {
		return c.standIn()
	}
	s := c.self.(*solid)
	if product(n, s.leaves) > maxLeaves {
		c.problem("times", "use fewer repeats", "%s: that makes %d pieces, more than %d", c.word.name, product(n, s.leaves), maxLeaves)
		return c.standIn()
	}
	c.l.charge(c.thread, n*wordCost)
	all := []*solid{s}
	for i := 1; i < n; i++ {
		all = append(all, c.l.moved(s, at(i), c.pos))
	}
	if n == 1 {
		return s
	}
	return c.l.operation(mechanism.Join, c.pos, all...)
}

func repeated(c *call) starlark.Value {
	n, d := c.count("times", 1, 1, maxLeaves), c.offset()
	if !c.failed && n > 1 && d == (geom.Vec{}) {
		c.problem("", "add x = ..., y = ... or z = ...: the way from one to the next", "repeated: all would lie in the same place")
	}
	return c.copies(n, func(i int) geom.Motion { return geom.Translation(r3.Scale(float64(i), d)) })
}

func around(c *call) starlark.Value {
	n := c.count("times", 1, 1, maxLeaves)
	step := c.angle("step", 360/float64(n))
	p, k := c.through(), c.axis("about", geom.Vec{Z: 1})
	if !c.failed && n > 1 && step == 0 {
		c.problem("step", "leave it out to go evenly all round", "around: all would lie in the same place")
	}
	whole := !c.has("step")
	return c.copies(n, func(i int) geom.Motion {
		if whole {
			// one division, so that the quarters of a circle are exact
			return rotation(p, k, 360*float64(i)/float64(n))
		}
		return rotation(p, k, step*float64(i))
	})
}

// mapped gives the call's outline with every corner moved; flip reverses it.
func (c *call) mapped(flip bool, to func(x, y float64) (float64, float64)) starlark.Value {
	if c.failed {
		return c.standIn()
	}
	var p mechanism.Profile
	for _, loop := range c.self.(*outline).profile.Loops {
		c.l.charge(c.thread, len(loop))
		moved := make([]mechanism.ProfilePoint, len(loop))
		for i, q := range loop {
			moved[i] = q
			moved[i].X, moved[i].Y = to(q.X, q.Y)
			if flip {
				moved[i].Bulge = -q.Bulge
			}
		}
		if flip {
			moved = reversed(moved)
		}
		p.Loops = append(p.Loops, moved)
	}
	return c.figure(p)
}

func outlineAt(c *call) starlark.Value {
	dx, dy := c.length("x", 0), c.length("y", 0)
	return c.mapped(false, func(x, y float64) (float64, float64) { return x + dx, y + dy })
}

func outlineTurned(c *call) starlark.Value {
	s, co := exact(c.angle("angle", 0))
	return c.mapped(false, func(x, y float64) (float64, float64) { return co*x - s*y, s*x + co*y })
}

func outlineMirrored(c *call) starlark.Value {
	switch d := c.axis("across", geom.Vec{X: 1}); {
	case math.Abs(d.X) == 1:
		return c.mapped(true, func(x, y float64) (float64, float64) { return -x, y })
	case math.Abs(d.Y) == 1:
		return c.mapped(true, func(x, y float64) (float64, float64) { return x, -y })
	default:
		c.problem("across", "write x or y", "mirrored: an outline lies in the plane of x and y")
		return c.standIn()
	}
}
