package export_test

import (
	"bytes"
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"feint/internal/export"
	"feint/internal/geom"
	"feint/internal/mesh"
	"feint/internal/meshfile"
)

// block is an axis-aligned box, outward facing.
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
	for _, q := range [][4]int32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		m.T = append(m.T, [3]int32{q[0], q[1], q[2]}, [3]int32{q[0], q[2], q[3]})
	}
	return m
}

// lighthouse is an invented scene: a tower, a lamp that stands 7 mm up and
// prints on its side, and a bought ball (a block here).
func lighthouse() []export.Model {
	onSide := geom.Rotation(geom.Line{Dir: geom.Vec{X: 1}}, math.Pi/2)
	return []export.Model{
		{
			Part: "Tower", Color: "#c0c0c0", Mesh: block(geom.Vec{X: -10, Y: -10, Z: 0}, geom.Vec{X: 10, Y: 10, Z: 40}),
			Pose: geom.Identity(), Print: geom.Identity(), Frame: true,
		},
		{
			Part: "lamp room", Color: "#ff8000", Mesh: block(geom.Vec{X: -5.5, Y: -6, Z: 40}, geom.Vec{X: 5.5, Y: 6, Z: 48.0625}),
			Pose: geom.Translation(geom.Vec{Z: 7}), Print: onSide,
		},
		{
			Part: "ball", Color: "#404040", Mesh: block(geom.Vec{X: 20}, geom.Vec{X: 23, Y: 3, Z: 3}),
			Pose: geom.Identity(), Print: geom.Identity(), Bought: true,
		},
	}
}

func readOutput(t testing.TB, files []export.Output, name string) *meshfile.File {
	t.Helper()
	for _, f := range files {
		if f.Name == name {
			got, err := meshfile.Read(name, f.Data, meshfile.Limits{})
			if err != nil {
				t.Fatal(err)
			}
			return got
		}
	}
	t.Fatalf("no file %s", name)
	return nil
}

func names(files []export.Output) []string {
	var n []string
	for _, f := range files {
		n = append(n, f.Name)
	}
	return n
}

// A part lies on z = 0 in its print orientation: the lamp room of 11 x 12 x
// 8.0625 mm, turned by a quarter about x, stands 12 mm high.
func TestPartFiles(t *testing.T) {
	files, err := export.PartFiles(lighthouse(), export.ModelOptions{Meta: meshfile.Meta{Title: "Lighthouse", CreationDate: "2026-01-02"}})
	if err != nil {
		t.Fatal(err)
	}
	if got, want := names(files), []string{"parts/Tower.stl", "parts/Tower.3mf", "parts/lamp-room.stl", "parts/lamp-room.3mf"}; !slices.Equal(got, want) {
		t.Fatalf("files %v, want %v", got, want)
	}
	for _, n := range []string{"parts/lamp-room.stl", "parts/lamp-room.3mf"} {
		b := readOutput(t, files, n).Objects[0].Mesh.Bounds()
		if b.Lo != (geom.Vec{}) || b.Hi != (geom.Vec{X: 11, Y: 8.0625, Z: 12}) {
			t.Errorf("%s lies in %v to %v", n, b.Lo, b.Hi)
		}
	}
	stl := files[0].Data
	if len(stl) != 84+12*50 || binary.LittleEndian.Uint32(stl[80:]) != 12 || !bytes.HasPrefix(stl, []byte("feint Lighthouse: Tower, mm\x00")) {
		t.Errorf("%d bytes, header %q", len(stl), stl[:84])
	}
	tmf := readOutput(t, files, "parts/lamp-room.3mf")
	if tmf.Objects[0].Name != "lamp room" || tmf.Metadata["Title"] != "Lighthouse: lamp room" || tmf.Metadata["Application"] != "feint" || tmf.Metadata["CreationDate"] != "2026-01-02" {
		t.Errorf("object %q, metadata %v", tmf.Objects[0].Name, tmf.Metadata)
	}
}

// Turning by a quarter leaves every vertex on its grid: sine and cosine of a
// quarter turn are 1 and 6e-17 in float64, and 200 mm times 6e-17 would show.
func TestPrintTurnKeepsGrid(t *testing.T) {
	m := lighthouse()[1]
	m.Mesh = block(geom.Vec{X: 1}, geom.Vec{X: 3, Y: 5, Z: 200})
	files, err := export.PartFiles([]export.Model{m}, export.ModelOptions{})
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range readOutput(t, files, "parts/lamp-room.3mf").Objects[0].Mesh.V {
		if v != (geom.Vec{X: math.Round(v.X), Y: math.Round(v.Y), Z: math.Round(v.Z)}) {
			t.Errorf("vertex at %v", v)
		}
	}
}

// The assembled view holds every part where it stands; in the 3MF all are
// lifted together to positive coordinates.
func TestAssemblyFiles(t *testing.T) {
	files, err := export.AssemblyFiles(lighthouse(), export.ModelOptions{})
	if err != nil {
		t.Fatal(err)
	}
	f := readOutput(t, files, "assembled.3mf")
	if len(f.Objects) != 1 || len(f.Objects[0].Pieces) != 3 {
		t.Fatalf("%d objects", len(f.Objects))
	}
	for i, want := range []geom.Box{
		{Lo: geom.Vec{}, Hi: geom.Vec{X: 20, Y: 20, Z: 40}},
		{Lo: geom.Vec{X: 4.5, Y: 4, Z: 47}, Hi: geom.Vec{X: 15.5, Y: 16, Z: 55.0625}},
		{Lo: geom.Vec{X: 30, Y: 10, Z: 0}, Hi: geom.Vec{X: 33, Y: 13, Z: 3}},
	} {
		if got := f.Objects[0].Piece(i).Bounds(); got != want {
			t.Errorf("%s lies in %v, want %v", f.Objects[0].Pieces[i].Name, got, want)
		}
	}
	if glb := files[1]; glb.Name != "assembled.glb" || binary.LittleEndian.Uint32(glb.Data) != 0x46546C67 {
		t.Errorf("%s begins %q", glb.Name, glb.Data[:4])
	}
}

func TestFileNames(t *testing.T) {
	var models []export.Model
	for _, n := range []string{"ring 2", "Ring/2", "../evil", "Türm", "...", "con", "COM1.x", "a\\b:c*?", strings.Repeat("long", 50)} {
		models = append(models, export.Model{Part: n, Mesh: block(geom.Vec{}, geom.Vec{X: 1, Y: 1, Z: 1}), Pose: geom.Identity(), Print: geom.Identity()})
	}
	files, err := export.PartFiles(models, export.ModelOptions{})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, f := range files {
		if n, ok := strings.CutSuffix(strings.TrimPrefix(f.Name, "parts/"), ".stl"); ok {
			got = append(got, n)
		}
	}
	want := []string{"ring-2", "Ring-2-2", "evil", "Türm", "part", "part-con", "part-COM1.x", "a-b-c", strings.Repeat("long", 15)}
	if !slices.Equal(got, want) {
		t.Errorf("names %q, want %q", got, want)
	}
}

func TestModelsDeterministic(t *testing.T) {
	o := export.ModelOptions{Cut: &export.Cut{Plane: geom.Line{Dir: geom.Vec{X: 1}}, By: halveBlock}}
	a, _, err := export.ModelFiles(lighthouse(), o)
	if err != nil {
		t.Fatal(err)
	}
	b, _, err := export.ModelFiles(lighthouse(), o)
	if err != nil {
		t.Fatal(err)
	}
	for i := range a {
		if a[i].Name != b[i].Name || !bytes.Equal(a[i].Data, b[i].Data) {
			t.Errorf("%s differs from run to run", a[i].Name)
		}
	}
}

func TestWriteModels(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	w, err := export.WriteModels(dir, lighthouse(), export.ModelOptions{})
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"assembled.3mf", "assembled.glb", "parts/Tower.3mf", "parts/Tower.stl", "parts/lamp-room.3mf", "parts/lamp-room.stl", "plate-1.3mf"}
	if !slices.Equal(w.Files, want) || len(w.Stale) != 0 {
		t.Fatalf("wrote %v, stale %v", w.Files, w.Stale)
	}
	if got := onDisk(t, dir); !slices.Equal(got, want) {
		t.Errorf("on disk %v", got)
	}
	// Again over its own files, with one part less: the files of that part are stale.
	w, err = export.WriteModels(dir, lighthouse()[:1], export.ModelOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if want := []string{"parts/lamp-room.3mf", "parts/lamp-room.stl"}; !slices.Equal(w.Stale, want) {
		t.Errorf("stale %v, want %v", w.Stale, want)
	}
}

func onDisk(t *testing.T, dir string) []string {
	t.Helper()
	var got []string
	err := filepath.WalkDir(dir, func(p string, d os.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			r, _ := filepath.Rel(dir, p)
			got = append(got, filepath.ToSlash(r))
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	slices.Sort(got)
	return got
}

// A file that the maker brought is never replaced, and then nothing else is written.
func TestWriteModelsKeepsForeignFiles(t *testing.T) {
	for name, data := range map[string][]byte{
		"parts/Tower.stl": append([]byte("Created by a modeller"), make([]byte, 300)...),
		"assembled.3mf":   []byte("PK\x03\x04 not really"),
		"assembled.glb":   []byte("glTF but of another program"),
		"plate-1.3mf":     nil,
	} {
		dir := t.TempDir()
		p := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(p), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(p, data, 0o644); err != nil {
			t.Fatal(err)
		}
		_, err := export.WriteModels(dir, lighthouse(), export.ModelOptions{})
		if err == nil || !strings.Contains(err.Error(), filepath.Base(name)) || !strings.Contains(err.Error(), "not written by feint") {
			t.Errorf("%s: error %v", name, err)
		}
		if got := onDisk(t, dir); !slices.Equal(got, []string{name}) {
			t.Errorf("on disk %v, want %s alone", got, name)
		}
		if now, err := os.ReadFile(p); err != nil || !bytes.Equal(now, data) {
			t.Errorf("%s was changed: %v", name, err)
		}
	}
}

// When a file cannot be written, none takes its place and no scrap is left.
func TestWriteFilesAllOrNone(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "sub"), nil, 0o644); err != nil { // a file where a folder is needed
		t.Fatal(err)
	}
	files := []export.Output{{Name: "a.stl", Data: []byte("feint a")}, {Name: "sub/b.stl", Data: []byte("feint b")}}
	if err := export.WriteFiles(dir, files); err == nil {
		t.Fatal("wrote through a file")
	}
	if got := onDisk(t, dir); !slices.Equal(got, []string{"sub"}) {
		t.Errorf("on disk %v", got)
	}
	// A link to nowhere looks like a folder still to make, and fails only when
	// the first file is already written beside its place.
	dir = t.TempDir()
	if err := os.Symlink(filepath.Join(dir, "nowhere", "at all"), filepath.Join(dir, "sub")); err != nil {
		t.Skip("no symbolic links here:", err)
	}
	if err := export.WriteFiles(dir, files); err == nil {
		t.Fatal("wrote through a link to nowhere")
	}
	if got := onDisk(t, dir); !slices.Equal(got, []string{"sub"}) {
		t.Errorf("on disk %v", got)
	}
	for _, bad := range []string{"../a.stl", "/a.stl", ""} {
		if err := export.WriteFiles(dir, []export.Output{{Name: bad}}); err == nil {
			t.Errorf("wrote to %q", bad)
		}
	}
	if err := export.WriteFiles(dir, []export.Output{{Name: "a.stl"}, {Name: "A.stl"}}); err == nil {
		t.Error("wrote two files of one name")
	}
}

func TestModelFaults(t *testing.T) {
	empty := []export.Model{{Part: "lens", Mesh: &mesh.Mesh{}, Pose: geom.Identity(), Print: geom.Identity()}}
	if _, _, err := export.ModelFiles(empty, export.ModelOptions{}); err == nil || !strings.Contains(err.Error(), `"lens"`) {
		t.Errorf("error %v", err)
	}
}
