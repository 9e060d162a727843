package yield

import (
	"math/rand/v2"
	"testing"

	"feint/internal/printed"
)

// BenchmarkJudge times the judging of one print of a box of 21 pairs, what it
// needs being learnt: drawing, growth and comparing, no engine.
func BenchmarkJudge(b *testing.B) {
	gaps := make([]float64, 21)
	r := rand.New(rand.NewPCG(1, 1))
	for i := range gaps {
		gaps[i] = 0.2 + 0.2*r.Float64()
	}
	in := newCorridor(gaps...).input(b, printed.Amount{Mean: 0.06, Prints: 0.03, Features: 0.02}, 500)
	in.Frozen = true
	bench, err := NewBench(b.Context(), in, Learnt{})
	if err != nil {
		b.Fatal(err)
	}
	if _, err := bench.Prints(nil); err != nil {
		b.Fatal(err)
	}
	for i := 0; b.Loop(); i++ {
		if _, err := bench.judge(bench.Draw(i%500), false); err != nil {
			b.Fatal(err)
		}
	}
}
