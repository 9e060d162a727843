package mating

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"testing"

	"feint/internal/design"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/meshfile"
	"feint/internal/solid"
)

// scene loads a design and builds its parts.
func scene(t testing.TB, path string) (*mechanism.Mechanism, []*mesh.Tree) {
	t.Helper()
	m, err := design.Load(path, design.Options{})
	if err != nil {
		t.Fatal(err)
	}
	trees := make([]*mesh.Tree, len(m.Parts))
	for i := range m.Parts {
		k, err := solid.Build(m.Parts[i].Shape, solid.Options{Tolerance: m.Tolerance, Load: load})
		if err != nil {
			t.Fatal(err)
		}
		trees[i] = mesh.NewTree(k)
	}
	return m, trees
}

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

// drawn is scene for a design given as text.
func drawn(t testing.TB, text string) (*mechanism.Mechanism, []*mesh.Tree) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "box.star")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return scene(t, path)
}

func find(t testing.TB, m *mechanism.Mechanism, trees []*mesh.Tree) *Result {
	t.Helper()
	r, err := Find(context.Background(), m, trees, Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.4f, want %.4f within %g", what, got, want, tol)
	}
}
