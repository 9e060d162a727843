package meshfile

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"feint/internal/mesh"
)

// tetra is the corner of the unit cube, volume 1/6, outward facing.
func tetra() *mesh.Mesh {
	return &mesh.Mesh{
		V: []vec{{}, {X: 1}, {Y: 1}, {Z: 1}},
		T: [][3]int32{{0, 2, 1}, {0, 1, 3}, {0, 3, 2}, {1, 2, 3}},
	}
}

// box is an axis-aligned box, outward facing.
func box(lo, hi vec) *mesh.Mesh {
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

// rawSTL builds a binary STL by the layout of the format, without the writer.
func rawSTL(header string, count uint32, corners ...float32) []byte {
	var b bytes.Buffer
	h := make([]byte, 80)
	copy(h, header)
	b.Write(h)
	_ = binary.Write(&b, binary.LittleEndian, count)
	for i := 0; i+9 <= len(corners); i += 9 {
		_ = binary.Write(&b, binary.LittleEndian, [3]float32{})
		_ = binary.Write(&b, binary.LittleEndian, corners[i:i+9])
		b.Write([]byte{0, 0})
	}
	return b.Bytes()
}

// tetraCorners are the facets of tetra, typed out.
func tetraCorners() []float32 {
	return []float32{
		0, 0, 0, 0, 1, 0, 1, 0, 0,
		0, 0, 0, 1, 0, 0, 0, 0, 1,
		0, 0, 0, 0, 0, 1, 0, 1, 0,
		1, 0, 0, 0, 1, 0, 0, 0, 1,
	}
}

const tetraText = `solid corner of a cube
  facet normal 0 0 -1
    outer loop
      vertex 0 0 0
      vertex 0 1 0
      vertex 1 0 0
    endloop
  endfacet
  facet normal 0 -1 0
    outer loop
      vertex 0 0 0
      vertex 1.0 0 0
      vertex 0 0 1
    endloop
  endfacet
  FACET NORMAL nan 0 0
    OUTER LOOP
      VERTEX -0 0 0
      VERTEX 0 0 1e0
      VERTEX 0 +1 0
    ENDLOOP
  ENDFACET
  facet normal 0.577 0.577 0.577 outer loop vertex 1 0 0 vertex 0 1 0 vertex 0 0 1 endloop endfacet
endsolid corner of a cube
`

// pack makes a zip archive of name, content pairs.
func pack(t testing.TB, parts ...string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := 0; i < len(parts); i += 2 {
		w, err := z.Create(parts[i])
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write([]byte(parts[i+1])); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

const testRels = `<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
<Relationship Target="/3D/3dmodel.model" Id="r" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>
</Relationships>`

const tetraXML = `<mesh><vertices>
<vertex x="0" y="0" z="0"/><vertex x="1" y="0" z="0"/><vertex x="0" y="1" z="0"/><vertex x="0" y="0" z="1"/>
</vertices><triangles>
<triangle v1="0" v2="2" v3="1"/><triangle v1="0" v2="1" v3="3"/><triangle v1="0" v2="3" v3="2"/><triangle v1="1" v2="2" v3="3"/>
</triangles></mesh>`

func packModel(t testing.TB, model string) []byte {
	return pack(t, "_rels/.rels", testRels, "3D/3dmodel.model", model)
}

// coreModel wraps resources and build in a model element.
func coreModel(attrs, resources, build string) string {
	return `<?xml version="1.0" encoding="UTF-8"?>` + "\n" +
		`<model xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02" ` + attrs + `>` + "\n" +
		`<resources>` + resources + `</resources>` + "\n" + `<build>` + build + `</build></model>`
}

func mustRead(t testing.TB, name string, data []byte) *File {
	t.Helper()
	f, err := Read(name, data, Limits{})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// wantFault reads data, which must fail with all the words in the message.
func wantFault(t *testing.T, name string, data []byte, o Limits, words ...string) {
	t.Helper()
	f, err := Read(name, data, o)
	if err == nil {
		t.Fatalf("read %d objects, want an error with %q", len(f.Objects), words)
	}
	var e *Error
	if !errors.As(err, &e) {
		t.Fatalf("%T, want *Error: %v", err, err)
	}
	if e.File != name || (e.What == "" && e.Err == nil) || e.Do == "" {
		t.Errorf("the error does not name file, fault and remedy: %#v", e)
	}
	for _, w := range words {
		if !strings.Contains(err.Error(), w) {
			t.Errorf("error %q lacks %q", err, w)
		}
	}
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s is %.9g, want %.9g within %g", what, got, want, tol)
	}
}

func testFile(t testing.TB, parts ...string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(append([]string{"testdata"}, parts...)...))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// same tells whether two meshes are equal to the last bit.
func same(a, b *mesh.Mesh) error {
	if len(a.V) != len(b.V) || len(a.T) != len(b.T) {
		return fmt.Errorf("%d vertices and %d triangles, want %d and %d", len(a.V), len(a.T), len(b.V), len(b.T))
	}
	for i := range a.V {
		if a.V[i] != b.V[i] {
			return fmt.Errorf("vertex %d is %v, want %v", i, a.V[i], b.V[i])
		}
	}
	for i := range a.T {
		if a.T[i] != b.T[i] {
			return fmt.Errorf("triangle %d is %v, want %v", i, a.T[i], b.T[i])
		}
	}
	return nil
}

// openEdges counts directed edges without exactly one partner the other way.
func openEdges(m *mesh.Mesh) int {
	n := map[[2]int32]int{}
	for _, t := range m.T {
		for k := range t {
			n[[2]int32{t[k], t[(k+1)%3]}]++
		}
	}
	open := 0
	for e, c := range n {
		if c != 1 || n[[2]int32{e[1], e[0]}] != 1 {
			open++
		}
	}
	return open
}
