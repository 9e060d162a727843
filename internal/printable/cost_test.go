package printable

import (
	"math"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
)

// The numbers of layers and the flow are those of common practice:
// 1 + ceil((H - h1)/h), and width x height x speed, 0.45 x 0.2 x 60 = 5.4 mm3/s.
func TestLayersAndFlow(t *testing.T) {
	s := Default()
	for _, c := range []struct {
		h, first, layer float64
		want            int
	}{{20, 0.2, 0.2, 100}, {20.05, 0.2, 0.2, 101}, {0.1, 0.2, 0.2, 1}, {10, 0.3, 0.2, 50}, {10, 0.25, 0.15, 66}, {0, 0.2, 0.2, 0}} {
		s.FirstLayer, s.Layer = c.first, c.layer
		if n := layersOf(c.h, &s); n != c.want {
			t.Errorf("%g mm in layers of %g: %d, want %d", c.h, c.layer, n, c.want)
		}
	}
	s = Default()
	s.Flow = 5.4
	near(t, "speed at the limit of the flow", s.speed(100, 0.2), 60, 1e-12)
	near(t, "speed below it", s.speed(40, 0.2), 40, 1e-12)
}

// A spool of 1 kg PLA of 1.24 g/cm3 and 1.75 mm holds 335 m (makers' tables give
// some 330 m; the number here is 1000/1.24 cm3 over pi/4 1.75^2 mm2).
func TestMetres(t *testing.T) { near(t, "1 kg", Metres(1e6/1.24, 1.75), 335.3, 1e-3) }

// Closed forms of the plastic, by kind: a cube, a cylinder and a box with a
// hollow, of side a, with walls w and skins k.
func TestPlastic(t *testing.T) {
	s := Default()
	s.Infill = 0.2
	w, k := float64(s.Walls)*s.Line, float64(s.Skins)*s.Layer
	cube := piece(t, brick(0, 20, 0, 20, 0, 20))
	e := Cost(cube.Mesh, 0, 0, 1.24, &s)
	side := 20 - 2*w
	near(t, "walls of a cube", e.Wall, 20*(400-side*side), 1e-9)
	near(t, "skins of a cube", e.Skin, 2*k*side*side, 1e-9)
	near(t, "infill of a cube", e.Infill, 0.2*(20-2*k)*side*side, 1e-9)
	near(t, "grams of a cube", e.Grams, 1.24e-3*(e.Wall+e.Skin+e.Infill), 1e-9)

	rod := Piece{Mesh: build(t, leaf(mechanism.Cylinder{R: 10, H: 30}), 0.001), Up: geom.Identity()}
	e = Cost(rod.Mesh, 0, 0, 0, &s)
	inner := math.Pi * (10 - w) * (10 - w)
	near(t, "walls of a cylinder", e.Wall, 30*(math.Pi*100-inner), 2e-3)
	near(t, "skins of a cylinder", e.Skin, 2*k*inner, 2e-3)

	// 30 mm outside, a hollow of 20: floor and roof 5 mm thick, ring walls between
	box := piece(t, cutOff(brick(0, 30, 0, 30, 0, 30), brick(5, 25, 5, 25, 5, 25)))
	out := (30 - 2*w) * (30 - 2*w)
	ring := out - (400 + 80*w + math.Pi*w*w)
	e = Cost(box.Mesh, 0, 0, 0, &s)
	near(t, "walls of a hollow box", e.Wall, 10*(900-out)+20*(500-ring), 1e-9)
	s.Infill = 1
	e = Cost(box.Mesh, 0, 0, 1.24, &s)
	near(t, "a solid print weighs volume times density", e.Grams, 1.24*(27000-8000)/1000, 1e-9)
}

// A tube as thin as its walls holds no infill, and moving a part changes nothing.
func TestThinTubeAndLaws(t *testing.T) {
	s := Default()
	tube := piece(t, cutOff(leaf(mechanism.Cylinder{R: 10, H: 20}), at(leaf(mechanism.Cylinder{R: 8.8, H: 22}), 0, 0, -1)))
	e := Cost(tube.Mesh, 0, 0, 0, &s)
	if e.Infill != 0 || e.Skin != 0 {
		t.Errorf("a wall of 1.2 mm in three lines of 0.45: %+v", e)
	}
	near(t, "all of it is wall", e.Wall, tube.Mesh.Volume(), 1e-9)
	far := Cost(tube.Mesh.Moved(geom.Translation(geom.Vec{X: 5, Y: -7, Z: 3})), 0, 0, 0, &s)
	near(t, "moved", far.Minutes, e.Minutes, 1e-9)
	two := CostOf([]*mesh.Mesh{tube.Mesh, tube.Mesh}, 0, 0, 0, &s)
	near(t, "two weigh twice as much", two.Grams, 2*e.Grams, 1e-12)
	if !(two.Minutes < 2*e.Minutes && two.Minutes > e.Minutes) {
		t.Errorf("two together take %g minutes, one %g", two.Minutes, e.Minutes)
	}
}

// By hand: a wall-only square tube, 40 mm outside, one line of 0.4, 50 layers of
// 0.2 at 40 mm/s: per layer 4 x 39.6 = 158.4 mm. With all else set to nothing or
// without limit the time is the lines' length over the speed.
func TestTimeByHand(t *testing.T) {
	s := Default()
	s.Line, s.Walls, s.WallSpeed, s.FirstSpeed, s.Flow = 0.4, 1, 40, 40, 100
	s.LeastLayer, s.LayerChange, s.Retract, s.Acceleration, s.TravelSpeed = 0, 0, 0, 1e6, 5000
	p := piece(t, cutOff(brick(0, 40, 0, 40, 0, 10), brick(0.4, 39.6, 0.4, 39.6, -1, 11)))
	e := Cost(p.Mesh, 0, 0, 0, &s)
	near(t, "minutes", e.Minutes, 50*158.4/40/60, 0.02) // corners, ways and 0.02 s a loop are left
	s.LeastLayer = 10
	e = Cost(p.Mesh, 0, 0, 0, &s)
	near(t, "cooling", e.Minutes, 50*10.0/60, 1e-9)
	s.Pace = Pace{Start: 3, Factor: 1.2}
	near(t, "with pace", Cost(p.Mesh, 0, 0, 0, &s).Minutes, 3+1.2*e.Minutes, 1e-12)
}

// NIST StRD, Norris (linear least squares, certified values): with a flat prior
// the fit is the straight line of the textbooks.
func TestPaceNorris(t *testing.T) {
	y := []float64{
		0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3, 448.9, 10.8,
		557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2,
	}
	x := []float64{
		0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0, 447.5, 11.6,
		556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5,
	}
	var prints []Timed
	for i := range x {
		prints = append(prints, Timed{x[i], y[i]})
	}
	f, err := FitPace(prints, PacePrior{StartSpread: math.Inf(1), FactorSpread: math.Inf(1)})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "b0", f.Start, -0.262323073774029, 1e-9)
	near(t, "b1", f.Factor, 1.00211681802045, 1e-12)
	s := 0.884796396144373 // certified residual standard deviation, 34 degrees of freedom
	near(t, "standard error of b0", f.StartError*s, 0.232818234301152, 1e-9)
	near(t, "standard error of b1", f.FactorError*s, 0.429796848199937e-3, 1e-9)
	near(t, "spread", f.Spread*math.Sqrt(36.0/34), s, 1e-9)
}

func TestPacePrior(t *testing.T) {
	f, err := FitPace(nil, DefaultPacePrior())
	if err != nil || f.Start != 4 || f.Factor != 1 {
		t.Errorf("no prints: %+v, %v", f, err)
	}
	var many []Timed
	for i := range 40 {
		m := 20 + 5*float64(i)
		many = append(many, Timed{m, 8 + 1.25*m})
	}
	f, _ = FitPace(many, DefaultPacePrior())
	near(t, "start", f.Start, 8, 0.05)
	near(t, "factor", f.Factor, 1.25, 0.005)
	one, _ := FitPace(many[:1], DefaultPacePrior())
	if !(one.Factor > 1 && one.Factor < 1.25+0.2 && one.FactorError > f.FactorError) {
		t.Errorf("one print: %+v", one)
	}
	for _, bad := range []Timed{{0, 1}, {1, -1}, {math.NaN(), 1}, {1, math.Inf(1)}} {
		if _, err := FitPace([]Timed{bad}, DefaultPacePrior()); err == nil {
			t.Errorf("%v was taken", bad)
		}
	}
	if _, err := FitPace([]Timed{{5, 6}, {5, 7}}, PacePrior{}); err == nil {
		t.Error("two prints of one length tell start and factor apart")
	}
}
