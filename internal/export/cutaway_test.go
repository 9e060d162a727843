package export_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"feint/internal/export"
	"feint/internal/geom"
	"feint/internal/mesh"
	"feint/internal/meshfile"
)

// halveBlock is a cutter for blocks and planes square to an axis, enough to
// see what is cut and where: the block that is left is known in closed form.
func halveBlock(m *mesh.Mesh, p geom.Line) (*mesh.Mesh, error) {
	b := m.Bounds()
	for _, a := range []struct {
		dir, at float64
		lo, hi  *float64
	}{
		{p.Dir.X, p.Point.X, &b.Lo.X, &b.Hi.X}, {p.Dir.Y, p.Point.Y, &b.Lo.Y, &b.Hi.Y}, {p.Dir.Z, p.Point.Z, &b.Lo.Z, &b.Hi.Z},
	} {
		switch {
		case a.dir > 0.99:
			*a.hi = min(*a.hi, a.at)
		case a.dir < -0.99:
			*a.lo = max(*a.lo, a.at)
		}
	}
	return block(b.Lo, b.Hi), nil
}

// The tower (20 x 20 x 40) is cut at x = 0, the lamp room is not, the ball at x
// = 20 is named and goes. Half the tower is 8 000 mm3.
func TestCutaway(t *testing.T) {
	o := export.ModelOptions{Cut: &export.Cut{Plane: geom.Line{Dir: geom.Vec{X: 1}}, Parts: []string{"ball"}, By: halveBlock}}
	files, notes, err := export.CutawayFiles(lighthouse(), o)
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"cutaway.3mf", "cutaway.glb", "cutaway-plate-1.3mf", "cutaway/Tower.stl"}
	if got := names(files); !slices.Equal(got, want) {
		t.Fatalf("files %v, want %v", got, want)
	}
	if len(notes) != 1 || !strings.Contains(notes[0], `"ball"`) {
		t.Errorf("notes %q", notes)
	}
	view := readOutput(t, files, "cutaway.3mf").Objects[0]
	if len(view.Pieces) != 2 || view.Piece(0).Volume() != 8000 || view.Pieces[1].Name != "lamp room" || view.Piece(1).Volume() != 11*12*8.0625 {
		t.Errorf("pieces %v", view.Pieces)
	}
	if b := readOutput(t, files, "cutaway/Tower.stl").Objects[0].Mesh.Bounds(); b.Hi != (geom.Vec{X: 10, Y: 20, Z: 40}) {
		t.Errorf("the cut tower lies in %v", b)
	}
	if n := len(readOutput(t, files, "cutaway-plate-1.3mf").Objects); n != 2 {
		t.Errorf("%d parts on the plate, want 2", n)
	}
}

// The plane belongs to the assembled view: a part that stands elsewhere, or
// turned, is cut where it stands. The lamp room stands from z = 47 to 55.0625.
func TestCutawayOfMovedParts(t *testing.T) {
	cut := func(models []export.Model, p geom.Line) float64 {
		t.Helper()
		files, _, err := export.CutawayFiles(models, export.ModelOptions{Cut: &export.Cut{Plane: p, Parts: []string{"lamp room"}, By: halveBlock}})
		if err != nil {
			t.Fatal(err)
		}
		v := readOutput(t, files, "cutaway.3mf").Objects[0]
		return v.Piece(slices.IndexFunc(v.Pieces, func(p meshfile.Piece) bool { return p.Name == "lamp room" })).Volume()
	}
	models := lighthouse()
	if got := cut(models, geom.Line{Point: geom.Vec{Z: 50}, Dir: geom.Vec{Z: 1}}); got != 11*12*3 {
		t.Errorf("%g mm3 left below z = 50, want %d", got, 11*12*3)
	}
	// Turned by a quarter about z: its 12 mm run along x from -6 to 6.
	models[1].Pose = geom.Rotation(geom.Line{Dir: geom.Vec{Z: 1}}, math.Pi/2)
	if got, want := cut(models, geom.Line{Point: geom.Vec{X: 4}, Dir: geom.Vec{X: 1}}), 10*11*8.0625; math.Abs(got-want) > 1e-9 {
		t.Errorf("%g mm3 left beside x = 4, want %g", got, want)
	}
}

func TestCutawayFaults(t *testing.T) {
	x := geom.Line{Dir: geom.Vec{X: 1}}
	leaky := func(m *mesh.Mesh, _ geom.Line) (*mesh.Mesh, error) { return &mesh.Mesh{V: m.V, T: m.T[1:]}, nil }
	nothing := func(*mesh.Mesh, geom.Line) (*mesh.Mesh, error) { return &mesh.Mesh{}, nil }
	failing := func(*mesh.Mesh, geom.Line) (*mesh.Mesh, error) {
		return nil, errors.New("unresolved near (1, 2, 3) mm")
	}
	for name, c := range map[string]struct {
		cut   export.Cut
		words []string
	}{
		"unknown part": {export.Cut{Plane: x, Parts: []string{"lamp"}, By: halveBlock}, []string{`"lamp"`, `"Tower", "lamp room", "ball"`}},
		"normal":       {export.Cut{Plane: geom.Line{Dir: geom.Vec{X: 2}}, By: halveBlock}, []string{"length 2"}},
		"no normal":    {export.Cut{By: halveBlock}, []string{"length 0"}},
		"open":         {export.Cut{Plane: x, By: leaky}, []string{`"Tower"`, "3 edges stay open"}},
		"nothing":      {export.Cut{Plane: x, By: nothing}, []string{`"Tower"`, "leaves nothing"}},
		"failing":      {export.Cut{Plane: x, By: failing}, []string{`"Tower"`, "(1, 2, 3)"}},
	} {
		_, _, err := export.CutawayFiles(lighthouse(), export.ModelOptions{Cut: &c.cut})
		for _, w := range c.words {
			if err == nil || !strings.Contains(err.Error(), w) {
				t.Errorf("%s: error %v lacks %q", name, err, w)
			}
		}
	}
	all := &export.Cut{Plane: geom.Line{Point: geom.Vec{X: -50}, Dir: geom.Vec{X: 1}}, Parts: []string{"lamp room", "ball"}, By: halveBlock}
	if _, _, err := export.CutawayFiles(lighthouse(), export.ModelOptions{Cut: all}); err == nil || !strings.Contains(err.Error(), "leaves nothing") {
		t.Errorf("a cut that takes all: error %v", err)
	}
}

// A plane that only touches a part leaves it as it is.
func TestCutawayTouching(t *testing.T) {
	o := export.ModelOptions{Cut: &export.Cut{Plane: geom.Line{Point: geom.Vec{X: 10}, Dir: geom.Vec{X: 1}}, By: func(*mesh.Mesh, geom.Line) (*mesh.Mesh, error) {
		return nil, errors.New("asked to cut what it only touches")
	}}}
	files, notes, err := export.CutawayFiles(lighthouse()[:1], o)
	if err != nil {
		t.Fatal(err)
	}
	if v := readOutput(t, files, "cutaway.3mf").Objects[0].Mesh.Volume(); v != 16000 || len(notes) != 1 {
		t.Errorf("volume %g, notes %q", v, notes)
	}
}

// TestCutawayStopped: told to end while one part is cut, nothing more is made.
func TestCutawayStopped(t *testing.T) {
	stop := make(chan struct{})
	cut := 0
	by := func(m *mesh.Mesh, plane geom.Line) (*mesh.Mesh, error) {
		if cut++; cut == 1 {
			close(stop)
		}
		return halveBlock(m, plane)
	}
	o := export.ModelOptions{Stop: stop, Cut: &export.Cut{Plane: geom.Line{Dir: geom.Vec{X: 1}, Point: geom.Vec{X: 1}}, Parts: []string{"lamp room"}, By: by}}
	files, _, err := export.CutawayFiles(lighthouse(), o)
	if !errors.Is(err, mesh.ErrStopped) || files != nil || cut != 1 {
		t.Errorf("%d parts cut, %d files, %v", cut, len(files), err)
	}
	if files, _, err := export.ModelFiles(lighthouse(), export.ModelOptions{Stop: stop}); !errors.Is(err, mesh.ErrStopped) || files != nil {
		t.Errorf("%d files, %v", len(files), err)
	}
}
