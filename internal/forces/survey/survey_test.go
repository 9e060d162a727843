package survey

import (
	"math"
	"strings"
	"testing"

	"feint/internal/forces"
	"feint/internal/forces/caution"
	"feint/internal/forces/load"
	"feint/internal/forces/magnet"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
)

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

// hive is an invented beehive: a body with two magnets under its roof, which lifts off,
// and a turning ring with a third that passes over one of them.
func hive() (*mechanism.Mechanism, []*mesh.Mesh) {
	pla := mechanism.Material{Name: "PLA", Density: 1.25}
	up := geom.Line{Dir: geom.Vec{Z: 1}}
	mag := func(name string, x, z float64, mates string) mechanism.Magnet {
		return mechanism.Magnet{Name: name, Center: geom.Vec{X: x, Z: z}, North: geom.Vec{Z: 1}, D: 6, H: 3, Grade: "N42", Mates: mates}
	}
	m := &mechanism.Mechanism{
		Parts: []mechanism.Part{
			{Name: "body", Frame: true, Carrier: -1, Material: pla, Print: geom.Identity(), Magnets: []mechanism.Magnet{mag("left", -15, 38, ""), mag("right", 15, 38, "")}},
			{Name: "roof", Travels: []int{0}, Material: pla, Print: geom.Identity(), Magnets: []mechanism.Magnet{mag("roof left", -15, 42, "left"), mag("roof right", 15, 42, "right")}},
			{Name: "ring", Travels: []int{1}, Material: pla, Print: geom.Identity(), Magnets: []mechanism.Magnet{mag("ring", 0, 4, "")}},
		},
		Travels: []mechanism.Travel{
			{Name: "lift", Part: 1, Kind: mechanism.Slide, Axis: up, Hi: math.Inf(1)},
			{Name: "turn", Part: 2, Kind: mechanism.Turn, Axis: up, Hi: 2 * math.Pi, Full: true},
		},
		Start: []float64{0, 0},
		Goal:  mechanism.Region{Bounds: []mechanism.Bound{{Travel: 0, Lo: 20, Hi: math.Inf(1)}}},
	}
	return m, []*mesh.Mesh{
		block(geom.Vec{X: -20, Y: -20}, geom.Vec{X: 20, Y: 20, Z: 40}),
		block(geom.Vec{X: -20, Y: -20, Z: 40}, geom.Vec{X: 20, Y: 20, Z: 46}),
		block(geom.Vec{X: -9, Y: -9, Z: 2}, geom.Vec{X: 9, Y: 9, Z: 6}),
	}
}

func survey(t *testing.T, m *mechanism.Mechanism, meshes []*mesh.Mesh) *Survey {
	t.Helper()
	s, err := Of(m, meshes, load.NewBox(m, meshes), forces.About(0, 0.05))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Value of the coaxial pair worked out with independent tools: 6 x 3 at gap 1, 4.459746 N
// at 1.2 T; N42 has 1.28 to 1.32 T (makers' tables). Two of them hold the roof.
func TestLid(t *testing.T) {
	m, meshes := hive()
	s := survey(t, m, meshes)
	if len(s.Lids) != 1 || s.Lids[0].Count != 2 || s.Lids[0].Part != 1 {
		t.Fatalf("%+v", s.Lids)
	}
	l := s.Lids[0]
	pair := 4.459746 / 1.44 * 1.3 * 1.3 * 0.96 // recoil takes some 4 %
	if !l.Each.Has(pair) || !l.Pull.Has(2*pair) {
		t.Errorf("each %v, both %v, want about %g", l.Each, l.Pull, pair)
	}
	mass := (40*40*6*1.25 + 2*math.Pi*27*7.5) * 1e-6
	if math.Abs(l.Mass-mass) > 1e-12 || !l.Kept.Has(2*pair/(mass*forces.Gravity)-1) {
		t.Errorf("mass %g, want %g, kept %v", l.Mass, mass, l.Kept)
	}
	// the pulls lie half as far from any rim as the finger does
	if !l.Peel.Has(2 * pair / 2) {
		t.Errorf("peel %v, want about %g", l.Peel, pair)
	}
	if len(s.Meetings) < 2 || s.Meetings[0].Meant != magnet.Attract && s.Meetings[1].Meant != magnet.Attract {
		t.Errorf("%+v", s.Meetings)
	}
	for _, p := range s.Meetings {
		if p.Meant == magnet.Attract && (p.Nearest.Sense != magnet.Attract || p.Against != nil) {
			t.Errorf("%+v", p)
		}
	}
}

// Law: a magnet put in the wrong way round is told; so is a strange one that a turn brings
// near; without either they are not.
func TestPoles(t *testing.T) {
	m, meshes := hive()
	strange := func(s *Survey) int {
		n := 0
		for _, p := range s.Meetings {
			if p.Meant == magnet.Neither && m.Parts[s.Magnets[p.B].Part].Name == "ring" {
				n++
			}
		}
		return n
	}
	if n := strange(survey(t, m, meshes)); n != 0 {
		t.Errorf("the ring is 30 mm below: %d", n)
	}
	m.Parts[2].Magnets[0].Center = geom.Vec{Y: 15, Z: 32}
	m.Parts[1].Magnets[1].North = geom.Vec{Z: -1}
	s := survey(t, m, meshes)
	if strange(s) < 2 {
		t.Errorf("a turn brings the ring's under both: %d", strange(s))
	}
	wrong := 0
	for _, p := range s.Meetings {
		if p.Against != nil {
			wrong++
			if p.Against.Sense != magnet.Repel || p.Against.Pull.Hi >= 0 || s.Magnets[p.B].Name != "roof right" {
				t.Errorf("%+v", p)
			}
		}
	}
	if wrong != 1 {
		t.Errorf("%d wrong poles", wrong)
	}
	m.Parts[0].Magnets[0].Grade = "N1000"
	if _, err := Of(m, meshes, load.NewBox(m, meshes), forces.Interval{}); err == nil || !strings.Contains(err.Error(), "N52") {
		t.Errorf("an unknown grade: %v", err)
	}
}

// The kinds of caution that belong to the hive, and no others; none without cause.
func TestCautions(t *testing.T) {
	m, meshes := hive()
	has := map[caution.Kind]int{}
	for _, c := range survey(t, m, meshes).Cautions {
		has[c.Kind]++
	}
	// the roof is 40 mm square: too wide for the cylinder
	if has[caution.SwallowedMagnets] != 1 || has[caution.Heat] != 1 || has[caution.SmallParts] != 0 || has[caution.SharpFragments] != 0 {
		t.Errorf("%v", has)
	}
	meshes[1] = block(geom.Vec{X: -10, Y: -10, Z: 40}, geom.Vec{X: 10, Y: 10, Z: 46})
	for i := range m.Parts {
		m.Parts[i].Magnets = nil
	}
	has = map[caution.Kind]int{}
	for _, c := range survey(t, m, meshes).Cautions {
		has[c.Kind]++
	}
	if has[caution.SwallowedMagnets] != 0 || has[caution.SmallParts] != 1 || has[caution.Heat] != 0 {
		t.Errorf("%v", has)
	}
}

func BenchmarkOf(b *testing.B) {
	m, meshes := hive()
	box := load.NewBox(m, meshes)
	for b.Loop() {
		if _, err := Of(m, meshes, box, forces.About(0, 0.05)); err != nil {
			b.Fatal(err)
		}
	}
}

// Closed forms: a plug of 20 mm in a bore has the lead angle atan(l/(pi d)), and friction of
// 0.12 to 0.38 (printed PLA, doi 10.1177/1464420720978997) holds up to its arctangents. It
// runs up when turned over by more than a right angle, and cannot run on down into its stop.
func TestScrew(t *testing.T) {
	pla := mechanism.Material{Name: "PLA", Density: 1.25}
	wall := func(x0, x1, y0, y1 float64) *mesh.Mesh {
		return block(geom.Vec{X: x0, Y: y0}, geom.Vec{X: x1, Y: y1, Z: 20})
	}
	m := &mechanism.Mechanism{
		Parts: []mechanism.Part{
			{Name: "tower", Frame: true, Carrier: -1, Material: pla, Print: geom.Identity()},
			{Name: "cap", Travels: []int{0}, Material: pla, Print: geom.Identity()},
		},
		Travels: []mechanism.Travel{{Name: "screw", Part: 1, Kind: mechanism.Helix, Axis: geom.Line{Dir: geom.Vec{Z: 1}}, Lead: 12, Hi: 20}},
		Start:   []float64{0},
	}
	// four blocks stand for the bore: only what is near the plug counts
	tower := &mesh.Mesh{}
	for _, w := range []*mesh.Mesh{wall(10.2, 14, -10, 10), wall(-14, -10.2, -10, 10), wall(-10, 10, 10.2, 14), wall(-10, 10, -14, -10.2)} {
		n := int32(len(tower.V))
		tower.V = append(tower.V, w.V...)
		for _, f := range w.T {
			tower.T = append(tower.T, [3]int32{f[0] + n, f[1] + n, f[2] + n})
		}
	}
	plug := &mesh.Mesh{}
	const flats = 96
	for i := range int32(flats) {
		a := 2 * math.Pi * float64(i) / flats
		plug.V = append(plug.V, geom.Vec{X: 10 * math.Cos(a), Y: 10 * math.Sin(a), Z: -10}, geom.Vec{X: 10 * math.Cos(a), Y: 10 * math.Sin(a), Z: 30})
		b, c := 2*i, 2*((i+1)%flats)
		plug.T = append(plug.T, [3]int32{b, c, c + 1}, [3]int32{b, c + 1, b + 1})
		if i > 1 {
			plug.T = append(plug.T, [3]int32{0, b, b - 2}, [3]int32{1, b - 1, b + 1})
		}
	}
	s := survey(t, m, []*mesh.Mesh{tower, plug})
	if len(s.Screws) != 1 {
		t.Fatalf("%+v", s.Screws)
	}
	k := s.Screws[0]
	near := func(what string, got, want, off float64) {
		t.Helper()
		if math.Abs(got-want) > off {
			t.Errorf("%s: %g, want %g", what, got, want)
		}
	}
	near("diameter", k.Mean, 20, 0.02)
	near("lead angle", k.Angle, math.Atan(12/(math.Pi*20)), 1e-3)
	near("holds at least", k.Holds.Lo, math.Atan(0.12), 1e-9)
	near("holds at most", k.Holds.Hi, math.Atan(0.38), 1e-9)
	near("lead held", k.Lead.Lo, math.Pi*20*0.12, 0.01)
	if !(k.Tilt.Lo > math.Pi/2 && k.Tilt.Lo < math.Pi) || !math.IsInf(k.Tilt.Hi, 1) {
		t.Errorf("it runs when tilted by %v", k.Tilt)
	}
}
