package mesh

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"feint/internal/geom"
)

// loft joins equal sections, each a polygon, into one closed tube; the ends
// are fans, or joined to each other where ring is set.
func loft(sections [][]geom.Vec, ring bool) *Mesh {
	m := &Mesh{}
	n, k := len(sections[0]), len(sections)
	for _, s := range sections {
		m.V = append(m.V, s...)
	}
	last := k - 1
	if ring {
		last = k
	}
	for i := range last {
		for j := range n {
			a, b := int32(i*n+j), int32(i*n+(j+1)%n)
			c, d := int32((i+1)%k*n+j), int32((i+1)%k*n+(j+1)%n)
			m.T = append(m.T, [3]int32{a, b, d}, [3]int32{a, d, c})
		}
	}
	if !ring {
		end := int32((k - 1) * n)
		for j := 1; j+1 < n; j++ {
			m.T = append(m.T, [3]int32{0, int32(j + 1), int32(j)}, [3]int32{end, end + int32(j), end + int32(j+1)})
		}
	}
	if m.Volume() < 0 {
		for i := range m.T {
			m.T[i][1], m.T[i][2] = m.T[i][2], m.T[i][1]
		}
	}
	return m
}

// prism stands on the polygon poly from z0 to z1.
func prism(poly [][2]float64, z0, z1 float64) *Mesh {
	var a, b []geom.Vec
	for _, p := range poly {
		a = append(a, geom.Vec{X: p[0], Y: p[1], Z: z0})
		b = append(b, geom.Vec{X: p[0], Y: p[1], Z: z1})
	}
	return loft([][]geom.Vec{a, b}, false)
}

func block(x0, y0, z0, x1, y1, z1 float64) *Mesh {
	return prism([][2]float64{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}, z0, z1)
}

// flats is the number of flats of a circle whose chords stray by tol to either
// side when the polygon has the circle's area.
func flats(r, tol float64) int {
	n := int(math.Ceil(math.Pi / math.Acos(1-2*tol/r)))
	return (n + 11) / 12 * 12
}

// polygon is a regular n-gon with the area of the circle of radius r.
func polygon(r float64, n int) [][2]float64 {
	t := 2 * math.Pi / float64(n)
	r *= math.Sqrt(t / math.Sin(t))
	var p [][2]float64
	for i := range n {
		s, c := math.Sincos(float64(i) * t)
		p = append(p, [2]float64{r * c, r * s})
	}
	return p
}

func rod(r, z0, z1 float64) *Mesh { return prism(polygon(r, flats(r, 0.004)), z0, z1) }

func axisX() geom.Line { return geom.Line{Dir: geom.Vec{X: 1}} }
func axisY() geom.Line { return geom.Line{Dir: geom.Vec{Y: 1}} }
func axisZ() geom.Line { return geom.Line{Dir: geom.Vec{Z: 1}} }

func any1(in []bool) bool {
	for _, b := range in {
		if b {
			return true
		}
	}
	return false
}

func all1(in []bool) bool {
	for _, b := range in {
		if !b {
			return false
		}
	}
	return len(in) > 0
}

// firstOnly cuts all others from the first.
func firstOnly(in []bool) bool { return in[0] && !any1(in[1:]) }

// writeOFF writes m for programs of others.
func writeOFF(path string, m *Mesh) error {
	var b strings.Builder
	fmt.Fprintf(&b, "OFF\n%d %d 0\n", len(m.V), len(m.T))
	for _, v := range m.V {
		fmt.Fprintf(&b, "%.17g %.17g %.17g\n", v.X, v.Y, v.Z)
	}
	for _, t := range m.T {
		fmt.Fprintf(&b, "3 %d %d %d\n", t[0], t[1], t[2])
	}
	return os.WriteFile(path, []byte(b.String()), 0o644)
}

// sound fails the test unless m is closed, manifold, outward and free of
// self-intersection. It counts by its own short rules, not by Check.
func sound(t testing.TB, name string, m *Mesh) {
	t.Helper()
	edges := map[[2]int32]int{}
	for _, tr := range m.T {
		for k := range 3 {
			edges[[2]int32{tr[k], tr[(k+1)%3]}]++
		}
	}
	for e, n := range edges {
		if n != 1 || edges[[2]int32{e[1], e[0]}] != 1 {
			t.Fatalf("%s: edge %v is not shared by exactly two triangles", name, e)
		}
	}
	if x := m.SelfIntersections(3); len(x) > 0 {
		t.Fatalf("%s: triangles cross: %v at %v", name, x, m.middle(x[0][0]))
	}
	if len(m.T) > 0 && m.Volume() <= 0 {
		t.Fatalf("%s: volume %g", name, m.Volume())
	}
}

func near(t testing.TB, name string, got, want, tol float64) {
	t.Helper()
	if math.Abs(got-want) > tol*math.Abs(want) {
		t.Errorf("%s: got %.9g, want %.9g", name, got, want)
	}
}
