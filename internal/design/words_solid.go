package design

import (
	"fmt"
	"math"

	"go.starlark.net/starlark"

	"feint/internal/geom"
	"feint/internal/mechanism"
)

// bottomTop documents an edge treatment of the two rims of a round body.
const bottomTop = "; a pair (bottom, top) treats the rims apart"

func solidWords() []word {
	g := groupSolid
	diameter := []arg{
		{"d", "mm", "None", "diameter; either it or r is needed"},
		{"r", "mm", "None", "radius, in place of the diameter"},
	}
	return []word{
		{
			group: g, name: "block", gives: "a solid", run: block,
			doc: "A block with faces square to the axes. A single number is the size: the block is then centred on x = 0 and y = 0 and stands on z = 0. A pair (from, to) says where the block begins and ends.",
			args: []arg{
				{"x", "mm", "", "size across, or (from, to)"},
				{"y", "mm", "", "size from front to back, or (from, to)"},
				{"z", "mm", "", "height, or (from, to)"},
				{"round", "mm", "0", "radius of the rounded edges"},
				{"chamfer", "mm", "0", "leg of the 45-degree chamfer of the edges, in place of round"},
				{"edges", "words", `"all"`, `which edges are treated: "all", "vertical", "top" or "bottom"`},
			},
			example: `block(40, 30, (2, 12), chamfer = 1, edges = "top")`,
		},
		{
			group: g, name: "cylinder", gives: "a solid", run: cylinder,
			doc: "An upright cylinder on z = 0.",
			args: []arg{
				diameter[0],
				{"h", "mm", "", "height"},
				diameter[1],
				{"round", "mm", "0", "radius of the rounded rims" + bottomTop},
				{"chamfer", "mm", "0", "leg of the chamfered rims" + bottomTop},
			},
			example: "cylinder(d = 12, h = 40, chamfer = (0.4, 1))",
		},
		{
			group: g, name: "tube", gives: "a solid", run: tube,
			doc: "An upright cylinder on z = 0 with a bore right through.",
			args: []arg{
				{"d", "mm", "", "outer diameter"},
				{"bore", "mm", "", "diameter of the bore"},
				{"h", "mm", "", "height"},
				{"round", "mm", "0", "radius of the rounded outer rims" + bottomTop},
				{"chamfer", "mm", "0", "leg of the chamfered outer rims" + bottomTop},
			},
			example: "tube(d = 30, bore = 20.5, h = 8)",
		},
		{
			group: g, name: "cone", gives: "a solid", run: cone,
			doc: "An upright cone on z = 0; one of the two diameters may be 0.",
			args: []arg{
				{"d", "mm", "None", "the pair of diameters (at the bottom, at the top)"},
				{"h", "mm", "", "height"},
				{"r", "mm", "None", "the pair of radii, in place of the diameters"},
			},
			example: "cone(d = (12, 4), h = 10)",
		},
		{
			group: g, name: "sphere", gives: "a solid", run: sphere,
			doc: "A sphere about the point (0, 0, 0).", args: diameter, example: "sphere(d = 8)",
		},
		{
			group: g, name: "mesh", gives: "a solid", run: meshFile,
			doc: "A shape from an STL or 3MF file in the folder of the design, placed as it stands in the file.",
			args: []arg{
				{"file", "words", "", "name of the file, seen from the folder of the design"},
				{"object", "words", `""`, "name of one object of a 3MF file; without it all of them"},
				{"scale", "", "1", "factor of size; 25.4 for an STL file drawn in inches"},
			},
			example: `mesh("lid.stl")`,
		},
		{
			group: g, name: "joined", gives: "a solid", run: joined,
			doc:     "All the solids of a list made one, as + does for two.",
			args:    []arg{{"solids", "list", "", "the solids"}},
			example: "joined([cylinder(d = 4, h = 10).at(x = 8 * i) for i in range(5)])",
		},
	}
}

func block(c *call) starlark.Value {
	x0, x1 := c.extent("x", true)
	y0, y1 := c.extent("y", true)
	z0, z1 := c.extent("z", false)
	b := mechanism.Block{Lo: geom.Vec{X: x0, Y: y0, Z: z0}, Hi: geom.Vec{X: x1, Y: y1, Z: z1}}
	b.Edge = mechanism.Edge{Round: c.extra("round", 0), Chamfer: c.extra("chamfer", 0)}
	edges := c.choice("edges", "all", "vertical", "top", "bottom")
	c.oneTreatment(b.Edge)
	size := max(b.Edge.Round, b.Edge.Chamfer)
	if size == 0 {
		if c.has("edges") && !c.failed {
			c.problem("edges", "add round = ... or chamfer = ...", "block: edges is given, but neither round nor chamfer")
		}
		return c.leaf(b)
	}
	b.Edges = edges
	room := min(x1-x0, y1-y0) / 2
	switch edges {
	case "all":
		room = min(room, (z1-z0)/2)
	case "top", "bottom":
		room = min(room, z1-z0)
	}
	if size > room && !c.failed {
		which := "chamfer"
		if b.Edge.Round > 0 {
			which = "round"
		}
		c.problem(which, fmt.Sprintf("make it %s mm at most", num(room)), "block: %s is %s mm, but the block has room for %s mm", which, num(size), num(room))
	}
	return c.leaf(b)
}

// extent reads a size, or a pair of places.
func (c *call) extent(name string, centred bool) (lo, hi float64) {
	v := c.value(name)
	if v == nil {
		return 0, 1
	}
	if vs, ok := elements(v); ok {
		lo, hi = c.pairOf(name, vs, "from", "to")
		if lo >= hi && !c.failed {
			c.problem(name, "write the smaller one first", "block: %s runs from %s to %s", name, num(lo), num(hi))
			return 0, 1
		}
		return lo, hi
	}
	s := c.size(name, 1)
	if centred {
		return -s / 2, s / 2
	}
	return 0, s
}

// pairOf reads two lengths.
func (c *call) pairOf(name string, vs []starlark.Value, first, second string) (a, b float64) {
	if len(vs) != 2 {
		c.problem(name, fmt.Sprintf("write a pair: (%s, %s)", first, second), "%s: %s has %d numbers", c.word.name, name, len(vs))
		return 0, 1
	}
	a, okA := c.asLength(name, name+" ("+first+")", vs[0])
	b, okB := c.asLength(name, name+" ("+second+")", vs[1])
	if !okA || !okB {
		return 0, 1
	}
	return a, b
}

// oneTreatment refuses an edge that is to be both rounded and chamfered.
func (c *call) oneTreatment(e mechanism.Edge) {
	if e.Round > 0 && e.Chamfer > 0 {
		c.problem("chamfer", "keep one of the two", "%s: the same edges cannot be both rounded and chamfered", c.word.name)
	}
}

// radius reads d or r.
func (c *call) radius() float64 {
	switch {
	case c.has("d") && c.has("r"):
		c.problem("r", "keep one of the two", "%s: both the diameter d and the radius r are given", c.word.name)
		return 1
	case c.has("r"):
		return c.size("r", 1)
	case c.has("d"):
		return c.size("d", 2) / 2
	}
	if !c.failed {
		c.problem("", "add d = ... in mm", "%s lacks a diameter", c.word.name)
	}
	return 1
}

// rims reads the treatment of the bottom and the top rim.
func (c *call) rims() (bottom, top mechanism.Edge) {
	bottom.Round, top.Round = c.rim("round")
	bottom.Chamfer, top.Chamfer = c.rim("chamfer")
	c.oneTreatment(bottom)
	if !c.failed {
		c.oneTreatment(top)
	}
	return bottom, top
}

func (c *call) rim(name string) (bottom, top float64) {
	v := c.value(name)
	if v == nil {
		return 0, 0
	}
	if vs, ok := elements(v); ok {
		bottom, top = c.pairOf(name, vs, "bottom", "top")
		if bottom < 0 || top < 0 {
			c.problem(name, "give 0 or more", "%s: %s must not be negative", c.word.name, name)
			return 0, 0
		}
		return bottom, top
	}
	e := c.extra(name, 0)
	return e, e
}

func (c *call) upright(r, h float64) mechanism.Cylinder {
	cyl := mechanism.Cylinder{R: r, H: h}
	cyl.Bottom, cyl.Top = c.rims()
	b, t := max(cyl.Bottom.Round, cyl.Bottom.Chamfer), max(cyl.Top.Round, cyl.Top.Chamfer)
	if !c.failed && (b+t > h || max(b, t) > r) {
		which := "chamfer"
		if cyl.Bottom.Round+cyl.Top.Round > 0 {
			which = "round"
		}
		c.problem(which, "make it smaller", "%s: the rims need %s mm of the height of %s mm and %s mm of the radius of %s mm", c.word.name, num(b+t), num(h), num(max(b, t)), num(r))
	}
	return cyl
}

func cylinder(c *call) starlark.Value {
	return c.leaf(c.upright(c.radius(), c.size("h", 1)))
}

func tube(c *call) starlark.Value {
	d, bore, h := c.size("d", 2), c.size("bore", 1), c.size("h", 1)
	cyl := c.upright(d/2, h)
	if rim := max(cyl.Bottom.Round, cyl.Bottom.Chamfer, cyl.Top.Round, cyl.Top.Chamfer); !c.failed && bore/2 >= d/2-rim {
		c.problem("bore", "make the bore smaller", "tube: the bore of %s mm leaves no wall of the %s mm", num(bore), num(d))
	}
	body := c.leaf(cyl)
	cutter := c.leaf(mechanism.Cylinder{R: bore / 2, H: h + 2*overshoot})
	if c.failed {
		return c.standIn()
	}
	down := c.l.moved(cutter.(*solid), geom.Translation(geom.Vec{Z: -overshoot}), c.pos)
	return c.l.operation(mechanism.Cut, c.pos, body.(*solid), down)
}

// overshoot is how far a cutter reaches beyond what it cuts, mm, so that no
// skin is left.
const overshoot = 1.0

func cone(c *call) starlark.Value {
	name, half := "d", 0.5
	if c.has("r") {
		name, half = "r", 1
	}
	if c.has("d") == c.has("r") && !c.failed {
		c.problem("", "add d = (bottom, top) in mm", "cone needs either d or r")
	}
	h := c.size("h", 1)
	a, b := 1.0, 0.0
	if v := c.value(name); v != nil {
		vs, ok := elements(v)
		if !ok {
			c.problem(name, "write a pair: (bottom, top)", "cone: %s must be a pair, not %s", name, describe(v))
			return c.standIn()
		}
		a, b = c.pairOf(name, vs, "bottom", "top")
		if !c.failed && (a < 0 || b < 0 || a+b == 0) {
			c.problem(name, "give two numbers, one of which may be 0", "cone: %s is (%s, %s)", name, num(a), num(b))
		}
	}
	return c.leaf(mechanism.Cone{R0: a * half, R1: b * half, H: h})
}

func sphere(c *call) starlark.Value { return c.leaf(mechanism.Sphere{R: c.radius()}) }

func joined(c *call) starlark.Value {
	var ss []*solid
	for i, v := range c.seq("solids") {
		switch s := v.(type) {
		case *solid:
			ss = append(ss, s)
		case unknown:
			c.failed = true
		default:
			c.problem("solids", "put only solids into the list", "joined: member %d is %s", i+1, describe(v))
		}
	}
	if len(ss) == 0 && !c.failed {
		c.problem("solids", "put at least one solid into it", "joined: the list is empty")
	}
	if c.failed {
		return c.standIn()
	}
	c.l.charge(c.thread, len(ss))
	return c.l.operation(mechanism.Join, c.pos, ss...)
}

// exact gives the sine and cosine of an angle in degrees, exact at multiples of
// a right angle, so that a block turned by 90 keeps its faces square.
func exact(deg float64) (sin, cos float64) {
	switch math.Mod(math.Mod(deg, 360)+360, 360) {
	case 0:
		return 0, 1
	case 90:
		return 1, 0
	case 180:
		return 0, -1
	case 270:
		return -1, 0
	}
	return math.Sincos(deg * math.Pi / 180)
}
