package pipeline

import (
	"testing"
	"time"

	"feint/internal/cache"
	"feint/internal/printed"
)

// BenchmarkYield times 10 000 virtual prints once the design is learnt, and tells
// how long the learning took: of two examples, by an unknown printer and by one that
// is known to 0.03 mm.
func BenchmarkYield(b *testing.B) {
	known := &printed.Model{Name: "known", Source: "invented", Layer: 0.2, FirstLayer: 0.2, FlareHeight: 0.4}
	known.Amounts[printed.InPlane] = printed.Amount{Mean: 0.04, Prints: 0.03, Features: 0.01}
	known.Amounts[printed.Height] = printed.Amount{Mean: 0.02, Prints: 0.03, Features: 0.01}
	known.Amounts[printed.Bore] = printed.Amount{Mean: 0.03, Prints: 0.01}
	for _, c := range []struct {
		name, path string
		model      *printed.Model
	}{
		{"latch-rod/unknown", "../../examples/latch-rod/latch-rod.star", printed.Unknown()},
		{"lighthouse/known", "../../examples/lighthouse/lighthouse.star", known},
		{"lighthouse/unknown", "../../examples/lighthouse/lighthouse.star", printed.Unknown()},
	} {
		b.Run(c.name, func(b *testing.B) { benchYield(b, c.path, c.model) })
	}
}

func benchYield(b *testing.B, path string, model *printed.Model) {
	store, err := cache.Open(b.TempDir(), 0)
	if err != nil {
		b.Fatal(err)
	}
	o, y := Options{Cache: store}, YieldOptions{Model: model, Count: 10, Seed: 2}
	begun := time.Now()
	if _, err := Yield(b.Context(), path, o, y); err != nil {
		b.Fatal(err)
	}
	learning := time.Since(begun)
	y.Count = 10_000
	undecided := 0
	for b.Loop() {
		out, err := Yield(b.Context(), path, o, y)
		if err != nil {
			b.Fatal(err)
		}
		undecided = out.Report.Unknown
	}
	b.ReportMetric(float64(y.Count)*float64(b.N)/b.Elapsed().Seconds(), "prints/s")
	b.ReportMetric(learning.Seconds(), "learning-s")
	b.ReportMetric(float64(undecided), "undecided")
}
