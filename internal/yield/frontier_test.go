package yield

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// boxes is a monotone question by brute force: yes where the needs lie below one
// of the corners, by a blur less surely.
type boxes struct {
	corners [][]float64
	blur    float64
	asked   int
}

func (b *boxes) at(needs []float64, slack float64) bool {
	b.asked++
	for _, c := range b.corners {
		ok := true
		for i := range c {
			ok = ok && needs[i] <= c[i]+slack
		}
		if ok {
			return true
		}
	}
	return false
}

func (b *boxes) Yes(needs []float64) (bool, error)      { return b.at(needs, -b.blur), nil }
func (b *boxes) No(needs []float64) (bool, error)       { return !b.at(needs, b.blur), nil }
func (b *boxes) Sharpen([]float64) (bool, error)        { return false, nil }
func within4(x float64) *rapid.Generator[float64]       { return rapid.Float64Range(-x, x) }
func list(n int, x float64) *rapid.Generator[[]float64] { return rapid.SliceOfN(within4(x), n, n) }

// Whatever has been learnt, an answer is never against the question itself, and
// needs farther from the border than grid and blur are always answered. The
// question asked directly is the independent check.
func TestLearningNeverLies(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 4).Draw(t, "pairs")
		o := &boxes{corners: rapid.SliceOfN(list(n, 0.3), 1, 4).Draw(t, "corners"), blur: rapid.SampledFrom([]float64{0, 0.01}).Draw(t, "blur")}
		l := &learner{ctx: t.Context(), f: &Frontier{}, o: o, fine: finest, steps: grids(finest), tried: map[string]bool{}, frozen: rapid.Bool().Draw(t, "frozen")}
		for _, needs := range rapid.SliceOfN(list(n, 0.5), 1, 30).Draw(t, "prints") {
			a, err := l.ask(needs)
			if err != nil {
				t.Fatal(err)
			}
			switch a {
			case Yes:
				if !o.at(needs, 1e-9) {
					t.Fatalf("%v: yes, but no", needs)
				}
			case No:
				if o.at(needs, -1e-9) {
					t.Fatalf("%v: no, but yes", needs)
				}
			case Undecided:
				// asked on a grid, from inside the blur
				if slack := o.blur + 1.1*finest; o.at(needs, -slack) || !o.at(needs, slack) {
					t.Fatalf("%v: undecided far from the border", needs)
				}
			}
		}
	})
}

// Learning pays: ten thousand needs round three corners are answered with a few
// hundred questions.
func TestLearningIsCheap(t *testing.T) {
	o := &boxes{corners: [][]float64{{0.2, 0.1, 0.3}, {0.1, 0.25, 0.2}, {0.3, 0.3, -0.1}}}
	l := &learner{ctx: t.Context(), f: &Frontier{}, o: o, fine: finest, steps: grids(finest), tried: map[string]bool{}, frozen: true}
	for i := range 10000 {
		x := float64(i)
		needs := []float64{0.2 * math.Sin(x), 0.2 * math.Sin(1.7*x), 0.2 * math.Sin(2.3*x)}
		if _, err := l.ask(needs); err != nil {
			t.Fatal(err)
		}
	}
	if o.asked > 2000 {
		t.Errorf("%d questions", o.asked)
	}
}
