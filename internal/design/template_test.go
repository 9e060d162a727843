package design

import (
	"os"
	"path/filepath"
	"testing"
)

func TestTemplate(t *testing.T) {
	dir := t.TempDir()
	for n, s := range Template("hut") {
		if err := os.WriteFile(filepath.Join(dir, n), []byte(s), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	m, err := Load(filepath.Join(dir, "hut.star"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(m.Parts) != 3 || len(m.Travels) != 2 || m.Title != "hut" || len(m.Steps) != 1 {
		t.Errorf("%d parts, %d travels, title %q", len(m.Parts), len(m.Travels), m.Title)
	}
}
