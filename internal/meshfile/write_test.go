package meshfile

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"encoding/json"
	"encoding/xml"
	"io"
	"math"
	"strings"
	"testing"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

func written(t testing.TB, write func(w io.Writer) error) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// The layout is that of the format: 80 bytes, a count, 50 bytes a facet, its
// normal of unit length by the right-hand rule.
func TestWriteSTLLayout(t *testing.T) {
	b := written(t, func(w io.Writer) error { return WriteSTL(w, "solid Türm", tetra()) })
	if len(b) != 84+4*50 || binary.LittleEndian.Uint32(b[80:]) != 4 {
		t.Errorf("%d bytes, count %d", len(b), binary.LittleEndian.Uint32(b[80:]))
	}
	if bytes.HasPrefix(b, []byte("solid")) || !bytes.Contains(b[:80], []byte("solid T?rm")) {
		t.Errorf("header %q", b[:80])
	}
	want := [][3]float32{{0, 0, -1}, {0, -1, 0}, {-1, 0, 0}, {0.57735026, 0.57735026, 0.57735026}} // 1/sqrt 3
	for i, n := range want {
		var got [3]float32
		if _, err := binary.Decode(b[84+50*i:], binary.LittleEndian, &got); err != nil {
			t.Fatal(err)
		}
		if got != n {
			t.Errorf("normal %d is %v, want %v", i, got, n)
		}
	}
}

// grid draws a number of the grid of 2^-16 mm within 256 mm, which float32 holds.
func gridMesh(t *rapid.T) *mesh.Mesh {
	m := tetra()
	for i := range m.V {
		c := func() float64 { return float64(rapid.IntRange(-1<<24, 1<<24).Draw(t, "grid")) / 65536 }
		m.V[i] = vec{X: c(), Y: c(), Z: c()}
	}
	return m
}

// sameCorners compares triangle by triangle, by place.
func sameCorners(a, b *mesh.Mesh) bool {
	if len(a.T) != len(b.T) {
		return false
	}
	for i := range a.T {
		if a.Triangle(i) != b.Triangle(i) {
			return false
		}
	}
	return true
}

func TestRoundTripOnGrid(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		m := gridMesh(rt)
		for name, b := range map[string][]byte{
			"stl": written(t, func(w io.Writer) error { return WriteSTL(w, "a", m) }),
			"txt": written(t, func(w io.Writer) error { return WriteTextSTL(w, "a", m) }),
			"3mf": written(t, func(w io.Writer) error {
				return Write3MF(w, []Item{{Name: "a", Mesh: m, At: geom.Identity()}}, "", Meta{})
			}),
		} {
			if got := mustRead(t, name, b).Objects[0].Mesh; !sameCorners(got, m) {
				rt.Fatalf("%s: read %v, wrote %v", name, got, m)
			}
		}
	})
}

// Decimals keep any float64, on the grid or not.
func TestRoundTripDecimals(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		m := tetra()
		for i := range m.V {
			c := func() float64 { return rapid.Float64Range(-1e5, 1e5).Draw(rt, "x") }
			m.V[i] = vec{X: c(), Y: c(), Z: c()}
		}
		b := written(t, func(w io.Writer) error {
			return Write3MF(w, []Item{{Name: "a", Mesh: m, At: geom.Identity()}}, "whole", Meta{})
		})
		if err := same(mustRead(t, "a.3mf", b).Objects[0].Mesh, m); err != nil {
			rt.Fatal(err)
		}
	})
}

func twoItems() []Item {
	turn := geom.Rotation(geom.Line{Point: vec{X: 3}, Dir: vec{Z: 1}}, math.Pi/2)
	return []Item{
		{Name: `Lamp "room" <1>`, Color: "#ff8000", Mesh: box(vec{}, vec{X: 2, Y: 3, Z: 5}), At: geom.Identity()},
		{Name: "Gallery", Mesh: tetra(), At: turn},
	}
}

func fullMeta() Meta {
	return Meta{
		Title: "Lighthouse & <tower>", Designer: "Ada", Description: "two\nlines", Copyright: "(c)", LicenseTerms: "CC0", Rating: "all",
		CreationDate: "2026-01-02", ModificationDate: "2026-01-03", Application: "test",
	}
}

func Test3MFContent(t *testing.T) {
	b := written(t, func(w io.Writer) error { return Write3MF(w, twoItems(), "", fullMeta()) })
	f := mustRead(t, "a.3mf", b)
	if len(f.Metadata) != 9 || f.Metadata["Title"] != "Lighthouse & <tower>" || f.Metadata["Description"] != "two\nlines" {
		t.Errorf("metadata %q", f.Metadata)
	}
	if f.Objects[0].Name != `Lamp "room" <1>` || f.Objects[1].Name != "Gallery" || f.Unit != "millimeter" {
		t.Errorf("objects %q %q", f.Objects[0].Name, f.Objects[1].Name)
	}
	near(t, "volume", f.Objects[0].Mesh.Volume(), 30, 1e-12)
	// A quarter turn about the line x = 3, y = 0: the origin goes to (3, -3, 0) and (1, 0, 0) to (3, -2, 0).
	for i, want := range []vec{{X: 3, Y: -3}, {X: 3, Y: -2}, {X: 2, Y: -3}, {X: 3, Y: -3, Z: 1}} {
		if d := r3.Norm(r3.Sub(f.Objects[1].Mesh.V[i], want)); d > 1e-12 {
			t.Errorf("vertex %d of the turned part is %g mm from %v", i, d, want)
		}
	}
	again := written(t, func(w io.Writer) error { return Write3MF(w, twoItems(), "", fullMeta()) })
	if !bytes.Equal(b, again) {
		t.Error("the same input gave other bytes")
	}
}

func TestWrite3MFWhole(t *testing.T) {
	b := written(t, func(w io.Writer) error { return Write3MF(w, twoItems(), "tower", Meta{}) })
	f := mustRead(t, "a.3mf", b)
	if len(f.Objects) != 1 || f.Objects[0].Name != "tower" || len(f.Objects[0].Pieces) != 2 || f.Objects[0].Pieces[1].Name != "Gallery" {
		t.Fatalf("read %+v", f.Objects)
	}
	near(t, "volume", f.Objects[0].Mesh.Volume(), 30+1.0/6, 1e-12)
}

// unzipped gives the parts of a package, and holds the archive to what readers
// need: deflated, no data descriptors (flag bit 3), dates that are not the clock's.
func unzipped(t *testing.T, b []byte) (names []string, parts map[string][]byte) {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	parts = map[string][]byte{}
	for _, f := range z.File {
		names = append(names, f.Name)
		if f.Method != zip.Deflate || f.Flags&8 != 0 {
			t.Errorf("%s: method %d, flags %x (bit 3 is a data descriptor)", f.Name, f.Method, f.Flags)
		}
		if y := f.Modified.UTC().Format("2006-01-02 15:04:05"); y != "1980-01-01 00:00:00" {
			t.Errorf("%s is dated %s; the clock must not enter", f.Name, y)
		}
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		if parts[f.Name], err = io.ReadAll(r); err != nil {
			t.Fatal(err)
		}
	}
	return names, parts
}

// What the core specification and its schema demand of the XML, read without
// the reader of this package: attributes, the order of elements, three
// different corners, a list of base materials that pid and pindex point into.
func TestWrite3MFSchema(t *testing.T) {
	items := append(twoItems(), Item{Name: "Door", Color: "#0a0b0c", Mesh: tetra(), At: geom.Identity()})
	b := written(t, func(w io.Writer) error { return Write3MF(w, items, "", fullMeta()) })
	names, parts := unzipped(t, b)
	if got := strings.Join(names, " "); got != "[Content_Types].xml _rels/.rels 3D/3dmodel.model" {
		t.Fatalf("parts %s", got)
	}
	if !bytes.Contains(parts[names[0]], []byte(`"application/vnd.ms-package.3dmanufacturing-3dmodel+xml"`)) {
		t.Error("no content type for the model")
	}
	if bytes.Contains(parts[names[2]], []byte("&#")) {
		t.Error("numeric character references, which lib3mf 1.8 refuses") // seen: testdata/reference/modelfiles/SOURCE.md
	}
	var m struct {
		XMLName xml.Name
		Unit    string `xml:"unit,attr"`
		Meta    []struct {
			Name string `xml:"name,attr"`
		} `xml:"metadata"`
		Base []struct {
			Color string `xml:"displaycolor,attr"`
		} `xml:"resources>basematerials>base"`
		Objects []struct {
			ID     int    `xml:"id,attr"`
			PID    int    `xml:"pid,attr"`
			PIndex int    `xml:"pindex,attr"`
			Type   string `xml:"type,attr"`
		} `xml:"resources>object"`
	}
	if err := xml.Unmarshal(parts[names[2]], &m); err != nil {
		t.Fatal(err)
	}
	if m.XMLName.Space != "http://schemas.microsoft.com/3dmanufacturing/core/2015/02" || m.XMLName.Local != "model" || m.Unit != "millimeter" {
		t.Errorf("root %v, unit %q", m.XMLName, m.Unit)
	}
	if len(m.Meta) != 9 || m.Meta[4].Name != "LicenseTerms" {
		t.Errorf("metadata %v", m.Meta)
	}
	if len(m.Base) != 2 || m.Base[0].Color != "#FF8000" || m.Base[1].Color != "#0A0B0C" || m.Objects[0].PID != 1 || m.Objects[0].PIndex != 0 ||
		m.Objects[1].PID != 0 || m.Objects[2].PID != 1 || m.Objects[2].PIndex != 1 {
		t.Errorf("materials %v, objects %v", m.Base, m.Objects)
	}
}

func TestWriteFaults(t *testing.T) {
	bad := tetra()
	bad.V[2].Y = math.NaN()
	far := tetra()
	far.V[0].X = 1e300
	wild := tetra()
	wild.T[1][0] = 4
	for name, m := range map[string]*mesh.Mesh{"nan": bad, "far": far, "index": wild, "empty": {}, "nil": nil} {
		for kind, err := range map[string]error{
			"stl":  WriteSTL(io.Discard, "lid", m),
			"text": WriteTextSTL(io.Discard, "lid", m),
			"3mf":  Write3MF(io.Discard, []Item{{Name: "lid", Mesh: m}}, "", Meta{}),
			"glb":  WriteGLB(io.Discard, []Item{{Name: "lid", Mesh: m, At: geom.Identity()}}, Meta{}),
		} {
			if err == nil || !strings.Contains(err.Error(), "lid") {
				t.Errorf("%s of a mesh with %s: error %v", kind, name, err)
			}
		}
	}
	for _, c := range []string{"red", "#12345", "#12345g"} {
		if err := WriteGLB(io.Discard, []Item{{Name: "lid", Color: c, Mesh: tetra(), At: geom.Identity()}}, Meta{}); err == nil {
			t.Errorf("colour %q was taken", c)
		}
	}
}

// glbChunks takes a GLB apart by the specification, chapter 4 (GLB file format).
func glbChunks(t *testing.T, b []byte) (doc map[string]any, bin []byte) {
	t.Helper()
	u := func(at int) int { return int(binary.LittleEndian.Uint32(b[at:])) }
	if u(0) != 0x46546C67 || u(4) != 2 || u(8) != len(b) {
		t.Fatalf("header %x %d %d of %d bytes", u(0), u(4), u(8), len(b))
	}
	n := u(12)
	if u(16) != 0x4E4F534A || n%4 != 0 {
		t.Fatalf("first chunk %x of %d bytes", u(16), n)
	}
	if err := json.Unmarshal(b[20:20+n], &doc); err != nil {
		t.Fatal(err)
	}
	at := 20 + n
	if u(at+4) != 0x004E4942 || u(at)%4 != 0 || at+8+u(at) != len(b) {
		t.Fatalf("second chunk %x of %d bytes", u(at+4), u(at))
	}
	return doc, b[at+8:]
}

func TestWriteGLB(t *testing.T) {
	b := written(t, func(w io.Writer) error { return WriteGLB(w, twoItems(), fullMeta()) })
	doc, bin := glbChunks(t, b)
	list := func(k string) []any { return doc[k].([]any) }
	if len(list("nodes")) != 2 || len(list("meshes")) != 2 || len(list("materials")) != 2 || list("buffers")[0].(map[string]any)["byteLength"].(float64) > float64(len(bin)) {
		t.Fatalf("%v", doc)
	}
	node := list("nodes")[1].(map[string]any)
	if node["name"] != "Gallery" {
		t.Errorf("node %v", node)
	}
	// The box of 2 x 3 x 5 mm stands 5 mm high in y, and its 3 mm run along -z.
	acc := list("accessors")[0].(map[string]any)
	for k, want := range map[string][3]float64{"min": {0, 0, -0.003}, "max": {0.002, 0.005, 0}} {
		for i, x := range acc[k].([]any) {
			near(t, k, x.(float64), want[i], 1e-9)
		}
	}
	// Six flat sides of four corners each: 24 corners with their own normals.
	if acc["count"].(float64) != 24 {
		t.Errorf("%v corners, want 24", acc["count"])
	}
	// A quarter turn about z is one about y in glTF: (0, sin 45, 0, cos 45). The
	// line x = 3 mm carries the origin to (3, -3, 0), in glTF (0.003, 0, 0.003).
	for k, want := range map[string][]float64{"rotation": {0, math.Sqrt2 / 2, 0, math.Sqrt2 / 2}, "translation": {0.003, 0, 0.003}} {
		for i, x := range node[k].([]any) {
			near(t, k, x.(float64), want[i], 1e-12)
		}
	}
	// #ff8000 in linear light: 1, 0.2158605, 0 (IEC 61966-2-1 worked by hand for 128/255).
	c := list("materials")[0].(map[string]any)["pbrMetallicRoughness"].(map[string]any)["baseColorFactor"].([]any)
	for i, want := range []float64{1, 0.2158605, 0, 1} {
		near(t, "colour", c[i].(float64), want, 1e-7)
	}
	for _, v := range list("bufferViews") {
		if off := v.(map[string]any)["byteOffset"].(float64); math.Mod(off, 4) != 0 {
			t.Errorf("a view starts at byte %v", off)
		}
	}
}

// Applying a node's quaternion by the sandwich product must move points as the
// motion does; the reference is gonum's rotation, not ours.
func TestQuaternion(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		axis := vec{X: rapid.Float64Range(-1, 1).Draw(rt, "x"), Y: rapid.Float64Range(-1, 1).Draw(rt, "y"), Z: rapid.Float64Range(-1, 1).Draw(rt, "z")}
		if r3.Norm(axis) < 1e-3 {
			rt.Skip()
		}
		angle := rapid.OneOf(rapid.Float64Range(-7, 7), rapid.Just(math.Pi)).Draw(rt, "angle")
		g := geom.Rotation(geom.Line{Dir: r3.Unit(axis)}, angle)
		q := quaternion(g)
		if l := q[0]*q[0] + q[1]*q[1] + q[2]*q[2] + q[3]*q[3]; math.Abs(l-1) > 1e-14 {
			rt.Fatalf("length %g", l)
		}
		p := vec{X: 1, Y: 2, Z: 3}
		want := r3.NewRotation(angle, axis).Rotate(p)
		got := r3.Rotation{Real: q[3], Imag: q[0], Jmag: q[1], Kmag: q[2]}.Rotate(p)
		if d := r3.Norm(r3.Sub(got, want)); d > 1e-7 {
			rt.Fatalf("%v, want %v", got, want)
		}
	})
}
