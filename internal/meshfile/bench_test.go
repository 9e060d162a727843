package meshfile

import (
	"bytes"
	"io"
	"testing"

	"feint/internal/geom"
	"feint/internal/mesh"
)

// grille is a mesh of n x n boxes, 12 n^2 triangles.
func grille(n int) *mesh.Mesh {
	var ms []*mesh.Mesh
	for i := range n * n {
		x, y := float64(i%n), float64(i/n)
		ms = append(ms, box(vec{X: x, Y: y}, vec{X: x + 0.5, Y: y + 0.5, Z: 1.0 / 65536 * float64(i+1)}))
	}
	return merged(ms)
}

func benchRead(b *testing.B, write func(w io.Writer, m *mesh.Mesh) error) {
	m := grille(64) // 49 152 triangles
	var out bytes.Buffer
	if err := write(&out, m); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(out.Len()))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read("a", out.Bytes(), Limits{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkReadSTL(b *testing.B) {
	benchRead(b, func(w io.Writer, m *mesh.Mesh) error { return WriteSTL(w, "a", m) })
}

func BenchmarkReadTextSTL(b *testing.B) {
	benchRead(b, func(w io.Writer, m *mesh.Mesh) error { return WriteTextSTL(w, "a", m) })
}

func BenchmarkRead3MF(b *testing.B) {
	benchRead(b, func(w io.Writer, m *mesh.Mesh) error {
		return Write3MF(w, []Item{{Name: "a", Mesh: m, At: geom.Identity()}}, "", Meta{})
	})
}

func BenchmarkWrite3MF(b *testing.B) {
	m := grille(64)
	for b.Loop() {
		if err := Write3MF(io.Discard, []Item{{Name: "a", Mesh: m, At: geom.Identity()}}, "", Meta{}); err != nil {
			b.Fatal(err)
		}
	}
}
