package export_test

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"feint/internal/export"
	"feint/internal/geom"
	"feint/internal/mesh"
	"feint/internal/meshfile"
)

// The real cutter, held to closed forms. A plane strays by less than 2^-16 mm
// (mesh.CutByPlane) and vertices are rounded to that grid, so a volume is sure
// to that times the surface.
const gridStep = 1.0 / 65536

func cutVolumes(t *testing.T, models []export.Model, cut export.Cut) map[string]float64 {
	t.Helper()
	files, _, err := export.CutawayFiles(models, export.ModelOptions{Cut: &cut})
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]float64{}
	view := readOutput(t, files, "cutaway.3mf").Objects[0]
	for i, p := range view.Pieces {
		m := view.Piece(i)
		got[p.Name] = m.Volume()
		for _, d := range mesh.Check(m) {
			if !d.Harmless {
				t.Errorf("%s: %v", p.Name, d)
			}
		}
	}
	return got
}

// The plane x + y + z = 55 takes a corner with legs of 5 mm from the tower, whose
// far corner is at (10, 10, 40): a tetrahedron of 125/6 mm3.
func TestCutObliquely(t *testing.T) {
	s := 1 / math.Sqrt(3)
	got := cutVolumes(t, lighthouse()[:1], export.Cut{Plane: geom.Line{Point: geom.Vec{X: 10, Y: 10, Z: 35}, Dir: geom.Vec{X: s, Y: s, Z: s}}})
	if want := 16000 - 125.0/6; math.Abs(got["Tower"]-want) > gridStep*50 {
		t.Errorf("%.6f mm3 left, want %.6f", got["Tower"], want)
	}
}

// Parts of a modeller that is not ours (testdata/parts/latch-rod), cut at x = 10
// where they stand: slider 16 mm on, gate 10 mm up and tipped by 0.3 about x,
// which changes nothing about x. What is left, from the boxes in make_parts.py:
// slider 34 x 10 x 10 - 4.6 x 10 x 4.6; gate 40 x 6.5 x 28 - 3 x 114.2 - 4.6 x
// 4.6 x 6.5; frame by dividing space along all faces of its boxes.
func TestCutImportedParts(t *testing.T) {
	tipped := geom.Rotation(geom.Line{Dir: geom.Vec{X: 1}}, 0.3)
	var models []export.Model
	for _, m := range []export.Model{
		{Part: "frame", Pose: geom.Identity(), Frame: true},
		{Part: "slider", Pose: geom.Translation(geom.Vec{X: 16})},
		{Part: "gate", Pose: tipped.Then(geom.Translation(geom.Vec{Z: 10}))},
		{Part: "rod", Pose: geom.Identity()},
	} {
		data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "parts", "latch-rod", m.Part+".stl"))
		if err != nil {
			t.Fatal(err)
		}
		f, err := meshfile.Read(m.Part, data, meshfile.Limits{})
		if err != nil {
			t.Fatal(err)
		}
		m.Mesh, m.Print = f.Objects[0].Mesh, geom.Identity()
		models = append(models, m)
	}
	got := cutVolumes(t, models, export.Cut{Plane: geom.Line{Point: geom.Vec{X: 10}, Dir: geom.Vec{X: 1}}, Parts: []string{"slider", "gate"}})
	// The largest surface is the frame's, 24 000 mm2; the files are float32.
	for name, want := range map[string]float64{"frame": 47983.578125, "slider": 3188.4, "gate": 6799.86, "rod": 768} {
		if math.Abs(got[name]-want) > gridStep*24_000 {
			t.Errorf("%s: %.4f mm3 left, want %.4f", name, got[name], want)
		}
	}
}

// Cutting by a plane and by its opposite gives the whole.
func TestCutHalvesAddUp(t *testing.T) {
	dir := geom.Vec{X: 0.36, Y: 0.48, Z: 0.8}
	p := geom.Line{Point: geom.Vec{X: 1, Y: 2, Z: 20}, Dir: dir}
	q := geom.Line{Point: p.Point, Dir: geom.Vec{X: -dir.X, Y: -dir.Y, Z: -dir.Z}}
	a, b := cutVolumes(t, lighthouse()[:1], export.Cut{Plane: p})["Tower"], cutVolumes(t, lighthouse()[:1], export.Cut{Plane: q})["Tower"]
	if math.Abs(a+b-16000) > gridStep*2000 || slices.Min([]float64{a, b}) < 1000 {
		t.Errorf("%.6f and %.6f mm3 do not make 16000", a, b)
	}
}
