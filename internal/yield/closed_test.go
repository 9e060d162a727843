package yield

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"testing"

	"feint/internal/mechanism"
	"feint/internal/printed"
)

// phi is the normal distribution function by the error function of the standard
// library (closed form; package printed draws by gonum's quantiles instead).
func phi(x float64) float64 { return 0.5 * math.Erfc(-x/math.Sqrt2) }

// within fails unless the share p of n lies between those that are sure and those
// and the undecided together, give or take z standard deviations.
func within(t *testing.T, what string, s Share, undecided int, p float64) {
	t.Helper()
	const z = 4.5 // a false alarm in 150 000
	n := float64(s.Of)
	slack := z*math.Sqrt(p*(1-p)*n) + 0.5
	if p*n < float64(s.Count)-slack || p*n > float64(s.Count+undecided)+slack {
		t.Errorf("%s: %d and perhaps %d more of %d, want %.4f +- %.4f", what, s.Count, undecided, s.Of, p, slack/n)
	}
	// needs are asked in steps of a thirtieth of the spread or 0.002 mm and blocked
	// cells keep a margin of 0.002 mm: a gap is known to some twentieth of the spread
	if undecided > s.Of/30 {
		t.Errorf("%s: %d of %d undecided", what, undecided, s.Of)
	}
}

// One gap: the copy works where the sum of two equal normal growths is at most
// the gap. With the print's part common, the variance of the sum is
// (2 prints)^2 + 2 features^2. Closed form.
func TestOneGapAgainstErrorFunction(t *testing.T) {
	const n = 20000
	for _, c := range []struct{ gap, mean, prints, features float64 }{
		{0.25, 0.08, 0.05, 0.02},
		{0.20, 0.10, 0.03, 0.04},
		{0.10, 0.06, 0.0, 0.05},
		{0.30, 0.08, 0.10, 0.0},
	} {
		box := newCorridor(c.gap)
		r, _ := run(t, box.input(t, printed.Amount{Mean: c.mean, Prints: c.prints, Features: c.features}, n))
		sd := math.Sqrt(4*c.prints*c.prints + 2*c.features*c.features)
		want := phi((c.gap - 2*c.mean) / sd)
		within(t, "works", r.Works, r.Unknown, want)
		if r.Works.Lo > want+0.01 || r.Works.Hi < want-0.01 {
			t.Errorf("interval %.4f..%.4f misses %.4f", r.Works.Lo, r.Works.Hi, want)
		}
	}
}

// Several independent gaps in a row: the product. Closed form.
func TestIndependentGapsMultiply(t *testing.T) {
	const n = 20000
	gaps := []float64{0.20, 0.24, 0.30}
	in := newCorridor(gaps...).input(t, printed.Amount{Mean: 0.08, Features: 0.03}, n)
	r, _ := run(t, in)
	want := 1.0
	for _, g := range gaps {
		want *= phi((g - 0.16) / (0.03 * math.Sqrt2))
	}
	within(t, "works", r.Works, r.Unknown, want)
	// the narrowest gap is to blame for most
	if len(r.BindBy) == 0 || r.BindBy[0].Pair != 0 {
		t.Errorf("causes %+v, want pair 0 first", r.BindBy)
	}
	// and where it alone is, the mean change is the mean excess of a normal:
	// E[X-g | X>g] = sd (f(a)/(1-F(a)) - a), a = (g-mean)/sd (Mills)
	sd := 0.03 * math.Sqrt2
	a := (0.20 - 0.16) / sd
	excess := sd * (math.Exp(-a*a/2)/math.Sqrt(2*math.Pi)/(1-phi(a)) - a)
	if d := math.Abs(r.BindBy[0].Change - excess); d > 0.004 { // the change is told to the grid of needs
		t.Errorf("mean change %.4f, want %.4f", r.BindBy[0].Change, excess)
	}
}

// The same box by plain Monte Carlo: another generator (ChaCha8 with the
// standard library's normal numbers), every print asked of the engine by itself,
// nothing learnt. Second algorithm.
func TestAgainstPlainMonteCarlo(t *testing.T) {
	const n = 4000
	box := newCorridor(0.22, 0.26)
	box.m.Steps = append(box.m.Steps, mechanism.Region{Name: "gate", Bounds: []mechanism.Bound{{Travel: 0, Lo: 5, Hi: 6}}})
	// a second pair that opens a way round the gate when it is loose
	box.maps = append(box.maps, &strip{a: 1, b: 2, t: 1, hi: 16, bands: []band{{8, 1}, {16, 0.12}}})
	a := printed.Amount{Mean: 0.05, Prints: 0.03, Features: 0.02}
	r, b := run(t, box.input(t, a, n))
	j := box.judge(t)
	rng := rand.New(rand.NewChaCha8([32]byte{3}))
	works, binds := 0, 0
	for range n {
		common := rng.NormFloat64()
		needs := make([]float64, len(box.maps))
		for k := range needs {
			for range 2 {
				needs[k] += a.Mean + a.Prints*common + a.Features*rng.NormFloat64()
			}
		}
		opens, err := j.Way(needs, -1)
		if err != nil {
			t.Fatal(err)
		}
		around, err := j.Way(needs, 0)
		if err != nil {
			t.Fatal(err)
		}
		switch {
		case !opens:
			binds++
		case !around:
			works++
		}
	}
	compare := func(what string, k, m int) {
		p := float64(k+m) / (2 * n)
		if d := math.Abs(float64(k-m)) / n; d > 4.5*math.Sqrt(2*p*(1-p)/n)+float64(r.Unknown)/n {
			t.Errorf("%s: %d against %d of %d", what, k, m, n)
		}
	}
	compare("works", r.Works.Count, works)
	compare("binds", r.Binds.Count, binds)
	if r.Binds.Count == 0 || r.Works.Count == 0 {
		t.Errorf("nothing to compare: %+v", r)
	}
	if b.Asked() > n {
		t.Errorf("asked the engine %d times for %d prints", b.Asked(), n)
	}
}

func TestSameSeedSameBytes(t *testing.T) {
	var first []byte
	for range 2 {
		r, _ := run(t, newCorridor(0.2, 0.25).input(t, printed.Amount{Mean: 0.08, Prints: 0.03, Features: 0.02}, 500))
		raw, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = raw
		} else if string(first) != string(raw) {
			t.Errorf("%s\n%s", first, raw)
		}
	}
	in := newCorridor(0.2, 0.25).input(t, printed.Amount{Mean: 0.08, Prints: 0.03, Features: 0.02}, 500)
	in.Seed++
	r, _ := run(t, in)
	if raw, _ := json.Marshal(r); string(raw) == string(first) {
		t.Error("another seed, the same prints")
	}
}

// Wilson's interval: 95 % for 0 of 10 ends at z^2/(n+z^2) (closed form), and
// R. Newcombe, Statistics in Medicine 17 (1998) 857, table I, method 3: 81 of 263
// gives 0.2553 to 0.3662, 15 of 148 0.0624 to 0.1605.
func TestWilson(t *testing.T) {
	const z2 = 1.959963984540054 * 1.959963984540054
	for _, c := range []struct {
		k, n   int
		lo, hi float64
		tol    float64
	}{
		{0, 10, 0, z2 / (10 + z2), 1e-12},
		{81, 263, 0.2553, 0.3662, 5e-5},
		{15, 148, 0.0624, 0.1605, 5e-5},
	} {
		lo, hi := Wilson(c.k, c.n, 0.95)
		if math.Abs(lo-c.lo) > c.tol || math.Abs(hi-c.hi) > c.tol {
			t.Errorf("%d of %d: %.6f..%.6f, want %.4f..%.4f", c.k, c.n, lo, hi, c.lo, c.hi)
		}
	}
}

// A gate that is meant to be closed leaks where the sum of the growths is at most
// its gap, and binds where it is beyond that of the meant way. Closed form.
func TestLeakAgainstErrorFunction(t *testing.T) {
	const n = 20000
	r, _ := run(t, newGate(0.25, 0.06).input(t, printed.Amount{Mean: 0.07, Prints: 0.04, Features: 0.02}, n))
	sd := math.Sqrt(4*0.04*0.04 + 2*0.02*0.02)
	leaks, opens := phi((0.06-0.14)/sd), phi((0.25-0.14)/sd)
	within(t, "leaks", r.Leaks, r.Unknown, leaks)
	within(t, "binds", r.Binds, r.Unknown, 1-opens)
	within(t, "works", r.Works, r.Unknown, opens-leaks)
	if len(r.LeakBy) != 1 || r.LeakBy[0].Pair != 0 || r.LeakBy[0].Change >= 0 {
		t.Errorf("causes %+v, want pair 0 to be closed", r.LeakBy)
	}
}

// The ends of the bound: walls that may have a seam anywhere need at most so much
// more, and the shares whichever face decides lie on both sides of the likely one.
func TestSurelyBoundsTheLikely(t *testing.T) {
	in := newGate(0.25, 0.06).input(t, printed.Amount{Mean: 0.07, Prints: 0.04, Features: 0.02}, 3000)
	for s := range 2 {
		in.Contacts[0].Sides[s].Places[0].Seam = printed.SeamSomewhere
	}
	in.Model.Amounts[printed.Seam] = printed.Amount{Mean: 0.03}
	r, _ := run(t, in)
	if r.SurelyWorks.Count >= r.Works.Count || r.SurelyBinds.Count > r.Binds.Count || r.SurelyLeaks.Count > r.Leaks.Count {
		t.Errorf("sure %v %v %v against likely %v %v %v", r.SurelyWorks, r.SurelyBinds, r.SurelyLeaks, r.Works, r.Binds, r.Leaks)
	}
	sd := math.Sqrt(4*0.04*0.04 + 2*0.02*0.02)
	// seams of both walls, 0.03 mm each, at the tight end; none at the loose one
	want := phi((0.25-0.06-0.14)/sd) - phi((0.06-0.14)/sd)
	within(t, "surely works", r.SurelyWorks, r.Unknown, want)
}
