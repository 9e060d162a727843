package design

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"feint/internal/mechanism"
)

// FuzzLoad feeds Load with whatever: it must not panic, must end within its
// steps, and gives either a sound mechanism or problems with a place.
func FuzzLoad(f *testing.F) {
	files, err := filepath.Glob("testdata/*.txt")
	if err != nil {
		f.Fatal(err)
	}
	for _, name := range files {
		data, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		for _, chunk := range strings.Split(string(data), "\n---\n") {
			f.Add(chunk)
		}
	}
	for _, s := range Template("hut") {
		f.Add(s)
	}
	for _, s := range bombs() {
		if len(s) < 1000 {
			f.Add(s)
		}
	}
	f.Fuzz(func(t *testing.T, text string) {
		m, err := Load("d.star", Options{MaxSteps: 50_000, MaxSize: 10_000, FS: fstest.MapFS{
			"d.star":     {Data: []byte(text)},
			"tower.star": {Data: []byte("height = 30\n")},
			"lid.stl":    {Data: []byte("solid\nendsolid\n")},
		}})
		if err == nil {
			checkSound(t, m)
			return
		}
		var ps *Problems
		if m != nil || !errors.As(err, &ps) || len(ps.List) == 0 {
			t.Fatalf("%v, %v", m, err)
		}
		for _, p := range ps.List {
			if p.Message == "" || p.Pos.File == "" || strings.Contains(p.Message, unknownType) && !strings.Contains(text, unknownType) {
				t.Errorf("%+v", p)
			}
		}
	})
}

// checkSound holds a mechanism to what its package promises.
func checkSound(t *testing.T, m *mechanism.Mechanism) {
	t.Helper()
	if m.FrameIndex() < 0 || len(m.Start) != len(m.Travels) || len(m.Goal.Bounds) == 0 || m.Tolerance <= 0 {
		t.Fatalf("unsound: %+v", m)
	}
	frames := 0
	for i, p := range m.Parts {
		if p.Frame {
			frames++
		}
		if p.Shape == nil || p.Name == "" || p.Color == "" || p.Material.Density <= 0 || len(p.Travels) > 2 || (p.Carrier < 0) != p.Frame {
			t.Errorf("part %+v", p)
		}
		n := 0
		for at := i; at >= 0; at = m.Parts[at].Carrier {
			if n++; n > len(m.Parts) {
				t.Fatalf("carriers of %s go in a circle", p.Name)
			}
		}
	}
	if frames != 1 {
		t.Errorf("%d frames", frames)
	}
	for i, tr := range m.Travels {
		v := m.Start[i]
		if !(tr.Lo < tr.Hi) || math.IsInf(tr.Lo, 0) || math.IsInf(tr.Hi, 0) || v < tr.Lo || v > tr.Hi || tr.Forward == "" || tr.Backward == "" {
			t.Errorf("travel %+v from %v", tr, v)
		}
	}
}
