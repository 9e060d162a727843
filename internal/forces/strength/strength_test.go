package strength

import (
	"math"
	"testing"

	"feint/internal/forces"
	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

func near(t *testing.T, what string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*math.Abs(want)) {
		t.Errorf("%s: %.8g, want %.8g", what, got, want)
	}
}

func block(lo, hi geom.Vec) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range 8 {
		v := lo
		if i&1 != 0 {
			v.X = hi.X
		}
		if i&2 != 0 {
			v.Y = hi.Y
		}
		if i&4 != 0 {
			v.Z = hi.Z
		}
		m.V = append(m.V, v)
	}
	m.T = [][3]int32{{0, 2, 3}, {0, 3, 1}, {4, 5, 7}, {4, 7, 6}, {0, 1, 5}, {0, 5, 4}, {2, 6, 7}, {2, 7, 3}, {0, 4, 6}, {0, 6, 2}, {1, 3, 7}, {1, 7, 5}}
	return m
}

// join makes one solid of several.
func join(t *testing.T, ms ...*mesh.Mesh) *mesh.Mesh {
	t.Helper()
	o, err := mesh.Arrange(ms, func(in []bool) bool {
		for _, i := range in {
			if i {
				return true
			}
		}
		return false
	}, mesh.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// Closed forms of handbooks: round pin of 5 mm in single shear under 100 N, 5.0930 MPa;
// cantilever 10 x 3, 20 long, 20 N, 3000 MPa: 26.667 MPa and 0.79012 mm.
func TestHandbook(t *testing.T) {
	near(t, "pin", PinShear(5, 100), 5.0930, 1e-5)
	s, d := Cantilever(10, 3, 20, 20, 3000)
	near(t, "stress", s, 26.667, 2e-5)
	near(t, "deflection", d, 0.79012, 1e-5)
}

// Closed forms: a rectangle b x h has area b h, moments b h3/12; a hole takes its own away.
func TestCut(t *testing.T) {
	hollow, err := mesh.Arrange([]*mesh.Mesh{
		block(geom.Vec{X: 3, Y: 1}, geom.Vec{X: 13, Y: 7, Z: 20}), block(geom.Vec{X: 5, Y: 2, Z: -1}, geom.Vec{X: 9, Y: 5, Z: 21}),
	}, func(in []bool) bool { return in[0] && !in[1] }, mesh.Options{})
	if err != nil {
		t.Fatal(err)
	}
	cut := Cut(hollow, geom.Line{Point: geom.Vec{Z: 8}, Dir: geom.Vec{Z: 1}})
	if len(cut) != 1 {
		t.Fatalf("%d pieces", len(cut))
	}
	s := cut[0]
	near(t, "area", s.Area, 60-12, 1e-9)
	cx, cy := (60*8.0-12*7)/48, (60*4.0-12*3.5)/48
	near(t, "centre", r3.Norm(r3.Sub(s.Centre, geom.Vec{X: cx, Y: cy, Z: 8}))+1, 1, 1e-9)
	// about the common centre, by Steiner
	xx := 6*1000.0/12 + 60*(8-cx)*(8-cx) - 3*64.0/12 - 12*(7-cx)*(7-cx)
	yy := 10*216.0/12 + 60*(4-cy)*(4-cy) - 4*27.0/12 - 12*(3.5-cy)*(3.5-cy)
	along := s.IXX
	if math.Abs(s.X.X) < 0.5 {
		along = s.IYY
	}
	near(t, "moment", along, xx, 1e-9)
	near(t, "moments", s.IXX+s.IYY, xx+yy, 1e-9)
	if got := Cut(hollow, geom.Line{Point: geom.Vec{Z: 30}, Dir: geom.Vec{Z: 1}}); len(got) != 0 {
		t.Errorf("%d pieces in the air", len(got))
	}
	if got := Cut(hollow, geom.Line{Point: geom.Vec{X: 7}, Dir: geom.Vec{X: 1}}); len(got) != 2 {
		t.Errorf("%d pieces beside the hole", len(got))
	}
}

// Second algorithm: the area of a skew cut is the loss of volume of mesh.CutByPlane as the
// plane moves on.
func TestCutAgainstVolume(t *testing.T) {
	m := join(t, block(geom.Vec{}, geom.Vec{X: 20, Y: 10, Z: 5}), block(geom.Vec{X: 4, Y: 3, Z: 2}, geom.Vec{X: 8, Y: 7, Z: 15}))
	l := geom.Line{Point: geom.Vec{X: 6, Y: 5, Z: 4}, Dir: r3.Unit(geom.Vec{X: 0.3, Y: 0.2, Z: 1})}
	area := 0.0
	for _, s := range Cut(m, l) {
		area += s.Area
	}
	vol := func(by float64) float64 {
		o, err := mesh.CutByPlane(m, geom.Line{Point: r3.Add(l.Point, r3.Scale(by, l.Dir)), Dir: l.Dir}, mesh.Options{})
		if err != nil {
			t.Fatal(err)
		}
		return o.Volume()
	}
	near(t, "area", area, (vol(0.05)-vol(-0.05))/0.1, 1e-3)
}

// Closed form: a peg 4 x 3 mm standing 12 mm out of a slab breaks at its root under
// b h2/(6 l) times the strength, across the layers when it is printed upright and along
// them when it is laid.
func TestFeatures(t *testing.T) {
	m := join(t, block(geom.Vec{}, geom.Vec{X: 30, Y: 20, Z: 6}), block(geom.Vec{X: 10, Y: 8, Z: 3}, geom.Vec{X: 14, Y: 11, Z: 18}))
	s := Strength{"sample", forces.Exact(40), forces.Exact(20), ""}
	for _, c := range []struct {
		up   geom.Vec
		bear float64
	}{{geom.Vec{Z: 1}, 20}, {geom.Vec{X: 1}, 40}} {
		fs := Features(m, s, c.up)
		if len(fs) != 1 {
			t.Fatalf("%d features: %+v", len(fs), fs)
		}
		f := fs[0]
		if f.Dir != (geom.Vec{Z: 1}) || f.Mode != Bends {
			t.Errorf("%v %v", f.Dir, f.Mode)
		}
		near(t, "length", f.Length, 12, 0.03) // a section each 0.23 mm
		near(t, "root", f.Root, 12, 1e-6)
		// the weakest direction of a rectangle is over a corner: b h2/6 against both moments
		worst := 0.0
		for i := range 12 {
			sn, cs := math.Sincos(math.Pi / 12 * float64(i))
			worst = max(worst, 6*math.Abs(cs)/(3*16)+6*math.Abs(sn)/(4*9))
		}
		near(t, "force", f.Force.Mid(), c.bear/(worst*12), 0.03)
	}
	if got := Features(block(geom.Vec{}, geom.Vec{X: 5, Y: 5, Z: 40}), s, geom.Vec{Z: 1}); len(got) != 0 {
		t.Errorf("a bar has no features: %+v", got)
	}
	if got := Features(&mesh.Mesh{}, s, geom.Vec{Z: 1}); got != nil {
		t.Error("nothing has features")
	}
}

// Published: PLA across the layers 22.8 MPa, 0.52 of the filament (doi
// 10.1089/3dp.2020.0109): the intervals hold it, and the filament's 43.8.
func TestMaterial(t *testing.T) {
	up := geom.Vec{Z: 1}
	pla := Of("pla")
	if !pla.At(up, up).Has(22.8) || !pla.At(geom.Vec{X: 1}, up).Has(22.8/0.52) {
		t.Errorf("%+v", pla)
	}
	if u := Of("unobtainium"); u.Across.Lo > pla.Across.Lo || u.Along.Hi < pla.Along.Hi {
		t.Errorf("what is not known is wide: %+v", u)
	}
	skew := pla.At(r3.Unit(geom.Vec{X: 1, Z: 1}), up)
	if skew.Lo <= pla.Across.Lo || skew.Lo >= pla.Along.Lo {
		t.Errorf("at 45 degrees: %v", skew)
	}
}

// Law: turning part and layers together changes nothing that a cut tells.
func TestCutMoved(t *testing.T) {
	m := block(geom.Vec{}, geom.Vec{X: 7, Y: 3, Z: 9})
	g := geom.Screw(geom.Line{Point: geom.Vec{X: 1}, Dir: r3.Unit(geom.Vec{X: 1, Y: -2, Z: 0.5})}, 0.8, 3)
	l := geom.Line{Point: geom.Vec{Z: 4.5}, Dir: geom.Vec{Z: 1}}
	a := Cut(m, l)[0]
	b := Cut(m.Moved(g), geom.Line{Point: g.Apply(l.Point), Dir: g.Turn(l.Dir)})[0]
	near(t, "area", b.Area, a.Area, 1e-9)
	near(t, "thinnest", a.Thinnest(), 3, 1e-9)
	near(t, "thinnest, moved", b.Thinnest(), 3, 1e-9)
	near(t, "bending", a.BendingPer(geom.Vec{Y: 1}), 6.0/(7*9), 1e-9)
	near(t, "bending, moved", b.BendingPer(g.Turn(geom.Vec{Y: 1})), 6.0/(7*9), 1e-9)
}

// Value worked out elsewhere: a cantilever of 10 x 3 mm, 20 long, under 20 N at 3000 MPa has
// 26.667 MPa and 0.79012 mm: a strain of 26.667/3000.
func TestLeafStrain(t *testing.T) {
	if got := LeafStrain(20, 3, 0.79012); math.Abs(got-26.667/3000) > 1e-6 {
		t.Errorf("%g", got)
	}
	for _, m := range []string{"PLA", "petg", "TPU", "cheese"} {
		if h := Held(m); !(h.Lo > 0 && h.Hi > h.Lo) {
			t.Errorf("%s: %v", m, h)
		}
	}
	if Held("pla") != Held("PLA") || Held("TPU").Lo < 5*Held("PLA").Hi {
		t.Error("names are names in any letters; what is soft bears more")
	}
}
