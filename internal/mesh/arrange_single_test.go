package mesh

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// euler is V - E + F by vertex numbers.
func euler(m *Mesh) int {
	edges := map[[2]int32]bool{}
	used := map[int32]bool{}
	for _, t := range m.T {
		for k := range 3 {
			a, b := t[k], t[(k+1)%3]
			edges[[2]int32{min(a, b), max(a, b)}] = true
			used[a] = true
		}
	}
	return len(used) - len(edges) + len(m.T)
}

// TestEuler: 2 - 2g for each shell with g handles.
func TestEuler(t *testing.T) {
	plate := []*Mesh{block(0, 0, 0, 40, 10, 4)}
	for i := range 5 {
		plate = append(plate, rod(2, -1, 5).Moved(geom.Translation(geom.Vec{X: 4 + 8*float64(i), Y: 5})))
	}
	for _, c := range []struct {
		name   string
		inside func([]bool) bool
		solids []*Mesh
		want   int
	}{
		{"block", any1, plate[:1], 2},
		{"one hole", firstOnly, plate[:2], 0},
		{"five holes", firstOnly, plate, -8},
		{"hollow", firstOnly, []*Mesh{block(0, 0, 0, 9, 9, 9), block(3, 3, 3, 6, 6, 6)}, 4},
		{"crossing bores", firstOnly, []*Mesh{
			block(-5, -5, -5, 5, 5, 5), rod(2, -6, 6), rod(2, -6, 6).Moved(geom.Rotation(axisX(), math.Pi/2)),
		}, -4},
		{"edge contact", any1, []*Mesh{block(0, 0, 0, 5, 5, 5), block(5, 5, 0, 10, 10, 5)}, 4},
	} {
		if got := euler(arranged(t, c.name, c.inside, c.solids...)); got != c.want {
			t.Errorf("%s: Euler characteristic %d, want %d", c.name, got, c.want)
		}
	}
}

// TestResolve: overlapping, nested and hollow shells of one mesh, and one
// shell that crosses itself.
func TestResolve(t *testing.T) {
	twist := block(0, 0, 0, 2, 2, 2)
	for i, v := range twist.V {
		if v == (geom.Vec{X: 2, Y: 2, Z: 2}) {
			twist.V[i] = geom.Vec{X: 1, Y: 1, Z: -1}
		}
	}
	for _, c := range []struct {
		name   string
		m      *Mesh
		volume float64
	}{
		{"overlap", joined(block(0, 0, 0, 2, 2, 2), block(1, 1, 1, 3, 3, 3)), 15},
		{"nested", joined(block(0, 0, 0, 4, 4, 4), block(1, 1, 1, 3, 3, 3)), 64},
		{"hollow", joined(block(0, 0, 0, 4, 4, 4), inverted(block(1, 1, 1, 3, 3, 3))), 56},
		{"hollow cut open", joined(block(0, 0, 0, 4, 4, 4), inverted(block(1, 1, 1, 3, 3, 3)), block(2, 2, 2, 6, 6, 6)), 64 - 8 + 64 - 8 + 1},
		{"apart", joined(block(0, 0, 0, 1, 1, 1), block(3, 0, 0, 4, 1, 1)), 2},
		{"face to face", joined(block(0, 0, 0, 1, 1, 1), block(1, 0, 0, 2, 1, 1)), 2},
	} {
		m, err := Resolve(c.m, Options{})
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		sound(t, c.name, m)
		near(t, c.name, m.Volume(), c.volume, 1e-9)
	}
	m, err := Resolve(twist, Options{})
	if err != nil {
		t.Fatal(err)
	}
	sound(t, "twisted", m)
}

// TestCutByPlane: a plane through the middle halves a block whatever its
// slope; the two sides of any cut add up; a plane that misses changes nothing.
func TestCutByPlane(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 1))
	cube := block(-3, -2, -1, 3, 2, 1)
	screw := arranged(t, "screw", firstOnly, screwParts()...)
	cut := func(m *Mesh, p, d geom.Vec) *Mesh {
		t.Helper()
		o, err := CutByPlane(m, geom.Line{Point: p, Dir: d}, Options{})
		if err != nil {
			t.Fatal(err)
		}
		sound(t, "cut", o)
		return o
	}
	for range 20 {
		d := r3.Unit(randomVec(r, 1))
		near(t, "half", cut(cube, geom.Vec{}, d).Volume(), 24, 1e-5)
		p := randomVec(r, 1.5)
		a, b := cut(cube, p, d), cut(cube, p, r3.Scale(-1, d))
		near(t, "sides", a.Volume()+b.Volume(), 48, 1e-5)
		for _, v := range a.V {
			if r3.Dot(d, r3.Sub(v, p)) > 3.0/Units {
				t.Fatalf("%v lies beyond the plane", v)
			}
		}
	}
	near(t, "screw", cut(screw, geom.Vec{Z: 20}, geom.Vec{Z: 1}).Volume()+cut(screw, geom.Vec{Z: 20}, geom.Vec{Z: -1}).Volume(), screw.Volume(), 1e-6)
	cut(screw, geom.Vec{}, geom.Vec{X: 1}) // along the axis, through edges of both ends
	near(t, "missed", cut(cube, geom.Vec{X: 9}, geom.Vec{X: 1}).Volume(), 48, 1e-12)
	if m := cut(cube, geom.Vec{X: -9}, geom.Vec{X: 1}); len(m.T) != 0 {
		t.Errorf("all cut away, yet %d triangles are left", len(m.T))
	}
	// a face of the block in the plane itself
	near(t, "flush", cut(cube, geom.Vec{X: 3}, geom.Vec{X: 1}).Volume(), 48, 1e-12)
	if _, err := CutByPlane(&Mesh{}, geom.Line{Dir: geom.Vec{X: 1}}, Options{}); err == nil {
		t.Error("an empty mesh can be cut")
	}
}

// TestRefusals: what is no solid is named with its number and place.
func TestRefusals(t *testing.T) {
	good := block(0, 0, 0, 1, 1, 1)
	open := with(good, func(m *Mesh) { m.T = m.T[1:] })
	far := block(0, 0, 0, 8193, 1, 1)
	crossed := block(0, 0, 0, 2, 2, 2)
	for i, v := range crossed.V {
		if v == (geom.Vec{X: 2, Y: 2, Z: 2}) {
			crossed.V[i] = geom.Vec{X: 1, Y: 1, Z: -1}
		}
	}
	for _, c := range []struct {
		name string
		m    *Mesh
		kind DefectKind
		text string
	}{
		{"open", open, Hole, "mesh 1 does not bound a solid: a hole"},
		{"inside out", inverted(good), InsideOut, "faces inwards"},
		{"too far", far, TooFar, "a coordinate beyond 8192 mm"},
		{"not finite", with(good, func(m *Mesh) { m.V[0].X = math.NaN() }), NotFinite, "not a number"},
		{"crossed", crossed, SelfCrossing, "the surface crosses itself"},
	} {
		_, err := Arrange([]*Mesh{good, c.m}, any1, Options{})
		var n *NotSolid
		if !errors.As(err, &n) || n.Solid != 1 || n.Defect.Kind != c.kind || !strings.Contains(err.Error(), c.text) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	if _, err := Arrange([]*Mesh{good}, func(in []bool) bool { return !in[0] }, Options{}); err == nil {
		t.Error("a result without end is not refused")
	}
	if m, err := Arrange(nil, any1, Options{}); err != nil || len(m.T) != 0 {
		t.Errorf("nothing: %v, %v", m, err)
	}
	// overlapping shells of one solid are a union, at the reach of the grid too
	m, err := Arrange([]*Mesh{joined(block(8000, 0, 0, 8190, 2, 2), block(8100, 1, 1, 8192, 3, 3))}, any1, Options{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "overlapping shells", m.Volume(), 190*4+92*4-90*1, 1e-9)
}

// TestAtTheReach arranges turned solids as large as the integers allow.
func TestAtTheReach(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 9))
	for range 10 {
		a := block(-4500, -4500, -4500, 4500, 4500, 4500).Moved(geom.Motion{R: randomMotion(r, 0).R})
		b := block(-4000, -4000, -4000, 4000, 4000, 4000).Moved(geom.Motion{R: randomMotion(r, 0).R})
		c := block(-3000, -3000, -3000, 3000, 3000, 3000).Moved(geom.Motion{R: randomMotion(r, 0).R})
		whole := arranged(t, "a+b+c", any1, a, b, c).Volume()
		parts := arranged(t, "a", firstOnly, a, b, c).Volume() + arranged(t, "b", firstOnly, b, c).Volume() + c.Volume()
		near(t, "inclusion", parts, whole, 1e-9)
	}
}
