package design

import (
	"fmt"
	"math"

	"go.starlark.net/starlark"

	"feint/internal/mechanism"
)

// surfaceArgs are the arguments that say where a groove, a line or lettering lies.
func surfaceArgs() []arg {
	return []arg{
		{"on", "words", `"flat"`, `where it lies: "flat" is the plane z = 0 with the outside above; "shaft" is a cylinder about z seen from outside; "bore" is a hole about z seen from inside`},
		{"d", "mm", "None", "diameter of the shaft or bore"},
		{"r", "mm", "None", "radius, in place of the diameter"},
	}
}

// pathDoc documents a path.
const pathDoc = "list of points: (angle in degrees, height z in mm) on a shaft or bore, (x, y) in mm on a flat"

func cutWords() []word {
	g := groupCut
	return []word{
		{
			group: g, name: "groove", gives: "a solid to cut with", run: groove,
			doc: "The cutter of a channel along a path; take it away from a body with -. It reaches a little beyond the surface, so that cutting leaves no skin. The path is straight between its points: on a shaft a piece that changes both angle and height is a helix.",
			args: append([]arg{
				{"path", "list", "", pathDoc},
				{"width", "mm", "", "of the channel"},
				{"depth", "mm", "", "below the surface; in a bore outwards"},
			}, append(surfaceArgs(),
				arg{"section", "words", `"square"`, `"square", or "roofed": the wall that would overhang in print slopes by 45 degrees and needs no support`},
				arg{"round_ends", "", "True", "the ends are half round; False makes them square"})...),
			example: `cylinder(d = 20, h = 40) - groove(path = [(0, 10), (90, 10), (90, 45)], width = 4, depth = 2, on = "shaft", d = 20)`,
		},
		{
			group: g, name: "route", gives: "a path", run: route,
			doc: "A path from its first point and the runs that follow, each as far as it goes.",
			args: []arg{
				{"start", "pair", "", "the first point"},
				{"runs", "list", "", "pairs: how far in the first direction, how far in the second"},
			},
			example: "route((0, 10), [(60, 0), (0, 12), (-30, 0)])",
		},
		{
			group: g, name: "thread", gives: "a solid", run: thread,
			doc: "A helical ridge about z from z = 0 to h, to be joined to a shaft or cut from a body. It should reach 0.1 mm or so into the shaft that bears it: choose the root diameter that much smaller.",
			args: []arg{
				{"d", "mm", "", "the pair of diameters (at the root, at the crest); the crest of a ridge inside a nut is the smaller one"},
				{"width", "mm", "", "the pair of widths of the ridge along z (at the root, at the crest)"},
				{"h", "mm", "", "height"},
				{"lead", "mm", "", "advance in one turn; negative is left-handed"},
				{"starts", "", "1", "how many ridges, evenly round"},
			},
			example: "cylinder(d = 16, h = 12) + thread(d = (15.8, 20), width = (2.6, 1), h = 12, lead = 4)",
		},
		{
			group: g, name: "magnet_pocket", gives: "a solid to cut with", run: magnetPocket,
			doc: "The cutter of a pocket for a round magnet. It stands on z = 0, is d + 2 gap across and h + gap high: let it reach the surface where the magnet goes in. Mind which pole faces which. Keep small magnets away from children: swallowed, two of them are a danger to life.",
			args: []arg{
				{"d", "mm", "", "diameter of the magnet"},
				{"h", "mm", "", "height of the magnet"},
				{"gap", "mm", "0.1", "room on each side and above"},
				{"note", "words", `""`, "what goes in, for the reader and the report"},
			},
			example: `block(20, 20, 8) - magnet_pocket(d = 6, h = 3, note = "disc magnet 6 x 3").at(z = 5)`,
		},
	}
}

// surface reads where something lies.
func (c *call) surface() (mechanism.Surface, float64) {
	switch c.choice("on", "flat", "shaft", "bore") {
	case "shaft":
		return mechanism.Shaft, c.radius()
	case "bore":
		return mechanism.Bore, c.radius()
	}
	for _, n := range []string{"d", "r"} {
		if c.has(n) && !c.failed {
			c.problem(n, `add on = "shaft" or on = "bore", or leave it out`, "%s: a flat has no diameter", c.word.name)
		}
	}
	return mechanism.Flat, 0
}

// maxPath bounds the points of a path.
const maxPath = 5000

// path reads a path on a surface.
func (c *call) path(on mechanism.Surface) []mechanism.PathPoint {
	vs := c.seq("path")
	if c.failed {
		return nil
	}
	if len(vs) < 2 || len(vs) > maxPath {
		c.problem("path", "write at least where it begins and where it ends", "%s: the path has %d points", c.word.name, len(vs))
		return nil
	}
	var ps []mechanism.PathPoint
	for i, v := range vs {
		u, w, ok := c.pathPoint("path", i, v, on)
		if !ok {
			return nil
		}
		p := mechanism.PathPoint{U: u, V: w}
		if n := len(ps); n > 0 && ps[n-1] == p {
			c.problem("path", "remove one", "%s: points %d and %d of the path are the same", c.word.name, i, i+1)
			return nil
		}
		ps = append(ps, p)
	}
	return ps
}

// pathPoint reads a point of a path: its first number is an angle on a round
// surface, and then converted to radians.
func (c *call) pathPoint(name string, i int, v starlark.Value, on mechanism.Surface) (u, w float64, ok bool) {
	p, isPair := elements(v)
	if isUnknown(v) {
		c.failed = true
		return 0, 0, false
	}
	if !isPair || len(p) != 2 {
		c.problem(name, "write a pair for every point", "%s: point %d of the %s is %s", c.word.name, i+1, name, describe(v))
		return 0, 0, false
	}
	if on == mechanism.Flat {
		u, ok = c.asLength(name, fmt.Sprintf("x of point %d", i+1), p[0])
	} else {
		u, ok = c.asAngle(name, fmt.Sprintf("angle of point %d", i+1), p[0])
		u *= math.Pi / 180
	}
	if !ok {
		return 0, 0, false
	}
	w, ok = c.asLength(name, fmt.Sprintf("second number of point %d", i+1), p[1])
	return u, w, ok
}

func groove(c *call) starlark.Value {
	on, r := c.surface()
	g := mechanism.Groove{On: on, R: r, Path: c.path(on), Width: c.size("width", 1), Depth: c.size("depth", 1), RoundEnds: c.flag("round_ends", true)}
	if c.choice("section", "square", "roofed") == "roofed" {
		g.Section = mechanism.Roofed
	}
	if !c.failed && on == mechanism.Shaft && g.Depth >= r {
		c.problem("depth", "make it less than the radius", "groove: a depth of %s mm cuts through the shaft of radius %s mm", num(g.Depth), num(r))
	}
	if !c.failed && on != mechanism.Flat && g.Width >= 2*r {
		c.problem("width", "make it less than the diameter", "groove: a width of %s mm does not fit a diameter of %s mm", num(g.Width), num(2*r))
	}
	return c.leaf(g)
}

func route(c *call) starlark.Value {
	// The points are as the maker counts them, degrees or mm: they are checked
	// where the path is used, and here only added up.
	add := func(i int, v starlark.Value, name string) (a, b float64) {
		p, ok := elements(v)
		if !ok || len(p) != 2 {
			c.problem(name, "write a pair", "route: %s %d is %s", name, i+1, describe(v))
			return 0, 0
		}
		a, _ = c.asNumber(name, "a number of it", p[0])
		b, _ = c.asNumber(name, "a number of it", p[1])
		return a, b
	}
	s := c.value("start")
	if s == nil {
		return c.standIn()
	}
	u, v := add(0, s, "start")
	ps := []starlark.Value{starlark.Tuple{starlark.Float(u), starlark.Float(v)}}
	runs := c.seq("runs")
	if len(runs) >= maxPath {
		c.problem("runs", "use fewer", "route: there are %d runs", len(runs))
		return c.standIn()
	}
	for i, r := range runs {
		du, dv := add(i, r, "runs")
		u, v = u+du, v+dv
		ps = append(ps, starlark.Tuple{starlark.Float(u), starlark.Float(v)})
	}
	if c.failed {
		return c.standIn()
	}
	c.l.charge(c.thread, len(ps))
	return starlark.NewList(ps)
}

// pair reads an argument that must be a pair of positive lengths.
func (c *call) pair(name, first, second string) (a, b float64) {
	v := c.value(name)
	if v == nil {
		return 1, 2
	}
	vs, ok := elements(v)
	if !ok {
		c.problem(name, fmt.Sprintf("write a pair: (%s, %s)", first, second), "%s: %s must be a pair, not %s", c.word.name, name, describe(v))
		return 1, 2
	}
	a, b = c.pairOf(name, vs, first, second)
	if !c.failed && (a <= 0 || b <= 0) {
		c.problem(name, "give two numbers above 0", "%s: %s is (%s, %s)", c.word.name, name, num(a), num(b))
	}
	return a, b
}

func thread(c *call) starlark.Value {
	root, crest := c.pair("d", "root", "crest")
	wr, wc := c.pair("width", "root", "crest")
	t := mechanism.Thread{
		Root: root / 2, Crest: crest / 2, RootWidth: wr, CrestWidth: wc,
		H: c.size("h", 1), Lead: c.length("lead", 1), Starts: c.count("starts", 1, 1, 12),
	}
	switch pitch := math.Abs(t.Lead) / float64(t.Starts); {
	case c.failed:
	case root == crest:
		c.problem("d", "make the crest larger than the root, or smaller inside a nut", "thread: root and crest are the same")
	case t.Lead == 0:
		c.problem("lead", "give how far one turn advances", "thread: lead is 0")
	case max(wr, wc) >= pitch:
		c.problem("width", "make the ridge narrower, or the lead larger", "thread: a ridge %s mm wide does not fit turns %s mm apart", num(max(wr, wc)), num(pitch))
	case t.H/math.Abs(t.Lead) > maxTurns:
		c.problem("lead", "make it larger", "thread: that is more than %d turns", int(maxTurns))
	}
	return c.leaf(t)
}

// maxTurns bounds the turns of a thread.
const maxTurns = 200.0

func magnetPocket(c *call) starlark.Value {
	d, h, gap := c.size("d", 1), c.size("h", 1), c.extra("gap", 0.1)
	note := c.text("note", "")
	v := c.leaf(mechanism.Cylinder{R: d/2 + gap, H: h + gap})
	if s, ok := v.(*solid); ok {
		s.shape.Note = note
	}
	return v
}
