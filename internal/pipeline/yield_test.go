package pipeline

import (
	"testing"

	"feint/internal/cache"
)

// BenchmarkYield times 10 000 virtual prints of latch-rod by an unknown printer
// once its maps are known.
func BenchmarkYield(b *testing.B) {
	store, err := cache.Open(b.TempDir(), 0)
	if err != nil {
		b.Fatal(err)
	}
	o, y := Options{Cache: store}, YieldOptions{Count: 10, Seed: 2}
	const path = "../../examples/latch-rod/latch-rod.star"
	if _, err := Yield(b.Context(), path, o, y); err != nil {
		b.Fatal(err)
	}
	y.Count = 10_000
	for b.Loop() {
		out, err := Yield(b.Context(), path, o, y)
		if err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(float64(out.Asked), "questions/op")
	}
	b.ReportMetric(float64(y.Count)*float64(b.N)/b.Elapsed().Seconds(), "prints/s")
}
