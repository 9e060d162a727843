package meshfile

import (
	"encoding/binary"
	"math"
	"strings"
	"testing"

	"feint/internal/mesh"
)

func TestBinarySTL(t *testing.T) {
	f := mustRead(t, "parts/corner.stl", rawSTL("made by hand", 4, tetraCorners()...))
	if f.Format != "binary STL" || f.Unit != "" || len(f.Objects) != 1 || f.Objects[0].Name != "corner" {
		t.Errorf("read as %+v", f)
	}
	m := f.Objects[0].Mesh
	if len(m.V) != 4 || openEdges(m) != 0 {
		t.Errorf("%d vertices and %d open edges, want 4 and 0", len(m.V), openEdges(m))
	}
	near(t, "volume", m.Volume(), 1.0/6, 1e-15)
}

// Many programs begin a binary header with "solid".
func TestBinarySTLSolidHeader(t *testing.T) {
	f := mustRead(t, "a.stl", rawSTL("solid facet normal", 4, tetraCorners()...))
	if f.Format != "binary STL" {
		t.Errorf("format %q", f.Format)
	}
}

// The corners of two facets are one vertex only when every bit is the same; a
// last bit of difference is a gap that the checks must see, not one to close.
func TestWeldExactly(t *testing.T) {
	c := tetraCorners()
	c[3*9] = math.Nextafter32(1, 2)
	m := mustRead(t, "a.stl", rawSTL("", 4, c...)).Objects[0].Mesh
	if len(m.V) != 5 || openEdges(m) == 0 {
		t.Errorf("%d vertices and %d open edges, want 5 and some", len(m.V), openEdges(m))
	}
	c[3*9], c[0] = 1, float32(math.Copysign(0, -1))
	if m = mustRead(t, "a.stl", rawSTL("", 4, c...)).Objects[0].Mesh; len(m.V) != 4 || math.Signbit(m.V[0].X) {
		t.Errorf("minus zero made %d vertices of 4, the first at %g", len(m.V), m.V[0].X)
	}
}

func TestTextSTL(t *testing.T) {
	for _, text := range []string{
		tetraText,
		"\xef\xbb\xbf\r\n " + strings.ReplaceAll(tetraText, "\n", "\r\n"),
	} {
		f := mustRead(t, "a.stl", []byte(text))
		if f.Format != "text STL" || f.Objects[0].Name != "corner of a cube" {
			t.Errorf("read as %q, object %q", f.Format, f.Objects[0].Name)
		}
		m := f.Objects[0].Mesh
		if len(m.V) != 4 || openEdges(m) != 0 {
			t.Errorf("%d vertices and %d open edges, want 4 and 0", len(m.V), openEdges(m))
		}
		near(t, "volume", m.Volume(), 1.0/6, 1e-15)
	}
}

func TestTextSTLSolids(t *testing.T) {
	two := tetraText + "solid nothing\nendsolid\n" + strings.ReplaceAll(tetraText, "corner of a cube", "")
	f := mustRead(t, "dir/pair.stl", []byte(two))
	if len(f.Objects) != 2 || f.Objects[1].Name != "pair" || len(f.Notes) != 1 {
		t.Fatalf("%d objects, notes %q", len(f.Objects), f.Notes)
	}
	m, err := f.Take("")
	if err != nil {
		t.Fatal(err)
	}
	near(t, "volume of both", m.Volume(), 2.0/6, 1e-15)
}

// Files of the OpenCASCADE kernel of gmsh 4.8; make_parts.py beside them lists
// the boxes that they are made of. The rod is one box; the slider is 66 x 10 x 10
// and a pin of 4 x 3 x 4, less a window of 4.6 x 10 x 4.6; the gate is 56 x 6.5 x
// 28, less a groove of 233.8 mm2 and 3 mm deep, and a window of 4.6 x 4.6 x 6.5.
// Coordinates are float32: an error of up to 2e-6 mm times the area.
func TestSTLOfAModeller(t *testing.T) {
	for name, want := range map[string]float64{"rod": 768, "slider": 6436.4, "gate": 9353.06} {
		m := latchPart(t, name)
		near(t, name+" volume", m.Volume(), want, 2e-6*m.Area())
		if openEdges(m) != 0 {
			t.Errorf("%s: %d open edges in a closed mesh", name, openEdges(m))
		}
	}
	rod := latchPart(t, "rod")
	near(t, "rod area", rod.Area(), 800, 1e-9)
	if b := rod.Bounds(); b.Lo != (vec{X: -22, Y: -40, Z: 12}) || b.Hi != (vec{X: -18, Y: 8, Z: 16}) {
		t.Errorf("rod bounds %v", b)
	}
}

func latchPart(t *testing.T, name string) *mesh.Mesh {
	t.Helper()
	return mustRead(t, name+".stl", testFile(t, "..", "..", "..", "testdata", "parts", "latch-rod", name+".stl")).Objects[0].Mesh
}

// Text written by assimp from the same rod; testdata/SOURCE.md.
func TestTextSTLOfAnotherProgram(t *testing.T) {
	f := mustRead(t, "rod.stl", testFile(t, "assimp", "rod-text.stl"))
	m := f.Objects[0].Mesh
	if f.Format != "text STL" || len(m.T) != len(latchPart(t, "rod").T) || openEdges(m) != 0 {
		t.Errorf("%s, %d triangles, %d open edges", f.Format, len(m.T), openEdges(m))
	}
	near(t, "volume", m.Volume(), 768, 5e-5*800)
}

func TestSTLFaults(t *testing.T) {
	good := rawSTL("", 4, tetraCorners()...)
	at := func(i int, v float32) []byte {
		c := tetraCorners()
		c[i] = v
		return rawSTL("", 4, c...)
	}
	lying := append([]byte{}, good...)
	binary.LittleEndian.PutUint32(lying[80:], math.MaxUint32)
	for name, c := range map[string]struct {
		data  []byte
		words []string
	}{
		"empty":           {nil, []string{"empty"}},
		"short":           {[]byte("abc"), []string{"not a mesh file", "3 bytes"}},
		"cut":             {good[:len(good)-20], []string{"promises 4", "284 bytes", "264 bytes", "room for 3", "cut short"}},
		"cut header":      {good[:83], []string{"not a mesh file"}},
		"cut, named text": {rawSTL("solid x", 4, tetraCorners()...)[:200], []string{"promises 4", "cut short"}},
		"count too high":  {lying, []string{"promises 4294967295", "byte 80"}},
		"count too low":   {rawSTL("", 3, tetraCorners()...), []string{"promises 3", "count is wrong"}},
		"trailing":        {append(append([]byte{}, good...), 7), []string{"promises 4", "285 bytes"}},
		"no triangle":     {rawSTL("", 0), []string{"no triangle"}},
		"nan":             {at(9, float32(math.NaN())), []string{"triangle 2 (byte 146)", "corner 1", "not a number"}},
		"inf":             {at(35, float32(math.Inf(-1))), []string{"triangle 4 (byte 270)", "corner 3", "infinite"}},
		"far away":        {at(0, 1e30), []string{"triangle 1", "1e+30"}},
		"glb":             {append([]byte("glTF"), make([]byte, 200)...), []string{"GLB", "STL and 3MF"}},
		"step":            {[]byte("ISO-10303-21;\nHEADER;"), []string{"STEP"}},
		"html":            {[]byte("<!DOCTYPE html><html>" + strings.Repeat(" ", 200)), []string{"HTML"}},
		"text cut":        {[]byte(tetraText[:200]), []string{"cut short", "triangle 2"}},
		"text no end":     {[]byte(strings.SplitN(tetraText, "endsolid", 2)[0]), []string{"endsolid", "cut short"}},
		"text word":       {[]byte(strings.Replace(tetraText, "endloop", "endlop", 1)), []string{"line 7", `"endlop"`, `"endloop"`}},
		"text nan":        {[]byte(strings.Replace(tetraText, "vertex 1.0", "vertex nan", 1)), []string{"line 12, triangle 2", `"nan" is not a number`}},
		"text inf":        {[]byte(strings.Replace(tetraText, "vertex 1.0", "vertex 1e999", 1)), []string{"line 12", `"1e999"`}},
		"text hex":        {[]byte(strings.Replace(tetraText, "vertex 1.0", "vertex 0x1p0", 1)), []string{"line 12", `"0x1p0" is not a number`}},
		"text two points": {[]byte(strings.Replace(tetraText, "      vertex 0 0 1\n", "", 1)), []string{`"endloop" where "vertex"`, "line 13"}},
		"text empty":      {[]byte("solid a\nendsolid a\n"), []string{"no triangle"}},
		"text then junk":  {[]byte(tetraText + "junk"), []string{`"junk" where "solid"`}},
	} {
		t.Run(name, func(t *testing.T) { wantFault(t, "a.stl", c.data, Limits{}, c.words...) })
	}
}

func TestSTLLimits(t *testing.T) {
	wantFault(t, "a.stl", rawSTL("", 4, tetraCorners()...), Limits{Triangles: 3}, "4 triangles, the limit is 3")
	wantFault(t, "a.stl", []byte(tetraText), Limits{Triangles: 3}, "the limit is 3", "line 23, triangle 4")
	wantFault(t, "a.stl", []byte(tetraText), Limits{Bytes: 100}, "the limit is 100")
	wantFault(t, "a.stl", []byte(strings.Repeat(tetraText, 3)), Limits{Entries: 2}, "more than 2 solids")
}
