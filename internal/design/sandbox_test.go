package design

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"feint/internal/mechanism"
)

const boxDesign = `
load("sub/more.star", "size")
box = part("box", solid = block(size, 1, 1), frame = True)
lid = part("lid", solid = mesh("lid.stl"), travels = [slide(z, 0, 9)])
goal("open", {lid.slide: (5, None)})
`

// write makes a file and its folders.
func write(t *testing.T, path, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// designFolder is a design with its files, and a file outside that it must not reach.
func designFolder(t *testing.T) string {
	t.Helper()
	top := t.TempDir()
	dir := filepath.Join(top, "box")
	write(t, filepath.Join(dir, "box.star"), boxDesign)
	write(t, filepath.Join(dir, "sub", "more.star"), "size = 3\n")
	write(t, filepath.Join(dir, "lid.stl"), "solid lid\nendsolid lid\n")
	write(t, filepath.Join(top, "secret.star"), "size = 4\n")
	write(t, filepath.Join(top, "secret.stl"), "solid secret\nendsolid secret\n")
	return dir
}

func TestFilesOnDisk(t *testing.T) {
	dir := designFolder(t)
	m, err := Load(filepath.Join(dir, "box.star"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	real, err := filepath.EvalSymlinks(dir)
	if err != nil {
		t.Fatal(err)
	}
	want := []string{filepath.Join(real, "box.star"), filepath.Join(real, "lid.stl"), filepath.Join(real, "sub", "more.star")}
	if strings.Join(m.Sources, " ") != strings.Join(want, " ") {
		t.Errorf("sources %v, want %v", m.Sources, want)
	}
	file, ok := m.Parts[1].Shape.Prim.(mechanism.MeshFile)
	sum := sha256.Sum256([]byte("solid lid\nendsolid lid\n"))
	if !ok || file.Name != "lid.stl" || file.Path != want[1] || file.SHA256 != hex.EncodeToString(sum[:]) || file.Scale != 1 {
		t.Errorf("mesh %+v", file)
	}
	if m.Name != "box" {
		t.Errorf("name %q", m.Name)
	}
}

// TestDesignThroughALink opens a design through the maker's own link: its folder
// is then the one where it really lies.
func TestDesignThroughALink(t *testing.T) {
	dir := designFolder(t)
	link := filepath.Join(t.TempDir(), "elsewhere.star")
	if err := os.Symlink(filepath.Join(dir, "box.star"), link); err != nil {
		t.Skip("no symbolic links here:", err)
	}
	if _, err := Load(link, Options{}); err != nil {
		t.Error(err)
	}
}

func TestMissingDesign(t *testing.T) {
	for _, p := range []string{filepath.Join(t.TempDir(), "none.star"), t.TempDir(), filepath.Join(t.TempDir(), "no", "such", "folder.star")} {
		m, err := Load(p, Options{})
		var ps *Problems
		if m != nil || !errors.As(err, &ps) || len(ps.List) != 1 || !strings.Contains(err.Error(), filepath.Base(p)) {
			t.Errorf("%s: %v", p, err)
		}
	}
}

// TestDigest holds the digest to what the mechanism depends on.
func TestDigest(t *testing.T) {
	load := func(change func(dir string), set ...Setting) string {
		t.Helper()
		dir := designFolder(t)
		write(t, filepath.Join(dir, "box.star"), "gap = param(\"gap\", 0.3)\n"+boxDesign)
		if change != nil {
			change(dir)
		}
		m, err := Load(filepath.Join(dir, "box.star"), Options{Set: set})
		if err != nil {
			t.Fatal(err)
		}
		return m.SHA256
	}
	base := load(nil)
	if again := load(nil); again != base {
		t.Error("the same design in another folder has another digest")
	}
	for what, other := range map[string]string{
		"the design": load(func(d string) {
			write(t, filepath.Join(d, "box.star"), "# a note\ngap = param(\"gap\", 0.3)\n"+boxDesign)
		}),
		"a loaded file": load(func(d string) { write(t, filepath.Join(d, "sub", "more.star"), "size = 5\n") }),
		"a mesh":        load(func(d string) { write(t, filepath.Join(d, "lid.stl"), "solid\nendsolid\n") }),
		"a param":       load(nil, Setting{"gap", "0.4"}),
	} {
		if other == base || len(other) != 64 {
			t.Errorf("%s changes, the digest does not", what)
		}
	}
	if load(func(d string) { write(t, filepath.Join(d, "unused.star"), "x") }) != base {
		t.Error("a file that is not used changes the digest")
	}
	if load(nil, Setting{"gap", "0.4"}) == load(nil, Setting{"gap", "0.41"}) {
		t.Error("the value of a param does not matter to the digest")
	}
}
