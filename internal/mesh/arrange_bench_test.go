package mesh

import (
	"math"
	"testing"

	"feint/internal/geom"
)

// screwParts is a rod of 10 mm with a helical groove of 8 mm lead.
func screwParts() []*Mesh {
	n := flats(5, 0.004) * 4
	var sections [][]geom.Vec
	for i := -n; i <= 6*n; i++ {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		z := 8 * float64(i) / float64(n)
		p := func(r, z float64) geom.Vec { return geom.Vec{X: r * c, Y: r * s, Z: z} }
		sections = append(sections, []geom.Vec{p(3.6, z-0.8), p(6, z-0.8), p(6, z+0.8), p(3.6, z+0.8)})
	}
	return []*Mesh{rod(5, 0, 40), loft(sections, false)}
}

// markParts is a rod of 20 mm with n raised marks around it.
func markParts(n int) []*Mesh {
	solids := []*Mesh{rod(10, 0, 30)}
	for i := range n {
		z := 1 + 27*float64(i%20)/20
		a := 2 * math.Pi * float64(i/20) / math.Ceil(float64(n)/20)
		m := block(9.0, -0.4, z, 10.4, 0.4, z+0.9)
		solids = append(solids, m.Moved(geom.Rotation(axisZ(), a+0.01)))
	}
	return solids
}

// simpleParts is a chamfered box with pockets.
func simpleParts() []*Mesh {
	oct := func(a, b float64) [][2]float64 {
		return [][2]float64{{-a, -b + 1}, {-a + 1, -b}, {a - 1, -b}, {a, -b + 1}, {a, b - 1}, {a - 1, b}, {-a + 1, b}, {-a, b - 1}}
	}
	half := math.Pi / 2
	lift := geom.Translation(geom.Vec{Z: 10})
	s := []*Mesh{
		prism(oct(30, 20), 0, 20),
		prism(oct(30, 10), -20, 20).Moved(geom.Rotation(axisX(), half).Then(lift)),
		prism(oct(10, 20), -30, 30).Moved(geom.Rotation(axisY(), half).Then(lift)),
		block(-15, -10, 8, 15, 10, 25),
	}
	for _, x := range []float64{-24, 24} {
		for _, y := range []float64{-14, 14} {
			s = append(s, rod(3, 17, 20).Moved(geom.Translation(geom.Vec{X: x, Y: y})))
		}
	}
	return s
}

func simpleInside(in []bool) bool { return in[0] && in[1] && in[2] && !any1(in[3:]) }

func benchmark(b *testing.B, solids []*Mesh, inside func([]bool) bool) {
	var m *Mesh
	for b.Loop() {
		var err error
		if m, err = Arrange(solids, inside, Options{}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(len(m.T)), "triangles")
}

func BenchmarkArrangeSimple(b *testing.B) { benchmark(b, simpleParts(), simpleInside) }
func BenchmarkArrangeScrew(b *testing.B)  { benchmark(b, screwParts(), firstOnly) }
func BenchmarkArrangeMarks(b *testing.B)  { benchmark(b, markParts(400), any1) }
