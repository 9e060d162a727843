package gauge

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"testing"

	"feint/internal/design"
	"feint/internal/mating"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/meshfile"
	"feint/internal/printable"
	"feint/internal/solid"
)

func load(f mechanism.MeshFile) (*mesh.Mesh, error) {
	data, err := os.ReadFile(f.Path)
	if err != nil {
		return nil, err
	}
	file, err := meshfile.Read(filepath.Base(f.Path), data, meshfile.Limits{})
	if err != nil {
		return nil, err
	}
	return file.Take(f.Object)
}

// scene loads a design, builds its parts and finds their fits.
func scene(t testing.TB, path string) ([]Part, []mating.Fit) {
	t.Helper()
	m, err := design.Load(path, design.Options{})
	if err != nil {
		t.Fatal(err)
	}
	parts := make([]Part, len(m.Parts))
	trees := make([]*mesh.Tree, len(m.Parts))
	for i := range m.Parts {
		p := &m.Parts[i]
		k, err := solid.Build(p.Shape, solid.Options{Tolerance: m.Tolerance, Load: load})
		if err != nil {
			t.Fatal(err)
		}
		trees[i] = mesh.NewTree(k)
		parts[i] = Part{Name: p.Name, Color: p.Color, Mesh: k, Print: p.Print}
	}
	r, err := mating.Find(context.Background(), m, trees, mating.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return parts, r.Fits
}

func drawn(t testing.TB, text string) ([]Part, []mating.Fit) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "box.star")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return scene(t, path)
}

type matingFit = mating.Fit

// settings estimate with the model of package printable.
func settings() Settings {
	s := printable.Default()
	return Settings{Estimate: func(ps []*mesh.Mesh) (float64, float64) {
		e := printable.CostOf(ps, 0, 0, 0, &s)
		return e.Minutes, e.Grams
	}}
}

// sound checks what every gauge must keep: watertight, on the plate, small.
func sound(t *testing.T, g *Gauge) {
	t.Helper()
	for _, p := range g.Pieces {
		if h := harm(p.Mesh); h != "" {
			t.Errorf("%s, %s: %s", g.Name, p.Name, h)
		}
		if z := p.Mesh.Bounds().Lo.Z; math.Abs(z) > 1e-9 {
			t.Errorf("%s, %s begins at z %g", g.Name, p.Name, z)
		}
	}
	if g.Minutes > MostMinutes || g.Grams > MostGrams || g.Minutes <= 0 || g.Grams <= 0 {
		t.Errorf("%s: %.1f minutes, %.1f g", g.Name, g.Minutes, g.Grams)
	}
	if len(g.Places) < leastRungs {
		t.Errorf("%s: %d places", g.Name, len(g.Places))
	}
}
