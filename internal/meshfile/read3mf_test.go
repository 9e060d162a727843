package meshfile

import (
	"io"
	"strings"
	"testing"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

const oneObject = `<object id="1" name="corner">` + tetraXML + `</object>`

func Test3MF(t *testing.T) {
	model := coreModel(`unit="millimeter"`, oneObject, `<item objectid="1"/>`)
	model = strings.Replace(model, "<resources>", "<metadata name=\"Title\">A &amp; B &#x3c;</metadata><resources>", 1)
	f := mustRead(t, "dir/a.3mf", packModel(t, model))
	if f.Format != "3MF" || f.Unit != "millimeter" || f.Metadata["Title"] != "A & B <" || f.Objects[0].Name != "corner" {
		t.Errorf("read as %+v", f)
	}
	if err := same(f.Objects[0].Mesh, tetra()); err != nil {
		t.Error(err)
	}
}

// The lengths are those of the core specification, section 3.4 (inch and foot:
// international, 25.4 and 304.8 mm, agreement of 1959).
func Test3MFUnits(t *testing.T) {
	for unit, mm := range map[string]float64{
		"micron": 0.001, "millimeter": 1, "centimeter": 10, "inch": 25.4, "foot": 304.8, "meter": 1000,
	} {
		f := mustRead(t, "a.3mf", packModel(t, coreModel(`unit="`+unit+`"`, oneObject, `<item objectid="1"/>`)))
		near(t, "height of 1 "+unit, f.Objects[0].Mesh.Bounds().Hi.Z, mm, 1e-15*mm)
		near(t, "volume", f.Objects[0].Mesh.Volume(), mm*mm*mm/6, 1e-12*mm*mm*mm)
	}
	f := mustRead(t, "a.3mf", packModel(t, coreModel("", oneObject, `<item objectid="1"/>`)))
	if f.Unit != "millimeter" {
		t.Errorf("unit %q without the attribute, the schema says millimeter", f.Unit)
	}
}

// Worked by hand from section 3.3 of the core specification: a point is a row,
// [x y z 1] times the matrix whose rows are the four triples. The transform
// below turns x to y and y to -x, and shifts by (10, 20, 30); the component's
// own, doubling and then shifting by 1 along x, comes first.
func Test3MFTransforms(t *testing.T) {
	res := oneObject + `<object id="2" name="pair"><components>
		<component objectid="1" transform="2 0 0 0 2 0 0 0 2 1 0 0"/><component objectid="1"/></components></object>`
	f := mustRead(t, "a.3mf", packModel(t, coreModel("", res, `<item objectid="2" transform="0 1 0 -1 0 0 0 0 1 10 20 30"/>`)))
	m := f.Objects[0].Mesh
	want := []vec{
		{X: 10, Y: 21, Z: 30}, {X: 10, Y: 23, Z: 30}, {X: 8, Y: 21, Z: 30}, {X: 10, Y: 21, Z: 32}, // 2v + (1,0,0), turned, shifted
		{X: 10, Y: 20, Z: 30}, {X: 10, Y: 21, Z: 30}, {X: 9, Y: 20, Z: 30}, {X: 10, Y: 20, Z: 31},
	}
	if len(m.V) != len(want) {
		t.Fatalf("%d vertices, want %d", len(m.V), len(want))
	}
	for i := range want {
		if m.V[i] != want[i] {
			t.Errorf("vertex %d at %v, want %v", i, m.V[i], want[i])
		}
	}
	near(t, "volume", m.Volume(), (8.0+1)/6, 1e-12)
	if len(f.Objects[0].Pieces) != 2 {
		t.Fatalf("%d pieces, want 2", len(f.Objects[0].Pieces))
	}
	near(t, "volume of the second piece", f.Objects[0].Piece(1).Volume(), 1.0/6, 1e-12)
}

// A mirroring transform must leave the solid outward facing: the volume stays positive.
func Test3MFMirror(t *testing.T) {
	f := mustRead(t, "a.3mf", packModel(t, coreModel("", oneObject, `<item objectid="1" transform="-1 0 0 0 1 0 0 0 1 0 0 0"/>`)))
	near(t, "volume", f.Objects[0].Mesh.Volume(), 1.0/6, 1e-15)
	near(t, "least x", f.Objects[0].Mesh.Bounds().Lo.X, -1, 0)
}

// A file of lib3mf; testdata/SOURCE.md tells what lib3mf itself makes of it.
func Test3MFOfLib3MF(t *testing.T) {
	f := mustRead(t, "components-inch.3mf", testFile(t, "lib3mf", "components-inch.3mf"))
	if f.Unit != "inch" || f.Metadata["Title"] != "Sample of two" || len(f.Objects) != 2 || f.Objects[0].Name != "both" || f.Objects[1].Name != "peg" {
		t.Fatalf("read %+v", f)
	}
	const inch = 25.4
	for i, want := range []struct {
		name   string
		lo, hi vec
		volume float64
	}{
		{"plank", vec{X: 8, Y: 20, Z: 30}, vec{X: 10, Y: 21, Z: 33}, 6},
		{"peg", vec{X: 9.5, Y: 24, Z: 30}, vec{X: 10, Y: 24.5, Z: 30.5}, 0.125},
	} {
		m := f.Objects[0].Piece(i)
		near(t, want.name+" volume", m.Volume(), want.volume*inch*inch*inch, 1e-6)
		b := m.Bounds()
		if d := r3.Norm(r3.Sub(b.Lo, r3.Scale(inch, want.lo))) + r3.Norm(r3.Sub(b.Hi, r3.Scale(inch, want.hi))); d > 1e-9 || f.Objects[0].Pieces[i].Name != want.name {
			t.Errorf("%s lies in %v", f.Objects[0].Pieces[i].Name, b)
		}
	}
}

// A file of assimp, whose triangles share no vertex; testdata/SOURCE.md.
func Test3MFUnshared(t *testing.T) {
	f := mustRead(t, "rod.3mf", testFile(t, "assimp", "rod.3mf"))
	m := f.Objects[0].Mesh
	near(t, "volume", m.Volume(), 768, 5e-5*800)
	if openEdges(m) != 0 || len(m.V) >= 3*len(m.T) || len(f.Notes) != 1 || !strings.Contains(f.Notes[0], "shared no vertices") {
		t.Errorf("%d vertices, %d open edges, notes %q", len(m.V), openEdges(m), f.Notes)
	}
}

// Vertices that are doubled on purpose, where two solids touch along an edge,
// stay doubled: the mesh is closed as it is.
func Test3MFKeepsDoubledVertices(t *testing.T) {
	a, b := box(vec{}, vec{X: 1, Y: 1, Z: 1}), box(vec{X: 1, Y: 1}, vec{X: 2, Y: 2, Z: 1})
	two := merged([]*mesh.Mesh{a, b})
	data := written(t, func(w io.Writer) error {
		return Write3MF(w, []Item{{Name: "two", Mesh: two, At: geom.Identity()}}, "", Meta{})
	})
	if f := mustRead(t, "a.3mf", data); same(f.Objects[0].Mesh, two) != nil || len(f.Notes) != 0 {
		t.Errorf("%v, notes %q", same(f.Objects[0].Mesh, two), f.Notes)
	}
}

func TestTake(t *testing.T) {
	res := oneObject + `<object id="2"><components><component objectid="1"/></components></object>
		<object id="3" name="box"><components><component objectid="2"/><component objectid="1"/></components></object>`
	f := mustRead(t, "a.3mf", packModel(t, coreModel("", res, `<item objectid="3"/><item objectid="1" transform="1 0 0 0 1 0 0 0 1 5 0 0"/>`)))
	for name, sixths := range map[string]float64{"": 3, "box": 2, "corner": 3, "box 1": 1} {
		m, err := f.Take(name)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "volume of "+name, m.Volume()*6, sixths, 1e-9)
	}
	if _, err := f.Take("lid"); err == nil || !strings.Contains(err.Error(), `"box", "box 1", "corner"`) {
		t.Errorf("unknown object: %v", err)
	}
}

// Extensions that are not required are passed over; those that are, are refused
// by name, save those that leave the shape alone (core specification, section 2.3).
func Test3MFExtensions(t *testing.T) {
	ext := `xmlns:x="urn:of-nobody" `
	res := `<x:thing><x:object id="1"/><object id="1"/></x:thing><object id="1" x:a="1" name="corner">` +
		strings.Replace(tetraXML, "<triangle ", `<triangle x:v1="9" pid="4" p1="0" `, 1) + `</object>`
	f := mustRead(t, "a.3mf", packModel(t, coreModel(ext, res, `<x:y/><item objectid="1" x:objectid="7"/>`)))
	if err := same(f.Objects[0].Mesh, tetra()); err != nil {
		t.Error(err)
	}
	wantFault(t, "a.3mf", packModel(t, coreModel(ext+`requiredextensions="x"`, res, `<item objectid="1"/>`)), Limits{},
		"requires the 3MF extension", `"urn:of-nobody"`, "line 2")
	wantFault(t, "a.3mf", packModel(t, coreModel(`requiredextensions="q"`, res, `<item objectid="1"/>`)), Limits{}, "requires", `"q"`)
	ok := `xmlns:m="http://schemas.microsoft.com/3dmanufacturing/material/2015/02" requiredextensions="m"`
	mustRead(t, "a.3mf", packModel(t, coreModel(ok, oneObject, `<item objectid="1"/>`)))
}

// Objects in parts of their own, by the production extension 1.1, section 3.
func Test3MFProduction(t *testing.T) {
	attrs := `xmlns:p="http://schemas.microsoft.com/3dmanufacturing/production/2015/06" requiredextensions="p"`
	root := coreModel(attrs, `<object id="1" name="own">`+tetraXML+`</object><object id="2" name="two"><components>
		<component objectid="1" p:path="/3D/Objects/a.model"/><component objectid="1"/></components></object>`, `<item objectid="2" p:UUID="u"/>`)
	sub := coreModel("", `<object id="1" name="far"><mesh><vertices><vertex x="0" y="0" z="0"/><vertex x="2" y="0" z="0"/>
		<vertex x="0" y="2" z="0"/><vertex x="0" y="0" z="2"/></vertices>`+tetraXML[strings.Index(tetraXML, "<triangles>"):]+`</object>`, "")
	f := mustRead(t, "a.3mf", pack(t, "_rels/.rels", testRels, "3D/3dmodel.model", root, "3D/Objects/a.model", sub))
	near(t, "volume", f.Objects[0].Mesh.Volume(), (8.0+1)/6, 1e-12)
	if p := f.Objects[0].Pieces; len(p) != 2 || p[0].Name != "far" || p[1].Name != "own" {
		t.Errorf("pieces %v", p)
	}
	inch := strings.Replace(sub, "<model ", `<model unit="inch" `, 1)
	wantFault(t, "a.3mf", pack(t, "_rels/.rels", testRels, "3D/3dmodel.model", root, "3D/Objects/a.model", inch), Limits{}, "inch", "must agree")
	wantFault(t, "a.3mf", packModel(t, root), Limits{}, `no file "3D/Objects/a.model"`)
	out := strings.Replace(root, "/3D/Objects/a.model", "/3D/../../etc/passwd", 1)
	wantFault(t, "a.3mf", packModel(t, out), Limits{}, "leads out of the package")
}

func Test3MFOtherTypes(t *testing.T) {
	res := oneObject + `<object id="2" type="support" name="prop">` + tetraXML + `</object>`
	f := mustRead(t, "a.3mf", packModel(t, coreModel("", res, `<item objectid="2"/><item objectid="1"/><item objectid="2"/>`)))
	if len(f.Objects) != 1 || f.Objects[0].Name != "corner" || len(f.Notes) != 1 || !strings.Contains(f.Notes[0], `"prop"`) {
		t.Errorf("%d objects, notes %q", len(f.Objects), f.Notes)
	}
	wantFault(t, "a.3mf", packModel(t, coreModel("", res, `<item objectid="2"/>`)), Limits{}, "no object of type model")
}
