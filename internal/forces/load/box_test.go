package load

import (
	"math"
	"testing"

	"feint/internal/forces"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// tube is a cylinder or, with ri > 0, a tube of n flats about z.
func tube(n int, ri, ro, z0, z1 float64) *mesh.Mesh {
	m := &mesh.Mesh{}
	ring := func(r, z float64) int32 {
		from := int32(len(m.V))
		for i := range n {
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			m.V = append(m.V, geom.Vec{X: r * c, Y: r * s, Z: z})
		}
		return from
	}
	band := func(a, b int32) {
		for i := range int32(n) {
			j := (i + 1) % int32(n)
			m.T = append(m.T, [3]int32{a + i, a + j, b + j}, [3]int32{a + i, b + j, b + i})
		}
	}
	if ri > 0 {
		a, b, c, d := ring(ro, z0), ring(ro, z1), ring(ri, z1), ring(ri, z0)
		band(a, b)
		band(b, c)
		band(c, d)
		band(d, a)
		return m
	}
	a, b := ring(ro, z0), ring(ro, z1)
	band(a, b)
	for i := range int32(n) - 2 {
		m.T = append(m.T, [3]int32{a, a + i + 2, a + i + 1}, [3]int32{b, b + i + 1, b + i + 2})
	}
	return m
}

// sleeve is an invented ferry's post: a rod of radius 5 that slides and turns in a
// sleeve of bore 5.2 between z = 0 and 30, and a weight of steel that rides on it.
func sleeve() (*mechanism.Mechanism, []*mesh.Mesh) {
	up := geom.Line{Dir: geom.Vec{Z: 1}}
	pla := mechanism.Material{Name: "PLA", Density: 1.25}
	m := &mechanism.Mechanism{
		Parts: []mechanism.Part{
			{Name: "sleeve", Frame: true, Carrier: -1, Material: pla},
			{Name: "post", Travels: []int{0, 1}, Material: pla},
			{Name: "weight", Carrier: 1, Travels: []int{2}, Material: mechanism.Material{Name: "steel", Density: 7.85, Bought: true}},
		},
		Travels: []mechanism.Travel{
			{Name: "slide", Part: 1, Kind: mechanism.Slide, Axis: up, Hi: 40},
			{Name: "turn", Part: 1, Kind: mechanism.Turn, Axis: up, Hi: 2 * math.Pi, Full: true},
			{Name: "out", Part: 2, Kind: mechanism.Slide, Axis: geom.Line{Dir: geom.Vec{X: 1}}, Hi: 20},
		},
		Start: []float64{0, 0, 0},
	}
	weight := tube(60, 0, 2, 70, 72)
	return m, []*mesh.Mesh{tube(120, 5.2, 9, 0, 30), tube(120, 0, 5, -10, 60), weight}
}

// Closed forms: the guide of a rod in a sleeve is as long as the sleeve, in its
// middle, of the rod's radius; masses are densities times volumes of prisms.
func TestGuideOfSleeve(t *testing.T) {
	m, meshes := sleeve()
	b := NewBox(m, meshes)
	g := b.Guide[1]
	near(t, "length", g.Length, 30, 3) // a piece is up to 3 mm long
	near(t, "middle", r3.Norm(r3.Sub(g.Middle, geom.Vec{Z: 15})), 0, 1.5)
	near(t, "radius", g.Radius, 5, 0.01)
	near(t, "collar", g.Collar, 0, 0)
	prism := func(r, h float64) float64 { return 120.0 / 2 * math.Sin(2*math.Pi/120) * r * r * h }
	near(t, "mass", b.Mass[1].Mass, 1.25e-6*prism(5, 70), 1e-12)
	near(t, "total", b.Total(), b.Mass[0].Mass+b.Mass[1].Mass+b.Mass[2].Mass, 1e-15)
	if b.Friction[0] != (forces.Interval{Lo: 0.12, Hi: 0.38}) || b.Guide[2] != (Guide{}) {
		t.Errorf("friction %v, guide in the air %+v", b.Friction[0], b.Guide[2])
	}
}

// Laws: what rides along moves along; axes of later travels turn with earlier ones;
// the weight out on its arm drives the turn with m g r on a tilted box.
func TestTravelsMove(t *testing.T) {
	m, meshes := sleeve()
	b := NewBox(m, meshes)
	b.Hold = make([]forces.Interval, 3)
	b.Hold[0] = forces.Exact(1)
	ts := b.Travels([]float64{7, math.Pi / 2, 12})
	near(t, "together", ts[0].Mass.Mass, b.Mass[1].Mass+b.Mass[2].Mass, 1e-15)
	near(t, "out along y", r3.Norm(r3.Sub(ts[2].Axis.Dir, geom.Vec{Y: 1})), 0, 1e-12)
	near(t, "weight", r3.Norm(r3.Sub(ts[2].Mass.Centre, geom.Vec{Y: 12, Z: 78})), 0, 1e-9)
	if ts[0].Hold != forces.Exact(1) || ts[1].Hold != (forces.Interval{}) {
		t.Error("holds are those laid over")
	}
	f := ts[1].Under(Load{Down: geom.Vec{X: -1}})
	near(t, "torque", f.Forward.Drive.Mid(), b.Mass[2].Mass*forces.Gravity*12, 1e-9)
	up := ts[0].Under(Load{Down: geom.Vec{Z: 1}})
	if up.Forward.Free != forces.No || up.Backward.Free != forces.No {
		t.Errorf("%g N do not overcome 1 N: %+v", ts[0].Mass.Mass*forces.Gravity, up)
	}
}

// Law: one travel is that of all; walls, infill and magnets are weighed.
func TestBuild(t *testing.T) {
	m, meshes := sleeve()
	m.Parts[1].Walls, m.Parts[1].Infill = 1.2, 0.15
	m.Parts[1].Magnets = []mechanism.Magnet{{Center: geom.Vec{Z: 50}, North: geom.Vec{Z: 1}, D: 6, H: 3, Grade: "N42"}}
	b := NewBox(m, meshes)
	q := []float64{7, 1, 12}
	for i, want := range b.Travels(q) {
		if got := b.Travel(i, q); got != want {
			t.Errorf("travel %d: %+v, want %+v", i, got, want)
		}
	}
	// a core of a prism of radius 5 - 1.2 and 70 - 2.4 mm is filled to 15 %
	area := func(r float64) float64 { return 120.0 / 2 * math.Sin(2*math.Pi/120) * r * r }
	want := 1.25e-6*(area(5)*70-0.85*area(5-1.2/math.Cos(math.Pi/120))*67.6) + 7.5e-6*math.Pi*27
	near(t, "printed with a magnet", b.Mass[1].Mass, want, 0.01*want)
}

// Closed form: a disc that only rests on its face rubs at two thirds of its radius.
func TestDiscOnFace(t *testing.T) {
	m, _ := sleeve()
	m.Parts = m.Parts[:2]
	m.Travels = m.Travels[:2]
	m.Start = []float64{0, 0}
	b := NewBox(m, []*mesh.Mesh{tube(90, 0, 30, -5, 0), tube(90, 0, 12, 0.2, 4)})
	near(t, "collar", b.Guide[1].Collar, 8, 0.3)
}

func BenchmarkNewBox(b *testing.B) {
	m, meshes := sleeve()
	for b.Loop() {
		NewBox(m, meshes)
	}
}

func BenchmarkShake(b *testing.B) {
	m, meshes := sleeve()
	ts := NewBox(m, meshes).Travels([]float64{0, 0, 3})
	for b.Loop() {
		Under(ts, Load{Kind: Shake, Level: 5})
	}
}

func BenchmarkTilt(b *testing.B) {
	m, meshes := sleeve()
	ts := NewBox(m, meshes).Travels([]float64{0, 0, 3})
	for b.Loop() {
		Under(ts, Load{Down: geom.Vec{Z: -1}})
	}
}
