package design

import (
	"math"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"feint/internal/geom"
	"feint/internal/mechanism"
)

// load loads a design that is made whole where it is not.
func load(t *testing.T, text string, set ...Setting) *mechanism.Mechanism {
	t.Helper()
	m, err := Load("d.star", Options{Set: set, FS: fstest.MapFS{
		"d.star": {Data: []byte(text + rest(text))}, "both.3mf": {Data: []byte("PK")},
	}})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// shapeOf is the shape that an expression draws.
func shapeOf(t *testing.T, expr string) *mechanism.Shape {
	t.Helper()
	return load(t, "p = part(\"p\", solid = "+expr+")\n").Parts[0].Shape
}

// TestPrimitives compares what the words draw with the data that they stand for.
func TestPrimitives(t *testing.T) {
	quarter := math.Pi / 2
	for expr, want := range map[string]mechanism.Primitive{
		"block(4, 6, 8)":                                  mechanism.Block{Lo: geom.Vec{X: -2, Y: -3}, Hi: geom.Vec{X: 2, Y: 3, Z: 8}},
		"block((1, 4), 6, (-1, 8), round = 1)":            mechanism.Block{Lo: geom.Vec{X: 1, Y: -3, Z: -1}, Hi: geom.Vec{X: 4, Y: 3, Z: 8}, Edge: mechanism.Edge{Round: 1}, Edges: "all"},
		"block(4, 6, 8, chamfer = 1, edges = 'vertical')": mechanism.Block{Lo: geom.Vec{X: -2, Y: -3}, Hi: geom.Vec{X: 2, Y: 3, Z: 8}, Edge: mechanism.Edge{Chamfer: 1}, Edges: "vertical"},
		"cylinder(d = 4, h = 8, chamfer = (0.5, 1))":      mechanism.Cylinder{R: 2, H: 8, Bottom: mechanism.Edge{Chamfer: 0.5}, Top: mechanism.Edge{Chamfer: 1}},
		"cylinder(r = 4, h = 8, round = 1)":               mechanism.Cylinder{R: 4, H: 8, Bottom: mechanism.Edge{Round: 1}, Top: mechanism.Edge{Round: 1}},
		"cone(d = (4, 0), h = 3)":                         mechanism.Cone{R0: 2, H: 3},
		"cone(r = (4, 1), h = 3)":                         mechanism.Cone{R0: 4, R1: 1, H: 3},
		"sphere(d = 5)":                                   mechanism.Sphere{R: 2.5},
		"groove(path = [(0, 1), (90, 5)], width = 3, depth = 2, on = 'bore', d = 20, section = 'roofed', round_ends = False)": mechanism.Groove{
			On: mechanism.Bore, R: 10, Path: []mechanism.PathPoint{{U: 0, V: 1}, {U: quarter, V: 5}}, Width: 3, Depth: 2, Section: mechanism.Roofed,
		},
		"groove(path = route((1, 2), [(3, 0), (0, -4)]), width = 3, depth = 2)": mechanism.Groove{
			Path: []mechanism.PathPoint{{U: 1, V: 2}, {U: 4, V: 2}, {U: 4, V: -2}}, Width: 3, Depth: 2, RoundEnds: true,
		},
		"thread(d = (16, 20), width = (2.5, 1), h = 12, lead = -8, starts = 2)": mechanism.Thread{
			Root: 8, Crest: 10, RootWidth: 2.5, CrestWidth: 1, H: 12, Lead: -8, Starts: 2,
		},
		"lettering('N', size = 7, height = 0.4, on = 'shaft', d = 20)": mechanism.Text{On: mechanism.Shaft, R: 10, Words: "N", Size: 7, Height: 0.4, Stroke: 1},
		"line(path = [(0, 0), (3, 0)], width = 1, height = 0.4)":       mechanism.Stroke{Path: []mechanism.PathPoint{{}, {U: 3}}, Width: 1, Height: 0.4},
		"magnet_pocket(d = 6, h = 3, gap = 0.2)":                       mechanism.Cylinder{R: 3.2, H: 3.2},
		"prism(rectangle(4, 2, round = 0.5), h = 3, chamfer = 0.2)": mechanism.Extrusion{H: 3, Chamfer: 0.2, Profile: mechanism.Profile{Loops: [][]mechanism.ProfilePoint{{
			{X: -2, Y: -1, Round: 0.5}, {X: 2, Y: -1, Round: 0.5}, {X: 2, Y: 1, Round: 0.5}, {X: -2, Y: 1, Round: 0.5},
		}}}},
		"revolved(outline([(0, 3), (2, 0), (0, 0)]), angle = 90)": mechanism.Revolution{Angle: quarter, Profile: mechanism.Profile{Loops: [][]mechanism.ProfilePoint{{
			{}, {X: 2}, {Y: 3},
		}}}},
	} {
		s := shapeOf(t, expr)
		if d := cmp.Diff(want, s.Prim, cmpopts.EquateApprox(0, 1e-12)); s.Op != mechanism.Leaf || d != "" {
			t.Errorf("%s: %s", expr, d)
		}
	}
	file, ok := shapeOf(t, "mesh('both.3mf', object = 'lid', scale = 25.4)").Prim.(mechanism.MeshFile)
	if !ok || file.Object != "lid" || file.Scale != 25.4 || file.Name != "both.3mf" {
		t.Errorf("%+v", file)
	}
	if s := shapeOf(t, "magnet_pocket(d = 6, h = 3, note = 'disc magnet')"); s.Note != "disc magnet" {
		t.Errorf("note %q", s.Note)
	}
}

// TestOutlineAreas compares areas with closed forms of elementary geometry.
func TestOutlineAreas(t *testing.T) {
	for expr, want := range map[string]float64{
		"disc(d = 6)":                                                                   9 * math.Pi,
		"disc(r = 6).at(x = 4).turned(33)":                                              36 * math.Pi,
		"slot(length = 9, width = 4)":                                                   20 + 4*math.Pi,
		"regular(sides = 6, across = 10)":                                               50 * math.Sqrt(3),
		"regular(sides = 4, across = 10)":                                               100,
		"outline([(0, 0), (4, 0), (0, 3)]).mirrored(x)":                                 6,
		"outline([(0, 0), (0, 3), (4, 0)])":                                             6,
		"outline([(0, 0), corner(2, 0, arc = 90), (0, 2)])":                             math.Pi,     // a quarter of a disc
		"outline([(0, 0), (0, 2), corner(2, 2, arc = 90), (0, 0)][:3])":                 4 - math.Pi, // what lies outside it
		"outline([corner(2, 0, arc = 180), (-2, 0)])":                                   2 * math.Pi,
		"outline([(0, 0), (4, 0), corner(4, 4, arc = 180), (0, 4)]).mirrored(y)":        16 + 2*math.Pi,
		"outline([(0, 0), (4, 0), corner(4, 4, arc = -180), (0, 4)]).turned(90).at(-3)": 16 - 2*math.Pi,
	} {
		e, ok := shapeOf(t, "prism("+expr+", h = 1)").Prim.(mechanism.Extrusion)
		if !ok {
			t.Fatal(expr)
		}
		if got := area(e.Profile.Loops[0]); math.Abs(got-want) > 1e-9 {
			t.Errorf("%s has area %v, want %v", expr, got, want)
		}
	}
	e, ok := shapeOf(t, "prism(disc(d = 6) - disc(d = 2) - slot(length = 2, width = 0.5).at(y = 2), h = 1)").Prim.(mechanism.Extrusion)
	if !ok || len(e.Profile.Loops) != 3 || area(e.Profile.Loops[1]) > 0 || area(e.Profile.Loops[2]) > 0 {
		t.Error("holes are not loops of their own, clockwise")
	}
}

// places is where the solids of an expression come to lie: where their origins go.
func places(t *testing.T, expr string) (ps []geom.Vec) {
	s := shapeOf(t, expr)
	all := []*mechanism.Shape{s}
	if s.Op == mechanism.Join {
		all = s.Args
	}
	for _, a := range all {
		p := geom.Vec{}
		if a.Op == mechanism.Place {
			p = a.Move.Apply(p)
		}
		ps = append(ps, p)
	}
	return ps
}

func TestPlacing(t *testing.T) {
	const b = "sphere(d = 1)"
	h := math.Sqrt(0.5)
	for expr, want := range map[string][]geom.Vec{
		b + ".at(1, 2, 3)":                                       {{X: 1, Y: 2, Z: 3}},
		b + ".at(z = 5).along(x)":                                {{X: 5}},
		b + ".at(z = 5).along(-z)":                               {{Z: -5}},
		b + ".at(z = 5).along((0, 1, 1))":                        {{Y: 5 * h, Z: 5 * h}},
		b + ".at(x = 5).turned(90)":                              {{Y: 5}},
		b + ".at(x = 5).turned(-90, about = y)":                  {{Z: 5}},
		b + ".at(x = 5).turned(180, through = (2, 0, 0))":        {{X: -1}},
		b + ".at(y = 5).turned(90, about = x)":                   {{Z: 5}},
		b + ".at(x = 5).turned(90).at(z = 1)":                    {{Y: 5, Z: 1}},
		b + ".repeated(3, y = 4)":                                {{}, {Y: 4}, {Y: 8}},
		b + ".at(x = 2).around(4)":                               {{X: 2}, {Y: 2}, {X: -2}, {Y: -2}},
		b + ".at(x = 2).around(2, step = 90)":                    {{X: 2}, {Y: 2}},
		b + ".at(x = 2).around(2, about = y)":                    {{X: 2}, {X: -2}},
		b + ".at(x = 2).around(2, through = (1, 0, 0), about=y)": {{X: 2}, {}},
	} {
		// right angles must come out exactly, so that faces stay square
		got := places(t, expr)
		if d := cmp.Diff(want, got, cmpopts.EquateApprox(0, 2e-15)); d != "" {
			t.Errorf("%s: %s", expr, d)
		}
	}
	m := shapeOf(t, b+".at(x = 3).mirrored(x, through = (1, 0, 0))")
	if m.Op != mechanism.Mirror || m.Plane != (geom.Line{Point: geom.Vec{X: 1}, Dir: geom.Vec{X: 1}}) || m.Args[0].Op != mechanism.Place {
		t.Errorf("%+v", m)
	}
}

// TestCarryingIsARotation holds the turn between two directions to the
// definition of a rotation, and to what it must do.
func TestCarryingIsARotation(t *testing.T) {
	unit := rapid.Custom(func(t *rapid.T) geom.Vec {
		g := rapid.SampledFrom([]float64{-1, 0, 1, 0.5, -0.3, 1e-9, -1e-7})
		v := geom.Vec{X: g.Draw(t, "x"), Y: g.Draw(t, "y"), Z: g.Draw(t, "z")}
		if r3.Norm(v) < 1e-6 {
			v = geom.Vec{Z: 1}
		}
		return r3.Unit(v)
	})
	rapid.Check(t, func(t *rapid.T) {
		a, b := unit.Draw(t, "a"), unit.Draw(t, "b")
		m := geom.Motion{R: carrying(a, b)}
		// the half turn is taken within 1e-6 of opposite directions
		if d := r3.Norm(r3.Sub(m.Turn(a), b)); d > 2e-6 {
			t.Errorf("it carries %v to %v, not %v", a, m.Turn(a), b)
		}
		c0, c1, c2 := m.Turn(geom.Vec{X: 1}), m.Turn(geom.Vec{Y: 1}), m.Turn(geom.Vec{Z: 1})
		if d := r3.Norm(r3.Sub(r3.Cross(c0, c1), c2)); d > 1e-9 || math.Abs(r3.Norm(c0)-1) > 1e-9 || math.Abs(r3.Dot(c0, c1)) > 1e-9 {
			t.Errorf("no rotation: %v", m.R)
		}
	})
}

func TestOperators(t *testing.T) {
	s := shapeOf(t, "block(1, 1, 1) + sphere(d = 1) + sphere(d = 2) - sphere(d = 3) - sphere(d = 4) & sphere(d = 5)")
	// Python's order: & binds weaker than + and -
	if s.Op != mechanism.Common || len(s.Args) != 2 || s.Args[0].Op != mechanism.Cut || len(s.Args[0].Args) != 3 || s.Args[0].Args[0].Op != mechanism.Join || len(s.Args[0].Args[0].Args) != 3 {
		t.Errorf("%+v", s)
	}
	loop := load(t, `
body = block(1, 1, 1)
for i in range(1000):
    body += sphere(d = 1 + i)
p = part("p", solid = body)
`).Parts[0].Shape
	if loop.Op != mechanism.Join || len(loop.Args) != 1001 {
		t.Errorf("a join in a loop is not flat: %d", len(loop.Args))
	}
	for i, a := range loop.Args[1:] {
		if sp, ok := a.Prim.(mechanism.Sphere); !ok || sp.R != (1+float64(i))/2 {
			t.Fatalf("piece %d is %+v", i+1, a.Prim)
		}
	}
	cut := shapeOf(t, "tube(d = 10, bore = 6, h = 4)")
	if cut.Op != mechanism.Cut || cut.Args[0].Prim != (mechanism.Cylinder{R: 5, H: 4}) || cut.Args[1].Args[0].Prim != (mechanism.Cylinder{R: 3, H: 6}) {
		t.Errorf("tube %+v", cut)
	}
}
