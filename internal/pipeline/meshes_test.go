package pipeline

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"feint/internal/export"
	"feint/internal/mechanism"
	"feint/internal/meshfile"
	"feint/internal/verdict"
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

// cubeFacets are the facets of a cube in a text STL, outward.
func cubeFacets(x, y, z, size float64) string {
	var b strings.Builder
	for _, f := range [][3]int{
		{0, 2, 1}, {1, 2, 3}, {4, 5, 6}, {5, 7, 6}, {0, 1, 4}, {1, 5, 4}, {2, 6, 3}, {3, 6, 7}, {0, 4, 2}, {2, 4, 6}, {1, 3, 5}, {3, 7, 5},
	} {
		b.WriteString("facet normal 0 0 0\nouter loop\n")
		for _, c := range f {
			fmt.Fprintf(&b, "vertex %g %g %g\n", x+size*float64(c&1), y+size*float64(c>>1&1), z+size*float64(c>>2))
		}
		b.WriteString("endloop\nendfacet\n")
	}
	return b.String()
}

// Two cubes that touch along an edge only: closed, but four triangles meet there. The
// pair is undecided, the place named, and the growths asked are still told.
func TestTouchingAlongAnEdge(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{
		"lid.stl": "solid lid\n" + cubeFacets(-3, -3, 6, 6) + cubeFacets(3, 3, 6, 6) + "endsolid lid\n",
		"d.star": `box = part("box", solid = block(40, 40, 4), frame = True)
lid = part("lid", solid = mesh("lid.stl"), travels = [slide(z, 0, 20)])
goal("up", {lid.slide: (18, None)})
`,
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	out, err := Prove(context.Background(), filepath.Join(dir, "d.star"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	d := out.Document
	if out.Verdict.Kind != verdict.Undecided || d.Growth != (export.GrowthRange{Lo: -0.05, Hi: 0.05}) {
		t.Errorf("%s, asked %v", d.Verdict, d.Growth)
	}
	if len(d.Findings) == 0 || d.Findings[0].Rule != "broken-mesh" || !strings.Contains(d.Findings[0].Message, "non-manifold edge at x 3.0, y 3.0, z 9.0") {
		t.Errorf("findings %+v", d.Findings)
	}
}
