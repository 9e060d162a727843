package mesh

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"feint/internal/geom"
)

// TestWriteReference writes the meshes of testdata/reference/selfint as OFF
// files into the folder that FEINT_OFF names, for CGAL to check
// (scripts/reference/selfint.sh). Without the variable it does nothing.
func TestWriteReference(t *testing.T) {
	dir := os.Getenv("FEINT_OFF")
	if dir == "" {
		t.Skip("FEINT_OFF names no folder")
	}
	write := func(name string, m *Mesh) {
		if err := writeOFF(filepath.Join(dir, name+".off"), m); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range closedForms() {
		if m := arranged(t, c.name, c.inside, c.solids...); len(m.T) > 0 {
			write(c.name, m)
		}
	}
	write("part simple", arranged(t, "simple", simpleInside, simpleParts()...))
	write("part screw", arranged(t, "screw", firstOnly, screwParts()...))
	write("part marks", arranged(t, "marks", any1, markParts(400)...))
	cut, err := CutByPlane(arranged(t, "simple", simpleInside, simpleParts()...), tilted(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	write("part simple, cut", cut)
	for _, kind := range []string{"lattice", "turned", "close", "free"} {
		for seed := range uint64(25) {
			s := randomScene(seed, kind)
			if m := arranged(t, kind, s.inside, s.solids...); len(m.T) > 0 {
				write(fmt.Sprintf("random %s %02d", kind, seed), m)
			}
		}
	}
	// controls: the program must find what is wrong with these
	write("wrong: two blocks that cross", joined(block(0, 0, 0, 2, 2, 2), block(1, 1, 1, 3, 3, 3)))
	write("wrong: inside out", inverted(block(0, 0, 0, 2, 2, 2)))
	open := block(0, 0, 0, 2, 2, 2)
	open.T = open.T[1:]
	write("wrong: open", open)
}

// tilted is a plane askew to every axis.
func tilted() geom.Line {
	return geom.Line{Point: geom.Vec{X: 1.3, Y: -2.1, Z: 9.7}, Dir: geom.Vec{X: 0.6, Y: 0.48, Z: 0.64}}
}
