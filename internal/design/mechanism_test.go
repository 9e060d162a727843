package design

import (
	"errors"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"feint/internal/geom"
	"feint/internal/mechanism"
)

const ferry = `
about(title = "Ferry", designer = "nobody", note = "invented", license = "CC0", revision = "C")
tolerance(0.002)
gap = param("side gap", 0.25, min = 0.1, max = 0.6, unit = "mm", note = "gap per side")
count = param("planks", 3, min = 1, max = 5, whole = True)
hull = part("hull", solid = block(30, 10, 5), frame = True)
mast = part("mast", solid = cylinder(d = 4, h = 20 + gap), carried_by = "deck", down = x,
    travels = [slide(z, 0, 8, name = "hoist"), turn(-z, through = (1, 2, 3), marks = {"lee": 370, "aft": -90})])
deck = part("deck", solid = block(20, 10, 1), travels = slide(x, -5, 10), material = "steel", colour = "#ABCDEF", hidden = True)
key = part("key", solid = block(1, 1, 1), travels = [helix(y, -720, 90, lead = -4, forward = "in", backward = "out")], material = "oak", density = 0.7, bought = True)
planks = [part("plank %d" % i, solid = block(1, 1, 1)) for i in range(count)]
press_fit("key", deck, depth = 0.1)
start({mast.turn: "aft", deck.slide: -5, key["helix"]: 90})
goal("away", {mast.turn: (350, 10), deck.slide: (8, None)})
step("turned", {mast.turn: (350, 370), key.helix: (None, -360)})
step("lee", {mast.turn: (300, 360)})
`

// TestWholeDesign compares a design with the mechanism that it stands for,
// worked out by hand.
func TestWholeDesign(t *testing.T) {
	m := load(t, ferry, Setting{"planks", "2"}, Setting{"side gap", "0.03cm"})
	inf := math.Inf(1)
	rad := func(d float64) float64 { return d * math.Pi / 180 }
	z, y := geom.Vec{Z: 1}, geom.Vec{Y: 1}
	want := &mechanism.Mechanism{
		Name: "d", Title: "Ferry", Designer: "nobody", Note: "invented", License: "CC0", Revision: "C", Tolerance: 0.002,
		Params: []mechanism.Param{
			{Name: "side gap", Value: 0.3, Default: 0.25, Min: 0.1, Max: 0.6, Unit: "mm", Note: "gap per side"},
			{Name: "planks", Value: 2, Default: 3, Min: 1, Max: 5},
		},
		Parts: []mechanism.Part{
			{Name: "hull", Frame: true, Carrier: -1, Material: mechanism.Material{Name: "PLA", Density: 1.24}, Color: frameColour},
			{Name: "mast", Carrier: 2, Travels: []int{0, 1}, Material: mechanism.Material{Name: "PLA", Density: 1.24}, Color: colours()[1]},
			{Name: "deck", Carrier: 0, Travels: []int{2}, Material: mechanism.Material{Name: "steel", Density: 7.85, Bought: true}, Color: "#abcdef", Hidden: true},
			{Name: "key", Carrier: 0, Travels: []int{3}, Material: mechanism.Material{Name: "oak", Density: 0.7, Bought: true}, Color: colours()[3]},
			{Name: "plank 0", Carrier: 0, Material: mechanism.Material{Name: "PLA", Density: 1.24}, Color: colours()[4]},
			{Name: "plank 1", Carrier: 0, Material: mechanism.Material{Name: "PLA", Density: 1.24}, Color: colours()[5]},
		},
		Travels: []mechanism.Travel{
			{Name: "hoist", Part: 1, Kind: mechanism.Slide, Axis: geom.Line{Dir: z}, Hi: 8, Forward: "up", Backward: "down"},
			{
				Name: "turn", Part: 1, Kind: mechanism.Turn, Axis: geom.Line{Point: geom.Vec{X: 1, Y: 2, Z: 3}, Dir: geom.Vec{Z: -1}}, Hi: 2 * math.Pi, Full: true,
				Forward: "counter-clockwise seen from below", Backward: "clockwise seen from below", Marks: []mechanism.Mark{{Name: "lee", Value: rad(10)}, {Name: "aft", Value: rad(270)}},
			},
			{Name: "slide", Part: 2, Kind: mechanism.Slide, Axis: geom.Line{Dir: geom.Vec{X: 1}}, Lo: -5, Hi: 10, Forward: "to the right", Backward: "to the left"},
			{Name: "helix", Part: 3, Kind: mechanism.Helix, Axis: geom.Line{Dir: y}, Lo: rad(-720), Hi: rad(90), Lead: -4, Forward: "in", Backward: "out"},
		},
		Start: []float64{0, rad(270), -5, rad(90)},
		Goal:  mechanism.Region{Name: "away", Bounds: []mechanism.Bound{{Travel: 1, Lo: rad(350), Hi: rad(10)}, {Travel: 2, Lo: 8, Hi: inf}}},
		Steps: []mechanism.Region{
			{Name: "turned", Bounds: []mechanism.Bound{{Travel: 1, Lo: rad(350), Hi: rad(10)}, {Travel: 3, Lo: -inf, Hi: rad(-360)}}},
			{Name: "lee", Bounds: []mechanism.Bound{{Travel: 1, Lo: rad(300), Hi: 2 * math.Pi}}},
		},
		PressFits: []mechanism.PressFit{{A: 3, B: 2, Depth: 0.1}},
	}
	opts := []cmp.Option{
		cmpopts.EquateApprox(0, 1e-12), cmpopts.IgnoreTypes(mechanism.Pos{}, &mechanism.Shape{}, geom.Motion{}),
		cmpopts.IgnoreFields(mechanism.Mechanism{}, "SHA256", "Sources"), cmpopts.EquateEmpty(),
	}
	if d := cmp.Diff(want, m, opts...); d != "" {
		t.Error(d)
	}
	// the mast lies on what is its right side in the drawing: x goes down
	if d := m.Parts[1].Print.Turn(geom.Vec{X: 1}); d != (geom.Vec{Z: -1}) {
		t.Errorf("x goes to %v in print", d)
	}
	if m.Parts[0].Print != geom.Identity() {
		t.Errorf("the hull is turned for print: %v", m.Parts[0].Print)
	}
	if p := m.Travels[1].Pos; p.Line != 8 || p.Col != 48 {
		t.Errorf("the turn stands at %v", p)
	}
}

// TestParamsOfABrokenDesign lists the params in spite of mistakes before and
// after them.
func TestParamsOfABrokenDesign(t *testing.T) {
	ps, err := ParamsOf("d.star", Options{FS: fstest.MapFS{"wide.star": {Data: []byte("w = param(\"w\", 2)\n")}, "d.star": {Data: []byte(`
load("wide.star", "w")
a = param("a", 1)
b = blok(1)
c = param("c", 3, min = 5)
fail("no")
d = param("d", 4)
`)}}})
	var names []string
	for _, p := range ps {
		names = append(names, p.Name)
	}
	if err == nil || strings.Join(names, " ") != "w a c d" {
		t.Errorf("%v, %v", names, err)
	}
	ps, err = ParamsOf("d.star", Options{FS: fstest.MapFS{"d.star": {Data: []byte(ferry)}}})
	if err != nil || len(ps) != 2 || ps[0].Pos.Line != 4 {
		t.Error(ps, err)
	}
}

// TestProblemsAreSorted looks at the order and the form of the messages.
func TestProblemsAreSorted(t *testing.T) {
	_, err := Load("box/d.star", Options{Set: []Setting{{"gpa", "3"}}, FS: fstest.MapFS{"d.star": {Data: []byte(`
lid = part("lid", solid = block(1, 1, -1), travels = [slide(z, 3, 1)])
gap = param("gap", 3)
goal("open", {lid.slide: (3, None)})
`)}}})
	const want = `box/d.star:2:39: block: z is -1 mm, but a size must be above 0; give a number above 0
box/d.star:2:67: slide: its limits are 3 and 1, so there is no way to go; the second limit must be the greater
--set "gpa=3": the design has no param called "gpa"; did you mean gap?`
	var got []string
	var ps *Problems
	if !errors.As(err, &ps) {
		t.Fatal(err)
	}
	for _, p := range ps.List {
		if p.Pos.Line > 0 || strings.HasPrefix(p.Pos.File, "--set") {
			got = append(got, p.String())
		}
	}
	if strings.Join(got, "\n") != want {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), want)
	}
}

// TestSameInputSameOutput loads a design with many mistakes twice.
func TestSameInputSameOutput(t *testing.T) {
	text := ferry + "a = blok(3)\nb = {1: 2}[3]\nlid = part(\"hull\", solid = 3, colour = \"x\")\nfail(\"x\")\n"
	message := func() string {
		_, err := Load("d.star", Options{FS: fstest.MapFS{"d.star": {Data: []byte(text)}}})
		return err.Error()
	}
	first := message()
	for range 5 {
		if again := message(); again != first {
			t.Fatalf("%s\n\n%s", first, again)
		}
	}
}

func TestPrint(t *testing.T) {
	var got []string
	_, err := Load("d.star", Options{
		FS:    fstest.MapFS{"d.star": {Data: []byte("print(\"gap\", 3, [1, 2])\n" + rest(""))}},
		Print: func(pos mechanism.Pos, words string) { got = append(got, pos.String()+" "+words) },
	})
	if err != nil || strings.Join(got, "|") != "d.star:1:1 gap 3 [1, 2]" {
		t.Error(got, err)
	}
}
