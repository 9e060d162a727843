package printed

import (
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.9g, want %.9g", what, got, want)
	}
}

// The default's wall 20 mm from the middle of a part deviates by 0.16 mm root
// mean square (fused filament, PMC7141211) within a tenth; a length of 40 mm is
// then off by 0.26 mm on average (PMC9156585: 0.26) within a fifth.
func TestUnknownAgreesWithMeasurements(t *testing.T) {
	m := Unknown()
	if err := m.Check(); err != nil {
		t.Fatal(err)
	}
	p := Place{Z: 20, Arm: 20, Seam: SeamElsewhere}
	r := rand.New(rand.NewPCG(1, 2))
	sum, length, n := 0.0, 0.0, 20000
	for range n {
		print, a, b := Draw(r), Draw(r), Draw(r)
		va, vb := m.Values(&print, &a, ""), m.Values(&print, &b, "")
		ga, gb := m.Growth(&p, &va, Use{}), m.Growth(&p, &vb, Use{})
		sum += ga.Likely * ga.Likely
		length += math.Abs(ga.Likely + gb.Likely)
	}
	near(t, "root mean square", math.Sqrt(sum/float64(n)), 0.16, 0.016)
	near(t, "mean error of 40 mm", length/float64(n), 0.26, 0.05)
	// upright holes of 4 to 20 mm print 0.1 to 0.3 mm small across on average
	// (common practice, no source)
	var none Scores
	for _, d := range []float64{4, 8, 20} {
		v := m.Values(&none, &none, "")
		g := m.Growth(&Place{Z: 20, Curve: Hole, Diameter: d, Arm: -d / 2}, &v, Use{})
		if small := 2 * g.Likely; small < 0.1 || small > 0.35 {
			t.Errorf("hole of %g mm: %.3f mm small across", d, small)
		}
	}
}

// Growth in plane and in height by the normal: a wall takes the one, a face the
// other, a face at 45 degrees (a+b)/sqrt 2, the support function of a cylinder
// (closed form).
func TestDirections(t *testing.T) {
	m := &Model{}
	var v Values
	v.Of[InPlane], v.Of[Height] = 0.1, 0.04
	for _, c := range []struct{ rise, want float64 }{
		{0, 0.1}, {1, 0.04}, {-1, 0.04}, {math.Sqrt2 / 2, 0.14 / math.Sqrt2}, {0.6, 0.8*0.1 + 0.6*0.04},
	} {
		near(t, "growth", m.Growth(&Place{Rise: c.rise, Z: 5, Seam: SeamElsewhere}, &v, Use{}).Likely, c.want, 1e-12)
	}
	if g := m.Growth(&Place{Bought: true, Z: 5}, &v, Use{}); g != (Growth{}) {
		t.Errorf("bought hardware grows by %v", g)
	}
}

// A rod of 20 mm and its bore of the same material shrink together: the gap loses
// the shrink of the gap only. A steel pin of 10 mm in a printed bore: the bore
// shrinks by 0.4 % of its radius (closed forms).
func TestShrink(t *testing.T) {
	m := &Model{Shrink: map[string]Amount{"": {Mean: 0.004}}}
	v := Values{Shrink: 0.004}
	rod := m.Growth(&Place{Z: 5, Curve: Pin, Diameter: 19.5, Arm: 9.75, Seam: SeamElsewhere}, &v, Use{})
	bore := m.Growth(&Place{Z: 5, Curve: Hole, Diameter: 20, Arm: -10, Seam: SeamElsewhere}, &v, Use{})
	near(t, "gap lost", rod.Plus(bore).Likely, 0.004*0.25, 1e-12)
	pin := m.Growth(&Place{Z: 5, Bought: true, Arm: 5}, &v, Use{})
	near(t, "gap to steel", pin.Plus(m.Growth(&Place{Z: 5, Arm: -5, Seam: SeamElsewhere}, &v, Use{})).Likely, 0.02, 1e-12)
}

// Whole layers: a roof at 10.07 mm ends at 10.0 (first layer 0.2, layers 0.2), so
// the face that looks down there stands 0.07 proud, the one that looks up 0.07 low.
func TestWholeLayers(t *testing.T) {
	m := &Model{Layer: 0.2, FirstLayer: 0.2}
	var v Values
	near(t, "up", m.Growth(&Place{Rise: 1, Z: 10.07}, &v, Use{}).Likely, -0.07, 1e-12)
	near(t, "down", m.Growth(&Place{Rise: -1, Z: 10.07}, &v, Use{}).Likely, 0.07, 1e-12)
	near(t, "on the plate", m.Growth(&Place{Rise: -1, Z: 0}, &v, Use{}).Likely, 0, 0)
	m.FirstLayer = 0.28
	near(t, "first layer", m.Growth(&Place{Rise: 1, Z: 10.07}, &v, Use{}).Likely, 10.08-10.07, 1e-12)
}

func TestFlareSeamOvalUse(t *testing.T) {
	m := &Model{FlareHeight: 0.4}
	var v Values
	v.Of[Flare], v.Of[Seam], v.Of[Oval], v.Of[Wear], v.Of[Give] = 0.15, 0.05, 0.03, 0.02, 0.01
	v.Of[Bore], v.Of[BoreSmall] = 0.04, 0.3
	low := m.Growth(&Place{Z: 0.3, Seam: SeamElsewhere}, &v, Use{})
	high := m.Growth(&Place{Z: 0.5, Seam: SeamElsewhere}, &v, Use{})
	near(t, "flare", low.Likely-high.Likely, 0.15, 1e-12)
	hole := m.Growth(&Place{Z: 5, Curve: Hole, Diameter: 10}, &v, Use{})
	near(t, "hole", hole.Likely, 0.04+0.03, 1e-12)
	near(t, "hole at least", hole.Lo, 0.07-0.03, 1e-12)
	near(t, "hole at most", hole.Hi, 0.07+0.03+0.05, 1e-12)
	zone := m.Growth(&Place{Z: 5, Seam: SeamHere}, &v, Use{})
	near(t, "seam zone", zone.Likely, 0.05, 1e-12)
	used := m.Growth(&Place{Z: 5, Seam: SeamElsewhere}, &v, Use{Solves: 500, Firm: true})
	near(t, "use", used.Likely, -0.01-0.01, 1e-12)
}

// Draws against the standard library's normal numbers from another generator, by
// their moments, and against the values written here: the bytes must not change.
func TestDraws(t *testing.T) {
	r := rand.New(rand.NewPCG(42, 0))
	s := Draw(r)
	if got, want := s.Of[InPlane], firstDraw; math.Abs(got-want) > 1e-12 {
		t.Errorf("the first number of seed 42 is %.17g, was %.17g", got, want)
	}
	var xs []float64
	for range 5000 {
		s := Draw(r)
		xs = append(xs, s.Of[:]...)
	}
	mean, sd := stat.MeanStdDev(xs, nil)
	n := float64(len(xs))
	near(t, "mean", mean, 0, 5/math.Sqrt(n))
	near(t, "sd", sd, 1, 5/math.Sqrt(2*n))
}

func TestPositiveEffectsStayPositive(t *testing.T) {
	m := Unknown()
	var low Scores
	for e := range low.Of {
		low.Of[e] = -10
	}
	v := m.Values(&low, &low, "")
	for e := Flare; e < Effects; e++ {
		if v.Of[e] != 0 {
			t.Errorf("%s is %g", e, v.Of[e])
		}
	}
}

const sampleFile = `# our workshop
[[setting]]
name = "kitchen, white PLA"
printer = "kitchen"
nozzle = 0.4
spool = "white PLA"
profile = "fine"
layer = 0.12
source = "gauge of 1 November"

[setting.growth]
in_plane = {mean = 0.06, prints = 0.015, features = 0.01}

[setting.growth.bore]
mean = 0.02

[setting.shrink]
PLA = {mean = 0.003}

[[setting]]
name = "kitchen, red PETG"
like = "kitchen, white PLA"
spool = "red PETG"
growth.height = {mean = 0.01}
`

func TestSettings(t *testing.T) {
	ms, err := ReadSettings("printers.toml", []byte(sampleFile))
	if err != nil {
		t.Fatal(err)
	}
	a, b := ms[0], ms[1]
	if a.Amounts[InPlane] != (Amount{0.06, 0.015, 0.01}) || a.Amounts[Bore].Mean != 0.02 || a.Amounts[Bore].Prints != Unknown().Amounts[Bore].Prints {
		t.Errorf("%+v", a.Amounts)
	}
	if b.Layer != 0.12 || b.Spool != "red PETG" || b.Amounts[InPlane] != a.Amounts[InPlane] || b.Amounts[Height].Mean != 0.01 || a.Amounts[Height].Mean == 0.01 {
		t.Errorf("%+v", b)
	}
	if a.ShrinkOf("PLA").Mean != 0.003 || a.ShrinkOf("other").Mean != Unknown().ShrinkOf("").Mean {
		t.Errorf("%+v", a.Shrink)
	}
	raw, err := WriteSettings(ms)
	if err != nil {
		t.Fatal(err)
	}
	again, err := ReadSettings("again", raw)
	if err != nil {
		t.Fatalf("%v in\n%s", err, raw)
	}
	if !reflect.DeepEqual(ms, again) {
		t.Errorf("written and read again:\n%+v\n%+v\n%s", ms[1], again[1], raw)
	}
	if _, err := Named(ms, "shed"); err == nil || !strings.Contains(err.Error(), "red PETG") {
		t.Errorf("%v", err)
	}
}

func TestSettingsMistakes(t *testing.T) {
	head := "[[setting]]\nname = \"a\"\n"
	for text, want := range map[string]string{
		"[[setting]]\nprinter = \"x\"\n":                       "f:1: this [[setting]] has no name",
		head + "nozle = 0.4\n":                                 "f:3: there is no setting called \"setting.nozle\"",
		head + "nozzle = \"wide\"\n":                           "f:3:",
		head + "layer = -1\n":                                  "f:3: setting \"a\": layer",
		head + "\n[setting.growth]\nbores = {mean = 0.1}\n":    "f:5: setting \"a\": \"bores\" is no growth",
		head + "[setting.growth]\nbore = {prints = -0.1}\n":    "f:4: setting \"a\": bore: prints is a standard deviation",
		head + "[setting.growth.flare]\nmean = -0.1\n":         "f:3: setting \"a\": flare: mean",
		head + "[setting.shrink]\nPLA = {mean = 0.3}\n":        "f:4: setting \"a\": shrink PLA",
		head + "like = \"b\"\n":                                "f:3: there is no setting \"b\"",
		head + head:                                            "f:4: there is already a setting",
		"[[setting]\n":                                         "f:1:",
		"[[setting]]\nname = \"unknown printer\"\nlayer = 1\n": "f:2: there is already",
	} {
		_, err := ReadSettings("f", []byte(text))
		if err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%q:\n got %v\nwant %s", text, err, want)
		}
	}
}

func TestCorners(t *testing.T) {
	cs := Corners(2)
	if len(cs) != 9 || cs[0].Scores != (Scores{}) {
		t.Fatalf("%d corners", len(cs))
	}
	names := map[string]bool{}
	for _, c := range cs {
		names[c.Name] = true
	}
	if len(names) != 9 {
		t.Errorf("names %v", names)
	}
}

// firstDraw is written down from a run: it only guards the bytes.
const firstDraw = 1.069356995818276

// A setting is added behind what is there, comments and all; a taken name is
// refused.
func TestAppendSetting(t *testing.T) {
	m := Unknown()
	m.Name, m.Source = "shed", "two gauges"
	out, err := AppendSetting("f", []byte(sampleFile), m)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(string(out), strings.TrimRight(sampleFile, "\n")) {
		t.Errorf("what was there is changed:\n%s", out)
	}
	ms, err := ReadSettings("f", out)
	if err != nil || len(ms) != 3 || ms[2].Amounts != m.Amounts {
		t.Errorf("%v %+v", err, ms)
	}
	if _, err := AppendSetting("f", out, m); err == nil {
		t.Error("the same name twice")
	}
	if first, err := AppendSetting("f", nil, m); err != nil || !strings.HasPrefix(string(first), "# ") {
		t.Errorf("%v\n%s", err, first)
	}
}

// What a workshop prefers is read, changed and taken out, and a setting is written
// over in its place; every other byte of the file stays.
func TestPreferredAndPut(t *testing.T) {
	const file = "# of the kitchen\n\n[[setting]]\nname = \"a\"\nlayer = 0.1\n\n# the shed\n[[setting]]\nname = \"b\"\n  [setting.growth]\n  bore = {mean = 0.02}\n"
	if p, err := Preferred("f", []byte(file)); err != nil || p != "" {
		t.Fatalf("%q, %v", p, err)
	}
	out, err := SetPreferred("f", []byte(file), "b")
	if err != nil {
		t.Fatal(err)
	}
	if p, err := Preferred("f", out); err != nil || p != "b" || !strings.HasSuffix(string(out), file) {
		t.Errorf("%q, %v:\n%s", p, err, out)
	}
	if out, err = SetPreferred("f", out, "a"); err != nil || strings.Count(string(out), "default") != 1 {
		t.Errorf("%v:\n%s", err, out)
	}
	if out, err = SetPreferred("f", out, ""); err != nil || strings.Contains(string(out), "default") {
		t.Errorf("%v:\n%s", err, out)
	}
	if _, err := SetPreferred("f", []byte(file), "c"); err == nil || !strings.Contains(err.Error(), "f:1") {
		t.Errorf("a setting that is not there: %v", err)
	}
	m := Unknown()
	m.Name = "a"
	m.Amounts[InPlane] = Amount{Mean: 0.07, Prints: 0.03, Features: 0.04}
	if out, err = PutSetting("f", []byte(file), m); err != nil {
		t.Fatal(err)
	}
	for _, keep := range []string{"# of the kitchen\n", "\n# the shed\n[[setting]]\nname = \"b\"\n  [setting.growth]\n  bore = {mean = 0.02}\n"} {
		if !strings.Contains(string(out), keep) {
			t.Errorf("%q is gone from\n%s", keep, out)
		}
	}
	ms, err := ReadSettings("f", out)
	if err != nil || len(ms) != 2 || ms[0].Name != "a" || ms[0].Amounts[InPlane] != m.Amounts[InPlane] || ms[1].Amounts[Bore].Mean != 0.02 {
		t.Errorf("%v, %+v", err, ms)
	}
	if s := m.Span(2); math.Abs(s[0]+0.03) > 1e-12 || math.Abs(s[1]-0.17) > 1e-12 { // 0.07 -+ 2 hypot(0.03, 0.04)
		t.Errorf("span %v", s)
	}
}
