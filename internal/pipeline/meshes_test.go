package pipeline

import (
	"crypto/sha256"
	"encoding/hex"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"feint/internal/mechanism"
	"feint/internal/meshfile"
)

// onDisk writes a file and names it as a design would.
func onDisk(t *testing.T, data string) mechanism.MeshFile {
	t.Helper()
	name := filepath.Join(t.TempDir(), "lid.stl")
	if err := os.WriteFile(name, []byte(data), 0o600); err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256([]byte(data))
	return mechanism.MeshFile{Path: name, Name: "lid.stl", SHA256: hex.EncodeToString(sum[:]), Scale: 1}
}

const facet = "solid s\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet\nendsolid s\n"

func TestReadMesh(t *testing.T) {
	f := onDisk(t, facet)
	if _, err := readMesh(f, meshfile.Limits{Bytes: int64(len(facet))}); err != nil {
		t.Errorf("a file as large as the limit: %v", err)
	}
	_, err := readMesh(f, meshfile.Limits{Bytes: int64(len(facet)) - 1})
	if err == nil || !strings.Contains(err.Error(), "lid.stl: the file has more than the") {
		t.Errorf("a file beyond the limit: %v", err)
	}
	if err := os.WriteFile(f.Path, []byte(strings.Replace(facet, "vertex 1", "vertex 2", 1)), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err = readMesh(f, meshfile.Limits{}); err == nil || !strings.Contains(err.Error(), "changed") {
		t.Errorf("a file that was changed: %v", err)
	}
}
