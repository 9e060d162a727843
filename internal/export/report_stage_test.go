package export

import (
	"math"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/motion"
	"feint/internal/units"

	"gonum.org/v1/gonum/spatial/r3"
)

// brick is the mesh of a box about the origin.
func brick(x, y, z float64) *mesh.Mesh {
	m := &mesh.Mesh{T: [][3]int32{
		{0, 2, 1},
		{1, 2, 3},
		{4, 5, 6},
		{5, 7, 6},
		{0, 1, 4},
		{1, 5, 4},
		{2, 6, 3},
		{3, 6, 7},
		{0, 4, 2},
		{2, 4, 6},
		{1, 3, 5},
		{3, 7, 5},
	}}
	for i := range 8 {
		m.V = append(m.V, geom.Vec{X: x * (float64(i&1) - 0.5), Y: y * (float64(i>>1&1) - 0.5), Z: z * (float64(i>>2) - 0.5)})
	}
	return m
}

// crane is a frame, a mast that turns about z, and a trolley that the mast carries
// and that slides along its arm, which points to +x while the mast stands at 0.
func crane() *mechanism.Mechanism {
	return &mechanism.Mechanism{
		Parts: []mechanism.Part{
			{Name: "quay", Frame: true, Carrier: -1},
			{Name: "mast", Travels: []int{0}},
			{Name: "trolley", Carrier: 1, Travels: []int{1}},
		},
		Travels: []mechanism.Travel{
			{Name: "swing", Part: 1, Kind: mechanism.Turn, Axis: geom.Line{Dir: geom.Vec{Z: 1}}, Hi: 2 * math.Pi, Full: true},
			{Name: "run", Part: 2, Axis: geom.Line{Dir: geom.Vec{X: 1}}, Hi: 30},
		},
		Start: []float64{0, 0},
	}
}

func stageOf(m *mechanism.Mechanism, ms ...*mesh.Mesh) *stage {
	return newStage(&ReportInput{Mechanism: m, Meshes: ms})
}

func TestCutChoice(t *testing.T) {
	for _, c := range []struct {
		x, y, z float64
		want    geom.Vec
	}{{40, 40, 100, geom.Vec{Y: -1}}, {80, 60, 12, geom.Vec{Z: 1}}, {30, 80, 40, geom.Vec{X: 1}}, {80, 30, 40, geom.Vec{Y: -1}}} {
		if n := stageOf(crane(), brick(c.x, c.y, c.z)).cut.Normal; n != c.want {
			t.Errorf("%g x %g x %g: cut across %v, want %v", c.x, c.y, c.z, n, c.want)
		}
	}
}

// TestEyeSeesCut: whatever the cut, one looks at its face and the picture has an
// upright.
func TestEyeSeesCut(t *testing.T) {
	for _, size := range []geom.Vec{{X: 40, Y: 40, Z: 100}, {X: 80, Y: 60, Z: 12}, {X: 30, Y: 80, Z: 40}} {
		s := stageOf(crane(), brick(size.X, size.Y, size.Z))
		if r3.Dot(s.in, s.cut.Normal) > -0.5 {
			t.Errorf("%v: the cut is seen from behind or edge on", size)
		}
		if math.Abs(r3.Norm(s.in)-1) > 1e-12 || math.Abs(s.in.Z) > 0.95 {
			t.Errorf("%v: direction of sight %v", size, s.in)
		}
	}
}

func TestLeftWhole(t *testing.T) {
	s := stageOf(crane(), brick(40, 40, 90), brick(17, 17, 50), brick(19, 19, 9))
	if s.whole[0] || !s.whole[1] || s.whole[2] {
		t.Errorf("left whole: %v, want only the one of 17 in 40 mm", s.whole)
	}
	bar := brick(6, 40, 6).Moved(geom.Translation(geom.Vec{Y: -20}))
	lid := brick(36, 40, 60).Moved(geom.Translation(geom.Vec{Y: -20}))
	s = stageOf(crane(), brick(40, 40, 90), bar, lid)
	if !s.whole[1] || s.whole[2] {
		t.Errorf("sticking out to the eye: bar whole %v, lid whole %v", s.whole[1], s.whole[2])
	}
	s = newStage(&ReportInput{Mechanism: crane(), Meshes: []*mesh.Mesh{brick(40, 40, 90), brick(17, 17, 50)}, Whole: []int{}})
	if s.whole[1] {
		t.Error("asked to cut everything, but a part is whole")
	}
}

// TestArrows: the trolley's arrow runs along the arm as the mast has turned it,
// and a mast that turns counter-clockwise seen from above passes the eye from left
// to right (right-hand rule).
func TestArrows(t *testing.T) {
	m := crane()
	s := stageOf(m, brick(60, 60, 90), brick(20, 20, 50), brick(10, 10, 10))
	c := s.camera([][]float64{m.Start}, 300)
	for _, deg := range []float64{0, 90, 200} {
		q := []float64{units.Rad(deg), 0}
		p := s.path(2, motion.Stroke{Travel: 1, To: 25}, q, &c)
		sin, cos := math.Sincos(units.Rad(deg))
		x, y, _ := c.Project(geom.Vec{X: 25 * cos, Y: 25 * sin})
		x0, y0, _ := c.Project(geom.Vec{})
		if len(p) != 2 || math.Hypot(p[1][0]-x, p[1][1]-y)+math.Hypot(p[0][0]-x0, p[0][1]-y0) > 1e-6 {
			t.Errorf("at %g deg: %v, want from (%g, %g) to (%g, %g)", deg, p, x0, y0, x, y)
		}
		if q[1] != 25 {
			t.Errorf("the configuration was left at %g", q[1])
		}
	}
	p := s.path(1, motion.Stroke{Travel: 0, To: units.Rad(100)}, []float64{0, 0}, &c)
	if first, last := p[0], p[len(p)-1]; last[0]-first[0] < 20 {
		t.Errorf("a turn counter-clockwise runs from %v to %v", first, last)
	}
	if a := s.axis(2, &m.Travels[1], []float64{units.Rad(90), 12}); math.Abs(a.Dir.Y-1) > 1e-12 {
		t.Errorf("the arm carried round by 90 deg points to %v", a.Dir)
	}
}

// TestCarried: what a moved part carries is shown with it.
func TestCarried(t *testing.T) {
	s := stageOf(crane(), brick(60, 60, 90))
	if c := s.carried(1); !c[1] || !c[2] || c[0] {
		t.Errorf("the mast moves %v", c)
	}
}
