package design

import (
	"fmt"
	"maps"
	"math"
	"regexp"
	"slices"
	"strings"

	"go.starlark.net/starlark"
	"gonum.org/v1/gonum/spatial/r3"

	"feint/internal/geom"
	"feint/internal/mechanism"
)

func partWords() []word {
	g := groupPart
	return []word{
		{
			group: g, name: "part", gives: "a part", run: makePart,
			doc: `One rigid piece. Exactly one part is the frame: the box held in the hand. A travel of the part is reached by its name: rod.slide, lid.lift, or rod["long way"].`,
			args: []arg{
				{"name", "words", "", "what the part is called"},
				{"solid", "solid", "", "its shape, drawn where it stands when every travel is 0"},
				{"travels", "list", "[]", "none, one or two travels; of two, first the one nearer to the part that carries it"},
				{"carried_by", "part", "the frame", "the part it rides on, or its name if that part comes later in the file"},
				{"frame", "", "False", "True for the frame"},
				{"material", "words", `"PLA"`, "PLA, PETG, ABS, ASA, TPU, PA, PC, steel, aluminium, brass or magnet; another name needs a density"},
				{"density", "g/cm3", "of the material", "density"},
				{"bought", "", "of the material", "True for a piece that is not printed: its surfaces do not grow in print"},
				{"colour", "words", "one of a set", `"#rrggbb" or a name such as "teal"`},
				{"down", "direction", "-z", "which way of the part as drawn lies on the plate in print"},
				{"seam", "direction", "not said", "to which side of the part as drawn the slicer is told to set the seam of the layers"},
				{"hidden", "", "False", "True for a part that cannot be seen while the box is shut"},
				{"walls", "mm", "not said", "thickness of the printed walls, for its weight"},
				{"infill", "%", "15", "share of the inside that is filled, for its weight; only with walls"},
				{"glued", "", "False", "True for a part that is printed in pieces and glued round the others: no order of assembly is asked of it"},
				{"magnets", "list", "[]", "magnets and pieces of steel fixed in it"},
			},
			example: `rod = part("rod", solid = cylinder(d = 11.5, h = 96), travels = [slide(z, 0, 80), turn(z)])`,
		},
		{
			group: g, name: "press_fit", gives: "nothing", run: pressFit,
			doc: "Declares that two parts are meant to overlap: one is pressed into the other, and their overlap up to the depth is no mistake.",
			args: []arg{
				{"a", "part", "", "one part, or its name"},
				{"b", "part", "", "the other"},
				{"depth", "mm", "", "how deep the surface of one may lie within the other"},
			},
			example: `press_fit(pin, ring, depth = 0.1)`,
		},
	}
}

const maxParts = 200

func makePart(c *call) starlark.Value {
	d := &c.l.draft
	p := &part{name: c.name(""), frame: c.flag("frame", false), solid: starlark.None}
	p.data = mechanism.Part{Frame: p.frame, Hidden: c.flag("hidden", false), Pos: c.pos}
	for _, q := range d.parts {
		if q.name == p.name && p.name != "" {
			c.problem("name", "give one of them another name", "there is a part called %q already, on %s", p.name, q.data.Pos)
		}
		if q.frame && p.frame {
			c.problem("frame", "only one part is the frame; remove frame = True from the other", "%q is a second frame; %q is one already, on %s", p.name, q.name, q.data.Pos)
		}
	}
	if len(d.parts) >= maxParts {
		c.problem("", "join what does not move against each other", "there are more than %d parts", maxParts)
		return c.standIn()
	}
	c.partBuild(&p.data)
	c.partSolid(p)
	c.partTravels(p)
	c.partCarrier(p)
	p.data.Material = c.material()
	p.data.Color = c.colour(p.frame, len(d.parts))
	down := c.axis("down", geom.Vec{Z: -1})
	p.data.Print = geom.Motion{R: carrying(down, geom.Vec{Z: -1})} // exact for the axes of coordinates
	p.data.Seam = c.seamSide(down)
	if p.name == "" {
		p.vague = true
		return p
	}
	d.parts = append(d.parts, p)
	return p
}

// seamSide is the side of the seam; it lies beside, not above or below, in print.
func (c *call) seamSide(down geom.Vec) geom.Vec {
	side := c.axis("seam", geom.Vec{})
	if side != (geom.Vec{}) && math.Abs(r3.Dot(side, down)) > math.Sqrt2/2 {
		c.problem("seam", "name a side: the seam runs from the plate upwards", "part: its seam cannot lie along the way down")
		return geom.Vec{}
	}
	return side
}

func (c *call) partSolid(p *part) {
	v := c.args["solid"]
	if v == nil {
		return
	}
	p.solid = v
	switch s := v.(type) {
	case *solid:
		p.shape = flatten(s.shape, map[*mechanism.Shape]*mechanism.Shape{})
	case unknown:
	default:
		advice := "draw one with block, cylinder and so on"
		if _, ok := v.(*outline); ok {
			advice = "raise it with prism(...) or turn it with revolved(...)"
		}
		c.problem("solid", advice, "part: its solid cannot be %s", describe(v))
	}
}

func (c *call) partTravels(p *part) {
	v := c.args["travels"]
	if v == nil {
		return
	}
	vs := []starlark.Value{v}
	if _, single := v.(*freedom); !single {
		if isUnknown(v) {
			p.vague = true
			return
		}
		vs = c.seq("travels")
	}
	for i, v := range vs {
		f, ok := v.(*freedom)
		switch {
		case isUnknown(v):
			p.vague, c.failed = true, true
			continue
		case !ok:
			c.problem("travels", "make them with slide, turn or helix", "part %q: travel %d is %s", p.name, i+1, describe(v))
			p.vague = true
			continue
		}
		t := &travel{name: f.travel.Name, owner: p, travel: f.travel}
		if slices.ContainsFunc(p.travels, func(u *travel) bool { return u.name == t.name }) {
			c.problem("travels", `tell them apart with name = "..."`, "part %q has two travels called %q", p.name, t.name)
			continue
		}
		p.travels = append(p.travels, t)
	}
	if len(vs) > 2 {
		c.problem("travels", "let an inner part carry it: carried_by = ...", "part %q has %d travels, but a part has two at most", p.name, len(vs))
	}
	if p.frame && len(vs) > 0 {
		c.problem("travels", "give the travels to the other parts", "part %q is the frame, and the frame does not move", p.name)
	}
}

func (c *call) partCarrier(p *part) {
	v := c.value("carried_by")
	if v == nil {
		return
	}
	if p.frame {
		c.problem("carried_by", "remove it", "part %q is the frame, and nothing carries the frame", p.name)
		return
	}
	switch v := v.(type) {
	case *part:
		p.carrier = v.name
	case starlark.String:
		p.carrier = string(v)
	default:
		c.problem("carried_by", "name a part", "part %q cannot be carried by %s", p.name, describe(v))
	}
	p.carrierPos = c.at("carried_by")
}

// material reads what a part is made of.
func (c *call) material() mechanism.Material {
	name := c.text("material", "PLA")
	known := materials()
	var names []string
	m := mechanism.Material{Name: name}
	found := false
	for _, k := range known {
		names = append(names, k.Name)
		if strings.EqualFold(k.Name, name) {
			m, found = k, true
		}
	}
	switch {
	case !found && strings.TrimSpace(name) == "":
		c.problem("material", "name one: "+strings.Join(names, ", "), "part: its material has no name")
	case !found && !c.has("density"):
		c.problem("material", orElse(meant(name, names), "name one of "+strings.Join(names, ", "))+" or add density = ... in g/cm3", "part: the density of %q is not known", clip(name))
	}
	if c.has("density") {
		m.Density = c.number("density", 1)
		if m.Density <= 0 || m.Density > 25 {
			c.problem("density", "give it in g/cm3; PLA has 1.24", "part: a density of %s g/cm3", num(m.Density))
		}
	}
	m.Bought = c.flag("bought", m.Bought)
	return m
}

var colourCode = regexp.MustCompile(`^#[0-9a-fA-F]{6}$`)

// colour reads the colour of the part number n.
func (c *call) colour(frame bool, n int) string {
	s := c.text("colour", "")
	named := namedColours()
	switch {
	case !c.has("colour") && frame:
		return frameColour
	case !c.has("colour"):
		return colours()[n%len(colours())]
	case colourCode.MatchString(s):
		return strings.ToLower(s)
	case named[strings.ToLower(s)] != "":
		return named[strings.ToLower(s)]
	}
	advice := `write "#rrggbb" or a name such as "teal"`
	if n := nearest(s, slices.Collect(maps.Keys(named))); n != "" && len(s) <= maxNameLength {
		advice = fmt.Sprintf("did you mean %q?", n)
	}
	c.problem("colour", advice, "part: %q is no colour", clip(s))
	return frameColour
}

// partName reads an argument that is a part or the name of one.
func (c *call) partName(name string) string {
	switch v := c.value(name).(type) {
	case nil:
		return ""
	case *part:
		return v.name
	case starlark.String:
		return string(v)
	default:
		c.problem(name, "name a part", "%s: %s cannot be %s", c.word.name, name, describe(v))
		return ""
	}
}

func pressFit(c *call) starlark.Value {
	f := fit{a: c.partName("a"), b: c.partName("b"), depth: c.size("depth", 0.1), pos: c.pos, posA: c.at("a"), posB: c.at("b")}
	if !c.failed && f.a == f.b {
		c.problem("b", "name two parts", "press_fit: %q cannot be pressed into itself", clip(f.a))
	}
	if !c.failed {
		c.l.draft.fits = append(c.l.draft.fits, f)
	}
	return starlark.None
}
