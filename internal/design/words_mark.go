package design

import (
	"math"
	"path"
	"strings"
	"unicode"

	"go.starlark.net/starlark"

	"feint/internal/mechanism"
)

func markWords() []word {
	g := groupCut
	return []word{
		{
			group: g, name: "line", gives: "a solid", run: markLine,
			doc: "A mark: a line along a path, standing proud of the surface and reaching as far below it. Join it with + for a raised mark, cut it with - for a sunk one.",
			args: append([]arg{
				{"path", "list", "", pathDoc},
				{"width", "mm", "", "of the line"},
				{"height", "mm", "", "how far it stands proud, or is sunk"},
			}, surfaceArgs()...),
			example: `cylinder(d = 20, h = 10) - line(path = [(0, 2), (0, 8)], width = 0.8, height = 0.4, on = "shaft", d = 20)`,
		},
		{
			group: g, name: "lettering", gives: "a solid", run: lettering,
			doc: "Words, standing proud of the surface and reaching as far below it: join them with + or cut them with -. They are centred on (0, 0) of a flat, or on angle 0 and z = 0 of a shaft or bore.",
			args: append([]arg{
				{"words", "words", "", "what is written"},
				{"size", "mm", "", "height of a capital letter"},
				{"height", "mm", "", "how far it stands proud, or is sunk"},
			}, append(surfaceArgs(), arg{"stroke", "mm", "size / 7", "width of the lines"})...),
			example: `block(40, 20, 4) + lettering("FERRY", size = 6, height = 0.6).at(z = 4)`,
		},
	}
}

func markLine(c *call) starlark.Value {
	on, r := c.surface()
	s := mechanism.Stroke{On: on, R: r, Path: c.path(on), Width: c.size("width", 1), Height: c.size("height", 1)}
	c.checkHeight(on, r, s.Height)
	return c.leaf(s)
}

// checkHeight reports a mark that would reach beyond the axis of what bears it.
func (c *call) checkHeight(on mechanism.Surface, r, h float64) {
	if !c.failed && on != mechanism.Flat && h >= r {
		c.problem("height", "make it smaller", "%s: a height of %s mm on a radius of %s mm", c.word.name, num(h), num(r))
	}
}

// maxWords is the longest lettering.
const maxWords = 100

func lettering(c *call) starlark.Value {
	on, r := c.surface()
	t := mechanism.Text{On: on, R: r, Words: c.text("words", "-"), Size: c.size("size", 7), Height: c.size("height", 1)}
	t.Stroke = c.size("stroke", t.Size/7)
	c.checkHeight(on, r, t.Height)
	switch {
	case c.failed:
	case strings.TrimSpace(t.Words) == "":
		c.problem("words", "write something between the quotes", "lettering: there are no words")
	case len([]rune(t.Words)) > maxWords:
		c.problem("words", "break them into several", "lettering: more than %d letters", maxWords)
	case strings.ContainsFunc(t.Words, func(r rune) bool { return !unicode.IsPrint(r) }):
		c.problem("words", "use several letterings for several lines", "lettering: the words hold a line break or another sign that cannot be drawn")
	case t.Stroke > t.Size/2:
		c.problem("stroke", "make it a fifth of the size or less", "lettering: lines %s mm wide in letters %s mm high", num(t.Stroke), num(t.Size))
	case on != mechanism.Flat && float64(len([]rune(t.Words)))*t.Size/2 > 2*math.Pi*r:
		c.problem("size", "make it smaller, or the words shorter", "lettering: the words do not go round a radius of %s mm", num(r))
	}
	return c.leaf(t)
}

// maxScale bounds the factor of size of a mesh: metres are 1000 mm.
const maxScale = 1e4

func meshFile(c *call) starlark.Value {
	m := mechanism.MeshFile{Name: c.text("file", ""), Object: c.text("object", ""), Scale: c.number("scale", 1)}
	if m.Scale <= 0 || m.Scale > maxScale {
		c.problem("scale", "give a number above 0; 1 for a file in mm", "mesh: scale is %s", num(m.Scale))
	}
	ext := strings.ToLower(path.Ext(m.Name))
	switch {
	case c.failed:
	case ext != ".stl" && ext != ".3mf":
		c.problem("file", "name a file that ends in .stl or .3mf", "mesh: %q is neither an STL nor a 3MF file", clip(m.Name))
	case ext == ".stl" && m.Object != "":
		c.problem("object", "leave it out", "mesh: an STL file holds one object only")
	}
	if c.failed {
		return c.standIn()
	}
	sum, err := c.l.folder.digest(m.Name)
	if err != nil {
		c.problem("file", "check the name; it is looked up in the folder of the design", "mesh: %q: %v", clip(m.Name), err)
		return c.standIn()
	}
	m.SHA256, m.Path = sum, c.l.folder.path(m.Name)
	return c.leaf(m)
}
