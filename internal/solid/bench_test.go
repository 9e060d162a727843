package solid

import (
	"math"
	"testing"

	"feint/internal/mechanism"
)

func bench(b *testing.B, s *mechanism.Shape) {
	b.Helper()
	n := 0
	for b.Loop() {
		m, err := Build(s, Options{})
		if err != nil {
			b.Fatal(err)
		}
		n = len(m.T)
	}
	b.ReportMetric(float64(n), "triangles")
}

func BenchmarkSleeve(b *testing.B) { bench(b, sleeve()) }
func BenchmarkRod(b *testing.B)    { bench(b, rod()) }
func BenchmarkBox(b *testing.B)    { bench(b, box()) }
func BenchmarkScrew(b *testing.B)  { bench(b, screw()) }

func BenchmarkThread(b *testing.B) {
	bench(b, op(mechanism.Join, leaf(mechanism.Cylinder{R: 5, H: 30}),
		leaf(mechanism.Thread{Root: 5, Crest: 6, RootWidth: 1.6, CrestWidth: 0.4, H: 30, Lead: 3, Starts: 1})))
}

func BenchmarkLettering(b *testing.B) {
	bench(b, op(mechanism.Join, leaf(mechanism.Cylinder{R: 18, H: 20}),
		at(0, 0, 10, leaf(mechanism.Text{On: mechanism.Shaft, R: 18, Words: "HARBOUR GATE 1871", Size: 5, Height: 0.4, Stroke: 0.7}))))
}

// 400 marks round a dial.
func BenchmarkMarks(b *testing.B) {
	args := []*mechanism.Shape{leaf(mechanism.Cylinder{R: 40, H: 20})}
	for i := range 400 {
		u := 2 * math.Pi * float64(i) / 400
		args = append(args, leaf(mechanism.Stroke{On: mechanism.Shaft, R: 40, Width: 0.3, Height: 0.3, Path: path(u, 4, u, 8+4*float64(i%5))}))
	}
	bench(b, op(mechanism.Cut, args...))
}
