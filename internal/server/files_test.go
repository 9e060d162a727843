package server

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"feint/internal/export"
	"feint/internal/pipeline"
	"feint/internal/printable"
)

// staged proves the design of a bench and gives its stage.
func (b *bench) staged() *Stage {
	b.t.Helper()
	ch := b.listen("files")
	b.ask("POST", "/api/proofs", asked("files"), "Started", nil)
	return until(b.t, ch, "stage").Stage
}

// fetch gets an answer that is no JSON.
func (b *bench) fetch(path string) (status int, media, attached string, raw []byte) {
	b.t.Helper()
	res, err := b.client.Get(b.s.Origin() + path)
	if err != nil {
		b.t.Fatal(err)
	}
	defer res.Body.Close()
	raw, err = io.ReadAll(res.Body)
	if err != nil {
		b.t.Fatal(err)
	}
	return res.StatusCode, res.Header.Get("Content-Type"), res.Header.Get("Content-Disposition"), raw
}

// volume of a binary STL file, mm3, by the divergence theorem: a sixth of the sum of
// the triangles' spats. The layout is that of the 3D Systems specification (80 bytes,
// a count, 50 bytes a triangle), read here without the readers of feint.
func volume(t *testing.T, stl []byte) float64 {
	t.Helper()
	n := int(binary.LittleEndian.Uint32(stl[80:]))
	if len(stl) != 84+50*n {
		t.Fatalf("%d bytes for %d triangles", len(stl), n)
	}
	v := 0.0
	for i := range n {
		var p [9]float64
		for k := range p {
			p[k] = float64(math.Float32frombits(binary.LittleEndian.Uint32(stl[84+50*i+12+4*k:])))
		}
		v += p[0]*(p[4]*p[8]-p[5]*p[7]) - p[1]*(p[3]*p[8]-p[5]*p[6]) + p[2]*(p[3]*p[7]-p[4]*p[6])
	}
	return v / 6
}

// TestExport: the files of the page are those that feint export writes, byte for byte;
// of the frame cut across the middle half is left.
func TestExport(t *testing.T) {
	b := openBench(t, Config{})
	b.enter()
	st := b.staged()
	var out Exported
	if code := b.ask("POST", "/api/stages/"+st.ID+"/exports", ExportAsked{Plate: "150x160x170", Cut: "x=0", Parts: []string{"boat"}}, "Exported", &out); code != 200 {
		t.Fatal(code)
	}
	dir := t.TempDir()
	cut, err := export.ReadPlane("x=0")
	if err != nil {
		t.Fatal(err)
	}
	w, err := pipeline.Export(context.Background(), filepath.Join(b.dir, "ferry.star"), dir, pipeline.Options{Version: "test"},
		pipeline.ExportOptions{Plate: export.Plate{Width: 150, Depth: 160, Height: 170}, Cut: cut, Parts: []string{"boat"}})
	if err != nil {
		t.Fatal(err)
	}
	if len(w.Files) != len(out.Files) || len(out.Files) < 10 {
		t.Fatalf("the page has %d files, the command wrote %d", len(out.Files), len(w.Files))
	}
	media := map[string]string{".stl": "model/stl", ".3mf": "model/3mf", ".glb": "model/gltf-binary"}
	_, _, _, packed := b.fetch("/api/exports/" + out.ID + "/zip")
	z, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	if err != nil || len(z.File) != len(out.Files) {
		t.Fatal(err)
	}
	for i, f := range out.Files {
		want, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(f.Name)))
		if err != nil || f.Name != w.Files[i] {
			t.Fatalf("%s: %v", f.Name, err)
		}
		code, kind, name, got := b.fetch(fmt.Sprintf("/api/exports/%s/files/%d", out.ID, i+1))
		if code != 200 || !bytes.Equal(got, want) || f.Bytes != len(want) {
			t.Errorf("%s: %d, %d bytes, the command wrote %d", f.Name, code, len(got), len(want))
		}
		if kind != media[filepath.Ext(f.Name)] || name != fmt.Sprintf("attachment; filename=%q", filepath.Base(f.Name)) {
			t.Errorf("%s: %s, %s", f.Name, kind, name)
		}
		in, err := z.File[i].Open()
		if err != nil {
			t.Fatal(err)
		}
		if raw, err := io.ReadAll(in); err != nil || !bytes.Equal(raw, want) || z.File[i].Name != "ferry-parts/"+f.Name {
			t.Errorf("%s in the ZIP file: %v", z.File[i].Name, err)
		}
		switch f.Name {
		case "parts/quay.stl": // a block of 100 x 100 x 10 and 5 x 10 x 10 that stands out of it
			if v := volume(t, got); math.Abs(v-100500) > 1e-3*100500 {
				t.Errorf("the quay has %g mm3", v)
			}
		case "cutaway/quay.stl": // half of the block; the bollard is on the side that goes
			if v := volume(t, got); math.Abs(v-50000) > 1e-3*50000 {
				t.Errorf("the quay cut open has %g mm3", v)
			}
		}
	}
	if len(out.Notes) != 1 || !strings.Contains(out.Notes[0], "boat") { // 1 to 6 lies beyond x = 0
		t.Errorf("%q", out.Notes)
	}
}

// TestExportRefused: what cannot be made is answered with words; no name or number
// leads to another file.
func TestExportRefused(t *testing.T) {
	b := openBench(t, Config{})
	b.enter()
	st := b.staged()
	for _, bad := range []ExportAsked{
		{Plate: "", Parts: []string{}},
		{Plate: "20x20x20", Parts: []string{}},
		{Plate: "220x220", Cut: "w=1", Parts: []string{}},
		{Plate: "220x220", Cut: "0,0,0,1", Parts: []string{}},
		{Plate: "220x220", Cut: "x=0", Parts: []string{"../quay"}},
	} {
		var tr Trouble
		if code := b.ask("POST", "/api/stages/"+st.ID+"/exports", bad, "", &tr); code != 400 || tr.Message == "" {
			t.Errorf("%+v: %d %q", bad, code, tr.Message)
		}
	}
	var out Exported
	b.ask("POST", "/api/stages/"+st.ID+"/exports", ExportAsked{Plate: "220x220", Parts: []string{}}, "Exported", &out)
	for _, path := range []string{
		out.ID + "/files/0", out.ID + "/files/-1", out.ID + "/files/999", out.ID + "/files/1e1", out.ID + "/files/..%2f..%2fgo.mod", "none/files/1", "none/zip", "..%2f..%2fetc/zip",
	} {
		if code, _, _, raw := b.fetch("/api/exports/" + path); code != 400 && code != 404 {
			t.Errorf("%s: %d %.40q", path, code, raw)
		}
	}
	if code := b.ask("POST", "/api/stages/elsewhere/exports", ExportAsked{Plate: "220x220", Parts: []string{}}, "", nil); code != 404 {
		t.Error(code)
	}
	// what is made later must be of the text that the page shows
	if err := os.WriteFile(filepath.Join(b.dir, "ferry.star"), []byte(strings.Replace(ferry, "(1, 9)", "(1, 8)", 1)), 0o640); err != nil {
		t.Fatal(err)
	}
	var tr Trouble
	if code := b.ask("POST", "/api/stages/"+st.ID+"/exports", ExportAsked{Plate: "220x220", Parts: []string{}}, "", &tr); code != 400 || !strings.Contains(tr.Message, "changed since") {
		t.Errorf("%d %q", code, tr.Message)
	}
}

// sleeve is a rod in a bore, invented: one round fit with a gap of 0.2 mm a side.
const sleeve = `# A sleeve. Invented for feint.
hull = part("hull", frame = True, solid = block((-10, 10), (-10, 10), (0, 20)) - cylinder(d = 10, h = 30).at(z = -1))
rod = part("rod", solid = cylinder(d = 9.6, h = 20).at(z = 1), travels = [slide(z, -5, 40)])
start({})
goal("rod out", {rod.slide: (30, None)})
`

// TestGauges: the gauges of the page are those that feint gauge writes.
func TestGauges(t *testing.T) {
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "ferry.star"), []byte(sleeve), 0o640); err != nil {
		t.Fatal(err)
	}
	b := openBench(t, Config{Folder: dir})
	b.enter()
	st := b.staged()
	var fits Fits
	b.ask("GET", "/api/stages/"+st.ID+"/fits", nil, "Fits", &fits)
	if len(fits.Fits) != 1 || !fits.Fits[0].Round || math.Abs(fits.Fits[0].Gap-0.2) > 0.01 || fits.Fits[0].Inner != "rod" || fits.Fits[0].Outer != "hull" {
		t.Fatalf("%+v", fits)
	}
	var out Exported
	if code := b.ask("POST", "/api/stages/"+st.ID+"/gauges", GaugesAsked{Fits: []int{1}, Gaps: []float64{}, Plain: true}, "Exported", &out); code != 200 {
		t.Fatal(code)
	}
	to := t.TempDir()
	o := pipeline.Options{Version: "test"}
	g, err := pipeline.CutGauges(context.Background(), filepath.Join(dir, "ferry.star"), o, pipeline.GaugeOptions{Fits: []int{1}, Plain: true, Settings: printable.Default()})
	if err != nil {
		t.Fatal(err)
	}
	names, err := g.WriteGauges(to, o)
	if err != nil || len(names) != len(out.Files) {
		t.Fatalf("%v: the command wrote %q, the page has %+v", err, names, out.Files)
	}
	for i, f := range out.Files {
		want, err := os.ReadFile(filepath.Join(to, f.Name))
		if err != nil {
			t.Fatal(err)
		}
		if _, _, _, got := b.fetch(fmt.Sprintf("/api/exports/%s/files/%d", out.ID, i+1)); !bytes.Equal(got, want) {
			t.Errorf("%s: %d bytes, the command wrote %d", f.Name, len(got), len(want))
		}
	}
	if len(out.Gauges) != 2 || len(out.Gauges[0].Places) == 0 || !(out.Gauges[0].Minutes > 0) || !(out.Gauges[1].Grams > 0) {
		t.Errorf("%+v", out.Gauges)
	}
	if code := b.ask("POST", "/api/stages/"+st.ID+"/gauges", GaugesAsked{Fits: []int{}, Gaps: []float64{0.1, 0.3}, Plain: true}, "Exported", &out); code != 200 || len(out.Gauges) != 1 || len(out.Gauges[0].Places) != 2*2+3 {
		t.Errorf("the plain ladder alone: %d %+v", code, out.Gauges)
	}
	for _, bad := range []GaugesAsked{
		{Fits: []int{7}, Gaps: []float64{}},
		{Fits: []int{}, Gaps: []float64{}},
		{Fits: []int{1}, Gaps: []float64{9}},
		{Fits: []int{}, Most: 1000, Gaps: []float64{}},
		{Fits: []int{1}, Gaps: []float64{}, On: "nobody's"},
	} {
		if code := b.ask("POST", "/api/stages/"+st.ID+"/gauges", bad, "", nil); code != 400 {
			t.Errorf("%+v: %d", bad, code)
		}
	}
}
