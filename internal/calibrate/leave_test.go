package calibrate

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"feint/internal/printed"

	"gonum.org/v1/gonum/mat"
)

// many are invented readings of prints whose walls grow by 0.07 mm, with a spread of
// 0.03 between prints and 0.02 between features, three of them slips.
func many(n, prints int) []Reading {
	r := rand.New(rand.NewPCG(3, 9))
	var grown []float64
	for range prints {
		grown = append(grown, 0.07+0.03*r.NormFloat64())
	}
	var out []Reading
	for i := range n {
		k := i % prints
		g := grown[k] + 0.02/math.Sqrt2*r.NormFloat64()
		m := Reading{Print: fmt.Sprint(k), Kind: Outside, Nominal: 12, Size: 12*(1-0.002) + 2*g + 0.01*r.NormFloat64(), Sd: 0.01}
		switch {
		case i%10 == 9:
			gap := 0.05 + 0.3*r.Float64()
			m = Reading{Print: fmt.Sprint(k), Kind: Fit, Gap: gap, Felt: Stuck}
			for felt, limit := range []float64{0, 0.08, 0.22} {
				if gap-2*g > limit {
					m.Felt = Feel(felt + 1)
				}
			}
		case i%(n/3) == 5:
			m.Size += 0.6
		}
		out = append(out, m)
	}
	return out
}

// Leaving one reading of many out by one Newton step foretells it as fitting all the
// others anew does (second algorithm of ours), slips among them.
func TestLeavingOneOut(t *testing.T) {
	f := newFitter(printed.Unknown(), many(90, 15))
	l := f.newLeaver(f.posterior(-1))
	slips := 0
	for i := range f.readings {
		got, slip := l.f.foretell(l.step(i), i)
		want, anew := l.f.foretell(l.f.around(l.f.posterior(i), i), i)
		if math.Abs(got-want) > 0.05+0.05*math.Abs(want) || math.Abs(slip-anew) > 0.05 {
			t.Errorf("reading %d: %.4f, a slip by %.4f; fitted anew %.4f and %.4f", i, got, slip, want, anew)
		}
		if slip > 0.5 {
			slips++
		}
	}
	if slips != 3 {
		t.Errorf("%d slips named, want 3", slips)
	}
}

// An arrow is solved, inverted and its determinant taken as gonum does with the same
// matrix written out in full (independent program).
func TestArrow(t *testing.T) {
	const prints = 5
	r := rand.New(rand.NewPCG(1, 2))
	m, full := newArrow(prints), mat.NewSymDense(unknowns+prints, nil)
	for k := range unknowns + prints {
		full.SetSym(k, k, 1+r.Float64())
		if k < unknowns {
			m.all[k][k] = full.At(k, k)
		} else {
			m.own[k-unknowns] = full.At(k, k)
		}
	}
	for range 60 {
		var d local
		for k := range d {
			d[k] = r.NormFloat64()
		}
		p, c := r.IntN(prints), r.Float64()
		for a := range unknowns {
			for b := range unknowns {
				m.all[a][b] += c * d[a] * d[b]
			}
			m.side[p][a] += c * d[a] * d[unknowns]
		}
		m.own[p] += c * d[unknowns] * d[unknowns]
		wide := mat.NewVecDense(unknowns+prints, nil)
		for k := range unknowns {
			wide.SetVec(k, d[k])
		}
		wide.SetVec(unknowns+p, d[unknowns])
		full.SymRankOne(full, c, wide)
	}
	var every []int
	for k := range unknowns {
		every = append(every, k)
	}
	s, ok := m.solve(every)
	var chol mat.Cholesky
	if !ok || !chol.Factorize(full) {
		t.Fatal("not positive definite")
	}
	var inv mat.SymDense
	if err := chol.InverseTo(&inv); err != nil {
		t.Fatal(err)
	}
	same := func(what string, got, want float64) {
		if math.Abs(got-want) > 1e-10*(1+math.Abs(want)) {
			t.Errorf("%s: %.12g, want %.12g", what, got, want)
		}
	}
	same("determinant", s.log, chol.LogDet())
	g := make([]float64, unknowns+prints)
	for k := range g {
		g[k] = r.NormFloat64()
	}
	var want mat.VecDense
	if err := chol.SolveVecTo(&want, mat.NewVecDense(len(g), g)); err != nil {
		t.Fatal(err)
	}
	for k, x := range s.times(g) {
		same(fmt.Sprint("solution ", k), x, want.AtVec(k))
	}
	o := s.inverse()
	for a := range unknowns {
		for b := range unknowns {
			same(fmt.Sprint("inverse ", a, b), o.all[a][b], inv.At(a, b))
		}
	}
	for p := range prints {
		same(fmt.Sprint("own ", p), o.own[p], inv.At(unknowns+p, unknowns+p))
		for a := range unknowns {
			same(fmt.Sprint("side ", p, a), o.side[p][a], inv.At(a, unknowns+p))
		}
	}
}

// Of thousands of readings the spreads are found that they were drawn with, and an
// interval that is not a single point of a grid.
func TestManyReadings(t *testing.T) {
	res, err := FitReadings(nil, many(3000, 300))
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range res.Estimates {
		want, off := 0.0, 0.0
		switch e.Name {
		case "growth in plane":
			want, off = 0.07, 0.02 // shrink, which one size does not tell apart, takes its share
		case "spread between prints":
			want, off = 0.03, 0.005
		case "spread between features":
			want, off = 0.02, 0.002
		default:
			continue
		}
		if math.Abs(e.Value-want) > off || !(e.Lo < e.Hi) {
			t.Errorf("%s: %.4f (%.4f to %.4f), want %.4f +- %.4f", e.Name, e.Value, e.Lo, e.Hi, want, off)
		}
	}
	for _, e := range res.Estimates[unknowns:] { // of the spreads, 0.03 and 0.02
		truth := map[string]float64{"spread between prints": 0.03, "spread between features": 0.02}[e.Name]
		if truth < e.Lo-e.Sd || truth > e.Hi+e.Sd || e.Sd == 0 {
			t.Errorf("%s: %.5f +- %.5f, %.5f to %.5f; drawn with %.5f", e.Name, e.Value, e.Sd, e.Lo, e.Hi, truth)
		}
	}
	found := 0
	for _, o := range res.Outliers {
		if o.Index%1000 == 5 {
			found++
		}
	}
	if found != 3 || len(res.Outliers) > 15 {
		t.Errorf("of 3 slips %d are named, and %d that are none", found, len(res.Outliers)-found)
	}
}
