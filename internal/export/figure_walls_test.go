package export

import (
	"strings"
	"testing"

	"feint/internal/geom"
	"feint/internal/mesh"
	"feint/internal/printable"
	"feint/internal/verdict/sample"
)

// cube is the boundary of a cube of the size, as triangles.
func cube(size float64) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range 8 {
		m.V = append(m.V, geom.Vec{X: size * float64(i&1), Y: size * float64(i>>1&1), Z: size * float64(i>>2&1)})
	}
	for _, q := range [6][4]int32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		m.T = append(m.T, [3]int32{q[0], q[1], q[2]}, [3]int32{q[0], q[2], q[3]})
	}
	return m
}

// TestWallsFigure: one part has pieces of two bands; the drawing names both by a number,
// and the tables say the place, the band and who slides on either side of a web.
func TestWallsFigure(t *testing.T) {
	d, r := sampleDocument(t)
	m := sample.Mechanism()
	c := cube(10)
	if v := c.Volume(); v < 999 || v > 1001 {
		t.Fatalf("the cube is turned inside out: %g", v)
	}
	set := printable.Default()
	s := &printable.Survey{Settings: set, Reports: make([]*printable.Report, len(m.Parts))}
	for i := range s.Reports {
		s.Reports[i] = &printable.Report{Best: -1, Shares: [5]float64{0.25, 0, 0, 0.75, 0}}
	}
	s.Reports[1].Walls = []printable.Walled{{At: geom.Vec{X: 1, Y: 2, Z: 3}, Thick: 0.5}}
	s.Reports[1].Webs = []printable.Web{{At: geom.Vec{X: 4}, Thickness: 1, Height: 2, Length: 9, Others: [2]int{0, 2}}}
	d.Printing = NewPrinting(m, s, false)
	var pieces []printable.WallPiece
	for i := range c.T {
		pieces = append(pieces, printable.WallPiece{Piece: c.Triangle(i), Band: 3 * (i % 2)})
	}
	walls := make([][]printable.WallPiece, len(m.Parts))
	walls[1] = pieces
	meshes := make([]*mesh.Mesh, len(m.Parts))
	meshes[1] = c
	f, err := wallsFigure(&ReportInput{Mechanism: m, Result: r, Document: d, Meshes: meshes, Further: &Further{Walls: walls}})
	if err != nil {
		t.Fatal(err)
	}
	images, numbers := 0, map[string]bool{}
	for _, k := range shapes(t, f.SVG) {
		if k.kind == "image" {
			images++
		}
		if k.class == "disc-n" {
			numbers[k.text] = true
		}
	}
	if images != 2 || len(numbers) != 2 || !numbers["1"] || !numbers["4"] {
		t.Errorf("%d pictures, numbers %v", images, numbers)
	}
	name := m.Parts[1].Name
	if got := f.Tables[0]; len(got.Rows) != 1 || strings.Join(got.Rows[0], "|") != name+"|0.50|1.0, 2.0, 3.0|thinner than two lines, 0.90 mm" || got.Marks[0] != (FigureMark{name, [3]float64{1, 2, 3}}) {
		t.Errorf("thinnest: %+v", got)
	}
	if got := f.Tables[1].Rows[0]; got[1] != "1.00" || got[2] != "2.0" || !strings.Contains(got[4], m.Parts[2].Name) {
		t.Errorf("webs: %v", got)
	}
	if got := f.Tables[2].Rows[1]; got[1] != "25.0" || got[4] != "75.0" {
		t.Errorf("shares: %v", got)
	}
	if f, err := wallsFigure(&ReportInput{Mechanism: m, Document: d, Meshes: meshes}); f != nil || err != nil {
		t.Errorf("not asked: %v, %v", f, err)
	}
}
