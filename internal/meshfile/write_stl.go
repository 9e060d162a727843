package meshfile

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"strconv"

	"feint/internal/geom"
	"feint/internal/mesh"
)

// WriteSTL writes m as binary STL, mm. The title goes into the header, its
// characters beyond ASCII replaced and all beyond 80 cut. Coordinates are
// rounded to float32, which keeps multiples of 2^-16 mm exactly up to 256 mm.
func WriteSTL(w io.Writer, title string, m *mesh.Mesh) error {
	if err := writable(title, m); err != nil {
		return err
	}
	if uint64(len(m.T)) > math.MaxUint32 {
		return fmt.Errorf("%s: %d triangles are more than an STL file can count", title, len(m.T))
	}
	head := make([]byte, stlHead)
	copy(head[:stlHeader], stlTitle(title))
	binary.LittleEndian.PutUint32(head[stlHeader:], uint32(len(m.T)))
	b := bufio.NewWriter(w)
	if _, err := b.Write(head); err != nil {
		return err
	}
	var rec [stlRecord]byte
	for i := range m.T {
		t := rounded32(m.Triangle(i))
		at := 0
		for _, v := range [4]vec{t.Normal(), t[0], t[1], t[2]} {
			for _, x := range [3]float64{v.X, v.Y, v.Z} {
				binary.LittleEndian.PutUint32(rec[at:], math.Float32bits(float32(x)))
				at += 4
			}
		}
		if _, err := b.Write(rec[:]); err != nil {
			return err
		}
	}
	return b.Flush()
}

// WriteTextSTL writes m as text STL, mm; every coordinate in the shortest
// decimals that read back to the same float64.
func WriteTextSTL(w io.Writer, title string, m *mesh.Mesh) error {
	if err := writable(title, m); err != nil {
		return err
	}
	var b bytes.Buffer
	title = stlTitle(title)
	fmt.Fprintf(&b, "solid %s\n", title)
	for i := range m.T {
		t := m.Triangle(i)
		fmt.Fprintf(&b, "facet normal %s\nouter loop\n", point3(t.Normal()))
		for _, v := range t {
			fmt.Fprintf(&b, "vertex %s\n", point3(v))
		}
		b.WriteString("endloop\nendfacet\n")
	}
	fmt.Fprintf(&b, "endsolid %s\n", title)
	_, err := w.Write(b.Bytes())
	return err
}

func point3(v vec) string { return number(v.X) + " " + number(v.Y) + " " + number(v.Z) }

// number writes x in the shortest decimals that read back to x.
func number(x float64) string { return string(appendNumber(nil, x)) }

func appendNumber(b []byte, x float64) []byte {
	return strconv.AppendFloat(b, x+0, 'g', -1, 64) // + 0 turns -0 into 0
}

// stlTitle fits a title to the header: printable ASCII on one line, and never
// beginning with "solid", by which readers know text files.
func stlTitle(s string) string {
	b := []byte{}
	for _, r := range s {
		if r < ' ' || r > '~' {
			r = '?'
		}
		b = append(b, byte(r))
	}
	if bytes.HasPrefix(bytes.ToLower(b), []byte("solid")) {
		b = append([]byte("- "), b...)
	}
	return string(b[:min(len(b), stlHeader)])
}

func rounded32(t geom.Triangle) geom.Triangle {
	for k, v := range t {
		t[k] = vec{X: float64(float32(v.X)), Y: float64(float32(v.Y)), Z: float64(float32(v.Z))}
	}
	return t
}

// writable refuses meshes of which no file can be made.
func writable(title string, m *mesh.Mesh) error {
	if m == nil || len(m.T) == 0 {
		return fmt.Errorf("%s: nothing to write, the mesh has no triangle", title)
	}
	for i, v := range m.V {
		if what := badPoint(v, math.MaxFloat32); what != "" {
			return fmt.Errorf("%s: vertex %d %s", title, i, what)
		}
	}
	for i, t := range m.T {
		for _, k := range t {
			if k < 0 || int(k) >= len(m.V) {
				return fmt.Errorf("%s: triangle %d names vertex %d of %d", title, i, k, len(m.V))
			}
		}
	}
	return nil
}
