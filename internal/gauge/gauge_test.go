package gauge

import (
	"bytes"
	"context"
	"math"
	"reflect"
	"strings"
	"testing"

	"feint/internal/calibrate"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/solid"

	"gonum.org/v1/gonum/spatial/r3"
)

func cut(t *testing.T, parts []Part, fits []matingFit, s Settings, only ...int) []Gauge {
	t.Helper()
	gs, refused, err := Cut(context.Background(), parts, fits, s, 0, only...)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range refused {
		t.Logf("refused %s in %s: %s", parts[r.Fit.Inner].Name, parts[r.Fit.Outer].Name, r.Why)
	}
	for i := range gs {
		sound(t, &gs[i])
	}
	return gs
}

// Parts of an independent modeller (examples/latch-rod/make_parts.py): the slider's
// window is drawn 0.30 mm larger a side than the rod, its bearing 0.25.
func TestLatchRod(t *testing.T) {
	parts, fits := scene(t, "../../examples/latch-rod/latch-rod.star")
	gs := cut(t, parts, fits, settings())
	found := map[string]float64{}
	for i := range gs {
		found[parts[gs[i].Fit.Inner].Name+" in "+parts[gs[i].Fit.Outer].Name] = gs[i].Fit.Gap
	}
	for pair, gap := range map[string]float64{"rod in slider": 0.30, "slider in gate": 0.30} {
		if math.Abs(found[pair]-gap) > 1e-3 {
			t.Errorf("%s: %.3f, want %.2f (all: %v)", pair, found[pair], gap, found)
		}
	}
}

// A rod of 12 mm in a bore of 12.5: every socket is measured on its mesh, by the
// least distance of its wall from the axis: 6 mm plus the gap, less the chord
// error of its flats.
func TestBoreLadder(t *testing.T) {
	parts, fits := drawn(t, `
frame = part("beacon", frame = True, solid = block(30, 30, (0, 20)) - cylinder(d = 12.5, h = 30).at(z = -5))
rod = part("rod", solid = cylinder(d = 12, h = 60).at(z = -20), travels = [slide(z, 0, 18), turn(z)])
start({})
goal("up", {rod.slide: (15, None)})
`)
	gs := cut(t, parts, fits, settings())
	if len(gs) != 1 {
		t.Fatalf("%d gauges", len(gs))
	}
	g := &gs[0]
	tree := mesh.NewTree(g.Pieces[0].Mesh)
	b := g.Pieces[0].Mesh.Bounds()
	for _, p := range g.Places {
		if !p.Upright || !p.Felt || !strings.Contains(p.Do, "per side") || !strings.Contains(p.Do, "across") {
			t.Errorf("%+v", p)
		}
	}
	// the axes of the sockets: places in the middle of the row where the wall is
	// farthest all round
	var radii []float64
	for x := b.Lo.X; x < b.Hi.X; x += 0.05 {
		best := 0.0
		for y := 2.0; y < b.Hi.Y; y += 0.05 {
			c := geom.Vec{X: x, Y: y, Z: 3}
			d, _, _ := tree.Near(c, 20)
			if !tree.Inside(c) {
				best = max(best, d)
			}
		}
		if n := len(radii); best > 5.9 && n > 0 && radii[n-1] > 5.9 {
			radii[n-1] = max(radii[n-1], best)
		} else {
			radii = append(radii, best)
		}
	}
	var holes []float64
	for _, r := range radii {
		if r > 5.9 && r < 6.6 {
			holes = append(holes, r)
		}
	}
	if len(holes) != len(g.Places) {
		t.Fatalf("%d holes found (%v), %d places", len(holes), holes, len(g.Places))
	}
	for i, p := range g.Places {
		if want := 6 + p.Gap; math.Abs(holes[i]-want) > 0.06 {
			t.Errorf("hole %s: radius %.3f, want %.3f", p.Label, holes[i], want)
		}
	}
	plug := g.Pieces[1].Mesh
	if size := r3.Sub(plug.Bounds().Hi, plug.Bounds().Lo); math.Abs(size.X-12) > 0.02 || size.Z < 4+handle-0.1 {
		t.Errorf("the plug measures %v", size)
	}
}

// Closed form: a square hole of 8.6 mm through a block of 20 x 20 x 6, widened by d,
// holds (8.6 + 2 d)^2 x 6 mm3; the outside stays.
func TestWidened(t *testing.T) {
	box := func(x, z0, z1 float64) *mechanism.Shape {
		return &mechanism.Shape{Prim: mechanism.Block{Lo: geom.Vec{X: -x, Y: -x, Z: z0}, Hi: geom.Vec{X: x, Y: x, Z: z1}}}
	}
	build := func(s *mechanism.Shape) *mesh.Mesh {
		m, err := solid.Build(s, solid.Options{})
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	socket := build(&mechanism.Shape{Op: mechanism.Cut, Args: []*mechanism.Shape{box(10, 0, 6), box(4.3, -1, 7)}})
	marked := hollow(socket, mesh.NewTree(build(box(30, 0, 6))), mesh.NewTree(build(box(4, -3, 9))))
	area := 0.0
	for i, m := range marked {
		if tr := socket.Triangle(i); m {
			area += r3.Norm(r3.Cross(r3.Sub(tr[1], tr[0]), r3.Sub(tr[2], tr[0]))) / 2
		}
	}
	if math.Abs(area-4*8.6*6) > 1e-2 {
		t.Errorf("%g mm2 of the hole marked, want %g", area, 4*8.6*6)
	}
	for _, d := range []float64{0.1, -0.15, 0} {
		w := mesh.Widened(socket, marked, d)
		if want := 400*6 - (8.6+2*d)*(8.6+2*d)*6; math.Abs(w.Volume()-want) > 0.01 {
			t.Errorf("widened by %g: %.4f mm3, want %.4f", d, w.Volume(), want)
		}
		if harm(w) != "" || w.Bounds() != socket.Bounds() {
			t.Errorf("widened by %g: %s, bounds %v", d, harm(w), w.Bounds())
		}
	}
}

// A square bar in a channel lying on its side, and the bounds of what is asked.
func TestRefusals(t *testing.T) {
	parts, fits := drawn(t, `
frame = part("beacon", frame = True, solid = block((-60, 60), (-40, 40), (-8, 8)) - block((-61, 61), (-30.3, 30.3), (-3.3, 3.3)))
bar = part("bar", solid = block((-40, 40), (-30, 30), (-3, 3)), travels = [slide(x, -4, 4)])
start({})
goal("left", {bar.slide: (None, -3)})
`)
	gs, refused, err := Cut(context.Background(), parts, fits, settings(), 0)
	if err != nil {
		t.Fatal(err)
	}
	if len(gs)+len(refused) != len(fits) || len(fits) == 0 {
		t.Errorf("%d fits, %d gauges, refused %+v", len(fits), len(gs), refused)
	}
	s := settings()
	s.Estimate = func([]*mesh.Mesh) (float64, float64) { return 16, 1 }
	if gs, _, _ := Cut(context.Background(), parts, fits, s, 0); len(gs) != 0 {
		t.Error("16 minutes are too many")
	}
	if _, err := Plain(context.Background(), s); err == nil {
		t.Error("16 minutes are too many for the plain ladder")
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, _, err := Cut(ctx, parts, fits, s, 0); err == nil {
		t.Error("a stopped cut gave a result")
	}
}

// The flagship example: groove, gate and bore of the real parts are cut. Only its
// solids are built; nothing is proved.
func TestLighthouse(t *testing.T) {
	if testing.Short() {
		t.Skip("builds and cuts the whole tower: slow with the race detector, which uses -short; the plain run has it")
	}
	parts, fits := scene(t, "../../examples/lighthouse/lighthouse.star")
	want := map[string]int{"stair column": 0, "gallery bolt": 0, "tower column": 0}
	for i := range fits {
		k := parts[fits[i].Outer].Name + " " + parts[fits[i].Inner].Name
		if n, ok := want[k]; ok && n == 0 && fits[i].Wide < 20 {
			want[k] = i + 1
		}
	}
	for k, n := range want {
		if n == 0 {
			t.Errorf("no fit of %s", k)
			continue
		}
		if gs := cut(t, parts, fits, settings(), n); len(gs) != 1 {
			t.Errorf("%s, fit %d: %d gauges", k, n, len(gs))
		}
	}
}

func TestPlain(t *testing.T) {
	g, err := Plain(context.Background(), settings())
	if err != nil {
		t.Fatal(err)
	}
	sound(t, g)
	// closed form of the bar: its box less its holes; strip and letters come on top
	want := 58.5*12*holeDeep + 56.5*stripDeep*stripHigh
	for _, k := range plainGaps() {
		r := pegWide/2 + k
		want -= math.Pi * r * r * holeDeep
	}
	if v := g.Pieces[0].Mesh.Volume(); v < want || v > want*1.06 {
		t.Errorf("volume %.1f, without letters %.1f", v, want)
	}
}

// Readings come back as they were written, and nonsense is named by its row.
func TestReadings(t *testing.T) {
	g, err := Plain(context.Background(), settings())
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := WriteReadings(&b, []Gauge{*g}); err != nil {
		t.Fatal(err)
	}
	empty, err := ReadReadings(bytes.NewReader(b.Bytes()), []Gauge{*g})
	if err != nil || len(empty) != 0 {
		t.Fatalf("nothing filled in: %v, %v", empty, err)
	}
	filled := strings.Replace(b.String(), "plain-ladder,0.10,hole,0.10,0.20,,,-,,", "plain-ladder,0.10,hole,0.10,0.20,, Tight ,-,,rough", 1)
	filled = strings.Replace(filled, "plain-ladder,peg,peg,,,8.00,-,,0.03,", `plain-ladder,peg,peg,,,8.00,-,"8,12",0.02,`, 1)
	filled = strings.Replace(filled, "plain-ladder,0.20,hole,,,8.40,-,,0.03,", "plain-ladder,0.20,hole,,,8.40,-,8.26,,", 1)
	rs, err := ReadReadings(strings.NewReader(filled), []Gauge{*g})
	if err != nil || len(rs) != 3 {
		t.Fatalf("%+v, %v", rs, err)
	}
	if rs[0].Felt != Tight || rs[0].Place.Gap != 0.10 || rs[0].Note != "rough" {
		t.Errorf("felt: %+v", rs[0])
	}
	if _, _, ok := rs[0].Growth(); ok {
		t.Error("a felt reading has no size")
	}
	// a hole 0.14 mm small across: 0.07 a surface; a peg 0.12 large: 0.06
	// the same as a spreadsheet saves it, and words as one writes them at midnight
	sheet := strings.NewReplacer(`"8,12"`, "8.12", " Tight ", "ti").Replace(filled)
	sheet = strings.NewReplacer(",", ";", ".", ",").Replace(sheet)
	sheet = "\ufeff" + strings.NewReplacer("0,10;hole;0,10;0,20", "0,1;hole;0,1;0,2", "\n", "\r\n").Replace(sheet)
	if again, err := ReadReadings(strings.NewReader(sheet), []Gauge{*g}); err != nil || !reflect.DeepEqual(again, rs) {
		t.Errorf("saved by a spreadsheet: %v\n%+v\n%+v", err, again, rs)
	}
	for i, want := range []float64{0.07, 0.06} {
		if v, sd, ok := rs[i+1].Growth(); !ok || math.Abs(v-want) > 1e-9 || sd <= 0 {
			t.Errorf("growth %g +- %g, want %g", v, sd, want)
		}
	}
	// what is written for learning is what the learner reads
	var table bytes.Buffer
	if err := WriteTable(&table, rs); err != nil {
		t.Fatal(err)
	}
	ks, err := calibrate.ReadTable("table", &table)
	if err != nil || len(ks) != 3 {
		t.Fatalf("%+v, %v", ks, err)
	}
	if ks[0].Kind != calibrate.Fit || ks[0].Felt != calibrate.Tight || ks[0].Gap != 0.10 || ks[0].Nominal != 8 || ks[1].Kind != calibrate.Hole || ks[1].Size != 8.26 || ks[2].Kind != calibrate.Peg || ks[2].Sd != 0.02 {
		t.Errorf("%+v", ks)
	}
	for bad, with := range map[string]string{
		"plain-ladder,peg,peg,,,8.00,-,9.0.0,0.03,":     "not a size",
		"plain-ladder,peg,peg,,,8.00,-,12,0.03,":        "wrong place, or a slip",
		"plain-ladder,peg,peg,,,8.00,-,8.1,-1,":         "uncertainty",
		"plain-ladder,0.10,hole,0.10,0.20,,snug,-,,":    "not stuck, tight",
		"plain-ladder,0.10,hole,0.10,0.20,,tight,8.1,,": "both",
		"plain-ladder,0.10,hole,0.10,0.20,,S,-,,":       "may be stuck or slides",
		"other,0.10,hole,0.10,0.20,,tight,-,,":          "no gauge",
		"plain-ladder,0.99,hole,0.10,0.20,,tight,-,,":   "no place",
		"plain-ladder,peg,peg":                          "ten columns",
	} {
		_, err := ReadReadings(strings.NewReader(strings.Join(columns(), ",")+"\n"+bad+"\n"), []Gauge{*g})
		if err == nil || !strings.Contains(err.Error(), with) {
			t.Errorf("%q: %v", bad, err)
		}
	}
}
