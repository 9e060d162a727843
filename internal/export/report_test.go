package export_test

import (
	"bytes"
	"flag"
	"math"
	"os"
	"testing"

	"feint/internal/export"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/motion"
	"feint/internal/verdict"
)

var reportTo = flag.String("report", "", "write the sample's report to this file, to look at") //nolint:gochecknoglobals // a flag of the test binary

// turned is the mesh of a ring: outline (radius, height) turned about z, counter-
// clockwise as seen with the radius to the right.
func turned(outline [][2]float64, n int) *mesh.Mesh {
	m := &mesh.Mesh{}
	k := len(outline)
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		for _, p := range outline {
			m.V = append(m.V, geom.Vec{X: p[0] * c, Y: p[0] * s, Z: p[1]})
		}
	}
	at := func(i, j int) int32 { return int32((i%n)*k + j%k) }
	for i := range n {
		for j := range k {
			a, b, c, d := at(i, j), at(i+1, j), at(i+1, j+1), at(i, j+1)
			m.T = append(m.T, [3]int32{a, b, c}, [3]int32{a, c, d})
		}
	}
	return m
}

// solidRod is a cylinder with a small cylinder of its own as a pin, side by side
// in one mesh.
func solidRod(r, h float64, n int) *mesh.Mesh {
	m := turned([][2]float64{{0.001, 0}, {r, 0}, {r, h}, {0.001, h}}, n)
	pin := turned([][2]float64{{0.001, 0}, {1.2, 0}, {1.2, 3.6}, {0.001, 3.6}}, 20)
	g := geom.Rotation(geom.Line{Dir: geom.Vec{X: 1}}, math.Pi/2) // z to -y
	g.T = geom.Vec{Y: -r + 0.4, Z: 14}
	pin = pin.Moved(g)
	for _, t := range pin.T {
		o := int32(len(m.V))
		m.T = append(m.T, [3]int32{t[0] + o, t[1] + o, t[2] + o})
	}
	m.V = append(m.V, pin.V...)
	return m
}

// meshes are bodies for the sample's parts, made up for their looks.
func meshes() []*mesh.Mesh {
	return []*mesh.Mesh{
		turned([][2]float64{{17, 0}, {20, 0}, {18, 62}, {15, 62}, {15, 40}, {17, 38}}, 72), // tower
		solidRod(6, 44, 40),
		turned([][2]float64{{6.3, 16}, {14.6, 16}, {14.6, 26}, {6.3, 26}}, 56), // gallery
		turned([][2]float64{{6.3, 28}, {14.6, 28}, {14.6, 38}, {6.3, 38}}, 56), // door ring
		turned([][2]float64{{0.001, 63}, {18, 63}, {12, 74}, {3, 84}, {0.001, 84}}, 48),
	}
}

func report(t *testing.T, spoil func(*mechanism.Mechanism, *motion.Result, *verdict.Evidence), ms []*mesh.Mesh) []byte {
	t.Helper()
	m, r, v := proof(spoil)
	var b bytes.Buffer
	in := export.ReportInput{Mechanism: m, Result: r, Document: export.NewDocument(m, r, v, info()), Meshes: ms}
	if err := export.WriteReport(&b, in); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestReportSample(t *testing.T) {
	b := report(t, nil, meshes())
	t.Logf("%d bytes", len(b))
	if *reportTo != "" {
		if err := os.WriteFile(*reportTo, b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
