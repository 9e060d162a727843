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
	before, post := f.priorOnly(), f.posterior(-1)
	for range closerTimes {
		if !f.closer(post) {
			break
		}
		post = f.posterior(-1)
	}
	r := &Result{Prints: f.prints}
	f.newLeaver(post).judge(r, before)
	if r.Kept = r.Score < r.ScorePrior; r.Kept {
		post = before
	}
	f.estimates(r, post, before)
	r.Model = f.model(prior, post, r.Kept)
	return r, nil
}

// fitter holds the readings by print and class.
type fitter struct {
	readings []Reading
	classes  []class
	cells    []cell
	cellOf   []int     // by reading
	order    []int     // the readings, cell by cell
	place    []float64 // in that order: where they lie (Reading.place)
	active   []int     // the unknowns that any reading touches
	n        int       // unknowns and prints
	prints   int
	priorM   []float64
	priorSd  []float64
	spreads  []spread
	middle   [2]float64 // of the prior of the spreads
	axes     [2]axis    // of their grid
	start    []float64  // where to begin climbing
}

// leastWeight is the weight below which a spread is left out where one reading is
// left out: all such together have a few percent.
const leastWeight = 0.01

func newFitter(prior *printed.Model, readings []Reading) *fitter {
	f := &fitter{readings: readings}
	f.sort(readings)
	f.n = unknowns + f.prints
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
	f.middle = [2]float64{prints, features}
	f.axes = [2]axis{firstAxis(), firstAxis()}
	f.grid()
}

// posterior is the mixture over the spreads, reading skip (-1 for none) left out.
type posterior struct {
	mean             []float64 // by unknown, then by print
	sd               vector
	cov              *arrow
	prints, features Estimate  // of the spreads
	spreads          []spread  // with their posterior weights
	parts            []laplace // by spread
}

func (f *fitter) posterior(skip int) *posterior {
	parts, best := f.climb(skip), math.Inf(-1)
	for i, s := range f.spreads {
		parts[i].evidence += math.Log(s.weight)
		best = max(best, parts[i].evidence)
	}
	p := &posterior{spreads: slices.Clone(f.spreads), parts: parts}
	total := 0.0
	for i := range parts {
		p.spreads[i].weight = 0
		if parts[i].cov != nil {
			p.spreads[i].weight = math.Exp(parts[i].evidence - best)
		}
		total += p.spreads[i].weight
	}
	p.mean, p.cov = make([]float64, f.n), newArrow(f.prints)
	for i := range parts {
		w := p.spreads[i].weight / total
		p.spreads[i].weight = w
		for k, x := range parts[i].at {
			p.mean[k] += w * x
		}
	}
	for i := range parts {
		if w := p.spreads[i].weight; w > 0 {
			p.spreadOut(&parts[i], w)
		}
	}
	p.finish()
	return p
}

// spreadOut adds a part of the mixture to its covariance.
func (p *posterior) spreadOut(l *laplace, w float64) {
	off := make([]float64, len(p.mean))
	for k := range off {
		off[k] = l.at[k] - p.mean[k]
	}
	for a := range unknowns {
		for b := range unknowns {
			p.cov.all[a][b] += w * (l.cov.all[a][b] + off[a]*off[b])
		}
	}
	for k := range p.cov.own {
		u := off[unknowns+k]
		for a := range unknowns {
			p.cov.side[k][a] += w * (l.cov.side[k][a] + off[a]*u)
		}
		p.cov.own[k] += w * (l.cov.own[k] + u*u)
	}
}

// finish fills in standard deviations and the estimates of the spreads.
func (p *posterior) finish() {
	for k := range p.sd {
		p.sd[k] = math.Sqrt(max(0, p.cov.all[k][k]))
	}
	p.prints = overGrid(p.spreads, func(s spread) float64 { return s.prints })
	p.features = overGrid(p.spreads, func(s spread) float64 { return s.features })
}

// priorOnly is the prior in the shape of a posterior.
func (f *fitter) priorOnly() *posterior {
	p := &posterior{mean: slices.Clone(f.priorM), cov: newArrow(f.prints), spreads: slices.Clone(f.spreads)}
	for k, sd := range f.priorSd {
		if k < unknowns {
			p.cov.all[k][k] = sd * sd
		} else {
			p.cov.own[k-unknowns] = sd * sd
		}
	}
	p.finish()
	return p
}

// z is the normal quantile of the intervals.
func z() float64 { return distuv.UnitNormal.Quantile(0.5 + level/2) }
