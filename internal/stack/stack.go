package stack

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Shape is how a dimension is spread between its limits.
type Shape uint8

// The shapes.
const (
	Normal   Shape = iota // the tolerance is three standard deviations
	Uniform               // all sizes within the tolerance alike
	Triangle              // most likely in the middle, never outside
)

func (s Shape) String() string { return [...]string{"normal", "uniform", "triangle"}[s] }

// Dim is one dimension of a chain, mm.
type Dim struct {
	Name    string
	Nominal float64 // with the sign with which it enters the sum
	Plus    float64 // how much larger it may be, not negative
	Minus   float64 // how much smaller it may be, not negative
	Shape   Shape
}

// Chain is a signed sum of dimensions with the limits that it must keep;
// infinities where there is none.
type Chain struct {
	Name   string
	Dims   []Dim
	Lo, Hi float64
}

// Range is an interval, mm.
type Range struct{ Lo, Hi float64 }

// sigmas is how many standard deviations the tolerance of a normal dimension is:
// the convention of the trade for a capable process (three a side).
const sigmas = 3

// middle is the middle of the tolerance of a dimension as it enters the sum, and
// half its width. Where the dimension counts negative, larger is lower.
func (d *Dim) middle() (mid, half float64) {
	s := 1.0
	if d.Nominal < 0 {
		s = -1
	}
	return d.Nominal + s*(d.Plus-d.Minus)/2, (d.Plus + d.Minus) / 2
}

// sd is the standard deviation: half/3 for the normal, half/sqrt 3 for the
// uniform and half/sqrt 6 for the triangular distribution.
func (d *Dim) sd() float64 {
	_, half := d.middle()
	switch d.Shape {
	case Uniform:
		return half / math.Sqrt(3)
	case Triangle:
		return half / math.Sqrt(6)
	default:
		return half / sigmas
	}
}

// Check tells what is wrong with a chain.
func (c *Chain) Check() error {
	if len(c.Dims) == 0 {
		return fmt.Errorf("chain %q has no dimensions", c.Name)
	}
	for i := range c.Dims {
		d := &c.Dims[i]
		if math.IsNaN(d.Nominal) || math.IsInf(d.Nominal, 0) {
			return fmt.Errorf("chain %q: %s is no length", c.Name, d.label(i))
		}
		if !(d.Plus >= 0 && d.Minus >= 0) || math.IsInf(d.Plus+d.Minus, 0) {
			return fmt.Errorf("chain %q: %s: tolerances are given without a sign, +%g -%g is not", c.Name, d.label(i), d.Plus, d.Minus)
		}
	}
	if c.Lo > c.Hi {
		return fmt.Errorf("chain %q: its limits %g and %g leave nothing between them", c.Name, c.Lo, c.Hi)
	}
	return nil
}

func (d *Dim) label(i int) string {
	if d.Name != "" {
		return fmt.Sprintf("dimension %q", d.Name)
	}
	return fmt.Sprintf("dimension %d", i+1)
}

// Result is what a chain comes to.
type Result struct {
	Nominal float64 // the sum of the nominal dimensions, mm
	Middle  float64 // the sum of the middles of the tolerances
	Worst   Range   // every dimension at its worst
	Root    Range   // middle -+ the root of the sum of the squares of half the tolerances
	Sd      float64 // standard deviation of the sum
	Shares  []Share // most first
	Sample  Sample
	Within  Verdict // worst case against the limits
}

// Share is what one dimension contributes.
type Share struct {
	Dim      int
	Name     string
	Variance float64 // its share of the variance of the sum
	Worst    float64 // its share of the width of the worst case
}

// Sample is what a simulation gave.
type Sample struct {
	Count    int
	Mean, Sd float64
	Middle99 Range // between the 0.5 % and the 99.5 % quantile
	Outside  int   // of the limits
}

// Verdict is how the chain stands to its limits.
type Verdict uint8

// The verdicts.
const (
	Unasked   Verdict = iota // no limits are given
	Always                   // even at worst it keeps them
	Usually                  // the root of squares keeps them, the worst case does not
	Sometimes                // not even that
	Never                    // even at best it does not keep them
)

func (v Verdict) String() string {
	return [...]string{"no limits given", "kept even at worst", "kept by the root of squares, not at worst", "not always kept", "never kept"}[v]
}

// Solve adds the chain up, with count simulated sums of the seed.
func (c *Chain) Solve(count int, seed uint64) (Result, error) {
	if err := c.Check(); err != nil {
		return Result{}, err
	}
	var r Result
	worst, squares, variance := 0.0, 0.0, 0.0
	for i := range c.Dims {
		d := &c.Dims[i]
		mid, half := d.middle()
		r.Nominal += d.Nominal
		r.Middle += mid
		worst += half
		squares += half * half
		variance += d.sd() * d.sd()
	}
	root := math.Sqrt(squares)
	r.Worst = Range{r.Middle - worst, r.Middle + worst}
	r.Root = Range{r.Middle - root, r.Middle + root}
	r.Sd = math.Sqrt(variance)
	for i := range c.Dims {
		d := &c.Dims[i]
		_, half := d.middle()
		s := Share{Dim: i, Name: d.Name}
		if variance > 0 {
			s.Variance = d.sd() * d.sd() / variance
			s.Worst = half / worst
		}
		r.Shares = append(r.Shares, s)
	}
	slices.SortStableFunc(r.Shares, func(a, b Share) int {
		switch {
		case a.Variance > b.Variance:
			return -1
		case a.Variance < b.Variance:
			return 1
		}
		return 0
	})
	r.Within = c.verdict(&r)
	r.Sample = c.simulate(count, seed)
	return r, nil
}

func (c *Chain) verdict(r *Result) Verdict {
	within := func(x Range) bool { return x.Lo >= c.Lo-rounding && x.Hi <= c.Hi+rounding }
	switch {
	case math.IsInf(c.Lo, -1) && math.IsInf(c.Hi, 1):
		return Unasked
	case within(r.Worst):
		return Always
	case r.Worst.Hi < c.Lo || r.Worst.Lo > c.Hi:
		return Never
	case within(r.Root):
		return Usually
	}
	return Sometimes
}

// rounding is what sums of decimal lengths may be off, mm: some units in the
// last place of lengths up to a metre.
const rounding = 1e-9

func (c *Chain) simulate(count int, seed uint64) Sample {
	s := Sample{Count: count}
	if count == 0 {
		return s
	}
	rng := rand.New(rand.NewPCG(seed, 0))
	all := make([]float64, count)
	mean, m2 := 0.0, 0.0
	for n := range all {
		x := 0.0
		for i := range c.Dims {
			x += c.Dims[i].draw(rng)
		}
		all[n] = x
		d := x - mean // B. Welford, Technometrics 4 (1962) 419
		mean += d / float64(n+1)
		m2 += d * (x - mean)
		if x < c.Lo-rounding || x > c.Hi+rounding {
			s.Outside++
		}
	}
	s.Mean = mean
	if count > 1 {
		s.Sd = math.Sqrt(m2 / float64(count-1))
	}
	slices.Sort(all)
	at := func(p float64) float64 { return all[min(count-1, int(p*float64(count)))] }
	s.Middle99 = Range{at(0.005), at(0.995)}
	return s
}

// draw is one size of the dimension as it enters the sum, by the inverse of its
// distribution.
func (d *Dim) draw(r *rand.Rand) float64 {
	u := (float64(r.Uint64()>>11) + 0.5) / (1 << 53)
	mid, half := d.middle()
	switch d.Shape {
	case Uniform:
		return mid + half*(2*u-1)
	case Triangle:
		if u < 0.5 {
			return mid + half*(math.Sqrt(2*u)-1)
		}
		return mid + half*(1-math.Sqrt(2*(1-u)))
	default:
		return mid + half/sigmas*distuv.UnitNormal.Quantile(u)
	}
}
