package design

import (
	"math"
	"slices"

	"go.starlark.net/starlark"

	"feint/internal/geom"
	"feint/internal/mechanism"
)

// holding is a spring, a detent, a latch or a magnet, not yet given to a travel
// or a part. Its angles are still degrees.
type holding struct {
	opaque
	data any // mechanism.Spring, Detent, Latch or Magnet
}

func holdWords() []word {
	g := groupHold
	force := "N, or N mm on a turn or helix"
	return []word{
		{
			group: g, name: "spring", gives: "a spring, to be given to a travel", run: spring,
			doc: "Drives a travel one way, as far as it is free.",
			args: []arg{
				{"toward", "words", `"lo"`, `"lo" or "hi": the limit that it drives to`},
				{"preload", force, "0", "its force at that limit"},
				{"rate", "the same for each mm or degree", "0", "how much more for each mm or degree away from that limit"},
				{"leaf", "mm", "None", "on a slide: the pair (length, thickness) of the printed arm that bends with it, for how it creeps"},
			},
			example: `slide(z, 0, 8, spring = spring(toward = "hi", preload = 0.5, rate = 0.1))`,
		},
		{
			group: g, name: "detent", gives: "a detent, to be given to a travel", run: detent,
			doc: "Holds a travel at a place until a force moves it on: a bump, a ball in a dimple, a tight spot.",
			args: []arg{
				{"at", "mm or deg", "", "where it holds"},
				{"force", force, "", "what it takes to leave it"},
				{"width", "mm or deg", "0.5", "how far the travel moves within it"},
				{"lift", "mm", "0", "how far the bump bends its arm wherever it does not hold, for how it wears and creeps"},
				{"leaf", "mm", "None", "the pair (length, thickness) of that arm"},
			},
			example: `slide(z, 0, 8, holds = [detent(at = 0, force = 1.5)])`,
		},
		{
			group: g, name: "latch", gives: "a latch, to be given to a travel", run: latch,
			doc: "A magnet that draws a travel to a place from near by and holds it there until a force moves it on.",
			args: []arg{
				{"at", "mm or deg", "", "where it holds"},
				{"force", force, "", "what it takes to pull it off"},
				{"reach", "mm or deg", "1", "from how far it draws the part"},
			},
			example: `slide(z, 0, 8, moved_by = "gravity", holds = [latch(at = 8, force = 2, reach = 1.5)])`,
		},
		{
			group: g, name: "magnet", gives: "a magnet, to be given to a part", run: magnet,
			doc: "A round magnet in a part, or a round piece of steel for one. Give poles so that feint can see what attracts and what repels. Keep small magnets away from children: swallowed, two of them are a danger to life.",
			args: []arg{
				{"d", "mm", "", "diameter"},
				{"h", "mm", "", "height"},
				{"at", "point", "", "its centre, where the part is drawn"},
				{"north", "direction", "z", "where its north pole points; of steel, its axis"},
				{"grade", "words", `"N42"`, `of sintered neodymium magnets; "steel" for a piece of steel`},
				{"name", "words", `"magnet"`, "what it is called"},
				{"mates", "words", `""`, "name of the magnet or steel that it is meant to attract"},
				{"repels", "words", `""`, "name of the magnet that it is meant to repel"},
			},
			example: `part("cap", solid = block(20, 20, 4), magnets = [magnet(d = 6, h = 3, at = (0, 0, 2), north = -z)])`,
		},
		{
			group: g, name: "attitudes", gives: "nothing", run: attitudes,
			doc: "How the box may be held: which way of it, as drawn, may be up. Without it the six faces may be, z first.",
			args: []arg{
				{"up", "", `"faces"`, `a list of directions, or one of "faces" (6), "edges" (these and the edges, 18), "corners" (and the corners, 26)`},
				{"start", "direction", "the first", "which way is up when the box is handed over"},
			},
			example: `attitudes(up = [z, -z, x, -x], start = z)`,
		},
		{
			group: g, name: "tool", gives: "nothing", run: addTool,
			doc: "One thing that comes out and goes in elsewhere, such as a key or a plug. Draw it once in every place where it can be, each a part with travels of its own; feint then knows that there is only one of it.",
			args: []arg{
				{"name", "words", "", "what it is called"},
				{"seats", "list", "", "for every place a table of the travels of its part and the values at which the tool is out: {key.pull: (30, None)}. It begins in the first"},
			},
			example: `tool("rod", seats = [{rod.slide: (35, None)}, {lid.lift: (30, None)}])`,
		},
	}
}

// strength reads a force or a torque that is not negative.
func (c *call) strength(name string) float64 {
	f := c.number(name, 0)
	if f < 0 {
		c.problem(name, "give 0 or more", "%s: %s is %s, but it must not be negative", c.word.name, name, num(f))
		return 0
	}
	return f
}

func (c *call) held(kind string, data any) starlark.Value {
	if c.failed {
		return c.standIn()
	}
	return &holding{opaque{kind}, data}
}

func spring(c *call) starlark.Value {
	s := mechanism.Spring{Toward: -1, Preload: c.strength("preload"), Rate: c.strength("rate"), Leaf: c.arm(), Pos: c.pos}
	if c.choice("toward", "lo", "hi") == "hi" {
		s.Toward = 1
	}
	if s.Preload == 0 && s.Rate == 0 {
		c.problem("", "give a preload or a rate", "spring: it has no force")
	}
	return c.held("spring", s)
}

func detent(c *call) starlark.Value {
	d := mechanism.Detent{At: c.number("at", 0), Width: c.size("width", 0.5), Force: c.strength("force"), Lift: c.strength("lift"), Leaf: c.arm(), Pos: c.pos}
	if d.Leaf != (mechanism.Arm{}) && d.Lift == 0 && !c.failed {
		c.problem("lift", "give lift = 0.4 or so", "detent: it has a leaf, but not how far the bump bends it")
	}
	return c.held("detent", d)
}

// arm reads the pair of an arm that bends.
func (c *call) arm() mechanism.Arm {
	if !c.has("leaf") {
		return mechanism.Arm{}
	}
	l, t := c.pair("leaf", "length", "thickness")
	return mechanism.Arm{Length: l, Thickness: t}
}

func latch(c *call) starlark.Value {
	return c.held("latch", mechanism.Latch{At: c.number("at", 0), Reach: c.size("reach", 1), Force: c.strength("force"), Pos: c.pos})
}

func magnet(c *call) starlark.Value {
	m := mechanism.Magnet{
		Name: c.name("magnet"), D: c.size("d", 1), H: c.size("h", 1), North: c.axis("north", geom.Vec{Z: 1}),
		Grade: c.text("grade", "N42"), Mates: c.text("mates", ""), Repels: c.text("repels", ""), Pos: c.pos,
	}
	if v := c.value("at"); v != nil {
		m.Center, _ = c.triple("at", v, "write the point as (x, y, z), for example (10, 0, 4)")
	}
	if m.Grade == "steel" {
		m.Steel, m.Grade = true, ""
		if m.Repels != "" {
			c.problem("repels", "steel is only ever pulled", "magnet: a piece of steel repels nothing")
		}
	}
	return c.held("magnet", m)
}

// maxUps bounds the attitudes: 26 are faces, edges and corners.
const maxUps = 62

func attitudes(c *call) starlark.Value {
	d := &c.l.draft
	if d.posed {
		c.problem("", "put all into one", "attitudes is used twice")
	}
	d.posed = true
	ups := c.ups()
	d.sheet.Attitudes = ups
	if !c.has("start") || c.failed {
		return starlark.None
	}
	start := c.axis("start", geom.Vec{Z: 1})
	if !slices.ContainsFunc(ups, func(u geom.Vec) bool { return same(u, start) }) {
		c.problem("start", "add it to up, or choose one of those", "attitudes: the start is none of the attitudes that may be used")
		return starlark.None
	}
	i := slices.IndexFunc(ups, func(u geom.Vec) bool { return same(u, start) })
	d.sheet.Upright = ups[i]
	return starlark.None
}

// same tells directions apart that were typed, not computed.
func same(a, b geom.Vec) bool {
	return math.Abs(a.X-b.X)+math.Abs(a.Y-b.Y)+math.Abs(a.Z-b.Z) < 1e-9
}

// ups reads the directions that may be up.
func (c *call) ups() []geom.Vec {
	v := c.value("up")
	if v == nil {
		return mechanism.Faces()
	}
	if _, isWord := starlark.AsString(v); isWord {
		return lattice(map[string]int{"faces": 1, "edges": 2, "corners": 3}[c.choice("up", "faces", "edges", "corners")])
	}
	var out []geom.Vec
	for i, v := range c.seq("up") {
		u := geom.Vec{}
		if isUnknown(v) {
			c.failed = true
			continue
		}
		one := &call{l: c.l, word: c.word, args: map[string]starlark.Value{"up": v}, key: c.key, pos: c.pos, via: c.via}
		u = one.axis("up", geom.Vec{Z: 1})
		c.failed = c.failed || one.failed
		if slices.ContainsFunc(out, func(w geom.Vec) bool { return same(w, u) }) {
			c.problem("up", "name it once", "attitudes: number %d is there already", i+1)
			continue
		}
		out = append(out, u)
	}
	if len(out) > maxUps || len(out) == 0 && !c.failed {
		c.problem("up", "name between 1 and 62 directions", "attitudes: %d directions", len(out))
		return mechanism.Faces()
	}
	return out
}

// lattice is the directions with at most so many of the three parts not 0: 1 the
// faces, 2 also the edges, 3 also the corners of a cube.
func lattice(most int) []geom.Vec {
	out := mechanism.Faces()
	for parts := 2; parts <= most; parts++ {
		for i := range 27 {
			p := [3]float64{float64(i/9 - 1), float64(i/3%3 - 1), float64(i%3 - 1)}
			n := math.Abs(p[0]) + math.Abs(p[1]) + math.Abs(p[2])
			if int(n) != parts {
				continue
			}
			r := math.Sqrt(n)
			out = append(out, geom.Vec{X: p[0] / r, Y: p[1] / r, Z: p[2] / r})
		}
	}
	return out
}
