package calibrate

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"feint/internal/printed"

	"gonum.org/v1/gonum/stat/distuv"
)

// Estimate is an unknown with its standard deviation and the interval that holds
// it with a probability of 95 %.
type Estimate struct {
	Name           string
	Unit           string
	Prior, PriorSd float64
	Value, Sd      float64
	Lo, Hi         float64
}

// Outlier is a reading that looks like a slip.
type Outlier struct {
	Index   int     // of the readings
	Name    string  //
	Chance  float64 // that it is one
	Message string
}

// Result is what the readings tell.
type Result struct {
	Model     *printed.Model // the prior with what was learnt
	Estimates []Estimate
	Outliers  []Outlier
	Prints    int
	// ScorePrior and Score are the mean logarithms of the density with which the
	// prior, and the fit to all other readings, foretell each reading.
	ScorePrior, Score float64
	// Kept: the readings foretold each other worse than the prior does, so the
	// model is the prior's, unchanged.
	Kept bool
}

// The chance that a reading is a slip, and how far off slips are, mm.
const (
	slipChance = 0.02
	slipSd     = 0.5
)

// level is that of the intervals.
const level = 0.95

// FitReadings finds the growth from the readings. prior is what is held of the printer
// before; nil takes the unknown printer. It is Bayesian: normal priors on the
// unknowns, the readings normal or, by feel, an ordered choice (P. McCullagh,
// "Regression models for ordinal data", J. Royal Statist. Soc. B 42 (1980) 109),
// each a slip with chance 0.02; the posterior for given spreads by Laplace's
// approximation, and summed over a grid of the spreads between prints and between
// features (as H. Rue, S. Martino, N. Chopin, "Approximate Bayesian inference for
// latent Gaussian models", J. Royal Statist. Soc. B 71 (2009) 319).
func FitReadings(prior *printed.Model, readings []Reading) (*Result, error) {
	if prior == nil {
		prior = printed.Unknown()
	}
	if err := prior.Check(); err != nil {
		return nil, fmt.Errorf("the prior: %w", err)
	}
	if len(readings) == 0 {
		return nil, errors.New("there are no readings")
	}
	for i := range readings {
		if err := readings[i].Check(); err != nil {
			return nil, fmt.Errorf("reading %d: %w", i+1, err)
		}
	}
	f := newFitter(prior, readings)
	post := f.posterior(-1)
	r := &Result{Prints: f.prints}
	f.without(post).judge(r, f.priorOnly())
	if r.Kept = r.Score < r.ScorePrior; r.Kept {
		post = f.priorOnly()
	}
	f.estimates(r, post)
	r.Model = f.model(prior, post, r.Kept)
	return r, nil
}

// fitter holds the readings as rows.
type fitter struct {
	readings []Reading
	base     []float64
	coef     [][]float64
	n        int // unknowns and prints
	prints   int
	priorM   []float64
	priorSd  []float64
	spreads  []spread
	start    []float64 // where to begin climbing
}

// leastWeight is the weight below which a spread is left out where one reading is
// left out: all such together have a few percent.
const leastWeight = 0.01

// without is the fitter for leaving one reading out of many: it knows where the
// peak is and which spreads count.
func (f *fitter) without(p *posterior) *fitter {
	g := *f
	g.start, g.spreads = p.mean, nil
	for i, s := range f.spreads {
		if p.spreads[i].weight >= leastWeight {
			g.spreads = append(g.spreads, s)
		}
	}
	return &g
}

// spread is a point of the grid of spreads.
type spread struct{ prints, features, weight float64 }

func newFitter(prior *printed.Model, readings []Reading) *fitter {
	f := &fitter{readings: readings}
	var names []string
	of := make([]int, len(readings))
	for i := range readings {
		k := slices.Index(names, readings[i].Print)
		if k < 0 {
			k = len(names)
			names = append(names, readings[i].Print)
		}
		of[i] = k
	}
	f.prints = len(names)
	f.n = unknowns + f.prints
	for i := range readings {
		b, c := readings[i].row()
		row := make([]float64, f.n)
		copy(row, c[:])
		row[unknowns+of[i]] = c[uInPlane]
		f.base, f.coef = append(f.base, b), append(f.coef, row)
	}
	f.setPrior(prior)
	f.start = make([]float64, f.n)
	copy(f.start, f.priorM[:unknowns])
	return f
}

// leastSd keeps a prior from claiming to know an unknown exactly, mm.
const leastSd = 1e-4

func (f *fitter) setPrior(p *printed.Model) {
	f.priorM, f.priorSd = make([]float64, f.n), make([]float64, f.n)
	set := func(i int, a printed.Amount) { f.priorM[i], f.priorSd[i] = a.Mean, max(leastSd, a.Prints) }
	set(uInPlane, p.Amounts[printed.InPlane])
	set(uBore, p.Amounts[printed.Bore])
	set(uBoreSmall, p.Amounts[printed.BoreSmall])
	set(uPegSmall, p.Amounts[printed.PegSmall])
	set(uHeight, p.Amounts[printed.Height])
	set(uShrink, p.ShrinkOf(""))
	// a fit sticks at no gap, turns to sliding near 0.08 mm a side of room that is
	// left and rattles from about 0.22 (common practice: drawn 0.2 to 0.3 slides and
	// 0.3 to 0.5 is loose on printers that grow by some 0.05 to 0.1 a surface)
	for i, t := range []printed.Amount{{Mean: 0, Prints: 0.03}, {Mean: 0.08, Prints: 0.04}, {Mean: 0.22, Prints: 0.07}} {
		set(uStuck+i, t)
	}
	// spreads are log-normal round those of the prior; between the prints of one
	// printer it is that of repeated prints (0.05 mm for the whole, PMC7141211)
	features := max(0.005, p.Amounts[printed.InPlane].Features)
	prints := min(max(0.005, p.Amounts[printed.InPlane].Prints), repeatSd)
	for k := unknowns; k < f.n; k++ {
		f.priorSd[k] = prints
	}
	total := 0.0
	for _, a := range spreadSteps() {
		for _, b := range spreadSteps() {
			s := spread{prints * math.Exp(a*spreadLog), features * math.Exp(b*spreadLog), math.Exp(-(a*a + b*b) / 2)}
			total += s.weight
			f.spreads = append(f.spreads, s)
		}
	}
	for i := range f.spreads {
		f.spreads[i].weight /= total
	}
}

const (
	repeatSd  = 0.05
	spreadLog = 0.7 // a factor of two up or down
)

func spreadSteps() []float64 { return []float64{-2, -1.25, -0.5, 0, 0.5, 1.25, 2} }

// posterior is the mixture over the spreads, reading skip (-1 for none) left out.
type posterior struct {
	mean, sd         []float64 // by unknown
	cov              [][]float64
	prints, features Estimate // of the spreads
	spreads          []spread // with their posterior weights
}

func (f *fitter) posterior(skip int) *posterior {
	parts := make([]laplace, len(f.spreads))
	best := math.Inf(-1)
	for i, s := range f.spreads {
		parts[i] = f.laplace(s, skip)
		parts[i].evidence += math.Log(s.weight)
		best = max(best, parts[i].evidence)
	}
	p := &posterior{spreads: slices.Clone(f.spreads)}
	total := 0.0
	for i := range parts {
		p.spreads[i].weight = math.Exp(parts[i].evidence - best)
		total += p.spreads[i].weight
	}
	p.mean, p.cov = make([]float64, f.n), square(f.n)
	for i := range parts {
		w := p.spreads[i].weight / total
		p.spreads[i].weight = w
		for k := range p.mean {
			p.mean[k] += w * parts[i].at[k]
		}
	}
	for i := range parts {
		w := p.spreads[i].weight
		for a := range p.mean {
			for b := range p.mean {
				p.cov[a][b] += w * (parts[i].cov[a][b] + (parts[i].at[a]-p.mean[a])*(parts[i].at[b]-p.mean[b]))
			}
		}
	}
	p.finish()
	return p
}

// finish fills in standard deviations and the estimates of the spreads.
func (p *posterior) finish() {
	p.sd = make([]float64, len(p.mean))
	for k := range p.sd {
		p.sd[k] = math.Sqrt(max(0, p.cov[k][k]))
	}
	p.prints = overGrid(p.spreads, func(s spread) float64 { return s.prints })
	p.features = overGrid(p.spreads, func(s spread) float64 { return s.features })
}

// overGrid is the mean, the standard deviation and the 95 % interval of one
// spread over the grid.
func overGrid(ss []spread, of func(spread) float64) Estimate {
	var e Estimate
	for _, s := range ss {
		e.Value += s.weight * of(s)
	}
	for _, s := range ss {
		e.Sd += s.weight * (of(s) - e.Value) * (of(s) - e.Value)
	}
	e.Sd = math.Sqrt(e.Sd)
	sorted := slices.Clone(ss)
	slices.SortStableFunc(sorted, func(a, b spread) int {
		switch {
		case of(a) < of(b):
			return -1
		case of(a) > of(b):
			return 1
		}
		return 0
	})
	at, lo := 0.0, false
	for _, s := range sorted {
		at += s.weight
		if !lo && at >= (1-level)/2 {
			e.Lo, lo = of(s), true
		}
		if e.Hi = of(s); at >= (1+level)/2 {
			break
		}
	}
	return e
}

// priorOnly is the prior in the shape of a posterior.
func (f *fitter) priorOnly() *posterior {
	p := &posterior{mean: slices.Clone(f.priorM), cov: square(f.n), spreads: slices.Clone(f.spreads)}
	for k := range f.priorSd {
		p.cov[k][k] = f.priorSd[k] * f.priorSd[k]
	}
	p.finish()
	return p
}

func square(n int) [][]float64 {
	m := make([][]float64, n)
	for i := range m {
		m[i] = make([]float64, n)
	}
	return m
}

// z is the normal quantile of the intervals.
func z() float64 { return distuv.UnitNormal.Quantile(0.5 + level/2) }
