package meshfile

import (
	"archive/zip"
	"bytes"
	"testing"
)

// fuzzLimits are small, so that a breach shows quickly.
func fuzzLimits() Limits {
	return Limits{Bytes: 1 << 16, Triangles: 500, Expanded: 1 << 18, Entries: 32, Depth: 16, TokenBytes: 1 << 12}
}

// checkRead holds what Read promises: a mesh within the limits with valid
// indices and finite corners, or an error; never a panic.
func checkRead(t *testing.T, data []byte) {
	o := fuzzLimits()
	f, err := Read("fuzz", data, o)
	if err != nil {
		if f != nil || err.Error() == "" {
			t.Fatalf("both a file and an error, or no words: %v", err)
		}
		return
	}
	if len(f.Objects) == 0 || len(f.Objects) > o.Entries {
		t.Fatalf("%d objects", len(f.Objects))
	}
	n := 0
	for _, ob := range f.Objects {
		n += len(ob.Mesh.T)
		if len(ob.Mesh.T) == 0 {
			t.Fatal("an object without a triangle")
		}
		if err := writable(ob.Name, ob.Mesh); err != nil {
			t.Fatal(err)
		}
		for i := range ob.Pieces {
			if err := writable("piece", ob.Piece(i)); err != nil && ob.Pieces[i].T[0] < ob.Pieces[i].T[1] {
				t.Fatal(err)
			}
		}
	}
	if n > o.Triangles {
		t.Fatalf("%d triangles beyond the limit", n)
	}
}

// FuzzSTL tries binary files, and whatever else Read takes.
func FuzzSTL(f *testing.F) {
	good := rawSTL("binary", 4, tetraCorners()...)
	f.Add(good)
	f.Add(good[:200])
	f.Add(rawSTL("solid", 0xffffffff, tetraCorners()...))
	f.Fuzz(checkRead)
}

// FuzzTextSTL tries text files.
func FuzzTextSTL(f *testing.F) {
	f.Add(tetraText)
	f.Add("solid \n facet normal 0 0 0 outer loop vertex 1e400 0x1 nan")
	f.Add("solid a\nendsolid\nsolid b\nendsolid")
	f.Fuzz(func(t *testing.T, s string) { checkRead(t, []byte(s)) })
}

// Fuzz3MF tries the model XML in a sound package.
func Fuzz3MF(f *testing.F) {
	f.Add(coreModel(`unit="inch"`, oneObject, `<item objectid="1" transform="0 1 0 -1 0 0 0 0 1 10 20 30"/>`))
	f.Add(coreModel("", oneObject+`<object id="2"><components><component objectid="1"/><component objectid="1"/></components></object>`, `<item objectid="2"/>`))
	f.Add(coreModel("", `<object id="1"><components><component objectid="1"/></components></object>`, `<item objectid="1"/>`))
	f.Add(`<!DOCTYPE a [<!ENTITY b "c">]><model>&b;</model>`)
	f.Fuzz(func(t *testing.T, model string) {
		var b bytes.Buffer // stored, not deflated: faster, and the fuzzer sees its own bytes
		z := zip.NewWriter(&b)
		for _, p := range [][2]string{{"_rels/.rels", testRels}, {"3D/3dmodel.model", model}} {
			w, err := z.CreateHeader(&zip.FileHeader{Name: p[0], Method: zip.Store})
			if err != nil {
				t.Fatal(err)
			}
			if _, err := w.Write([]byte(p[1])); err != nil {
				t.Fatal(err)
			}
		}
		if err := z.Close(); err != nil {
			t.Fatal(err)
		}
		checkRead(t, b.Bytes())
	})
}

// FuzzPackage tries the zip archive itself.
func FuzzPackage(f *testing.F) {
	whole := packModel(f, coreModel("", oneObject, `<item objectid="1"/>`))
	f.Add(whole)
	f.Add(testFile(f, "lib3mf", "components-inch.3mf"))
	f.Add(whole[:len(whole)/2])
	f.Add(bytes.Replace(whole, []byte("3D/3dmodel"), []byte("../3dmodel"), 2))
	f.Fuzz(checkRead)
}
