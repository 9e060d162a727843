package printable

import (
	"errors"
	"fmt"
	"math"
)

// Pace corrects the model's minutes by a maker's own clock: real = Start +
// Factor x model. The zero value changes nothing.
type Pace struct {
	Start  float64 // minutes that every print takes beside: heating, levelling, priming
	Factor float64 // 0 counts as 1
}

// Minutes is what the clock says of a print of which the model says so many minutes.
func (p Pace) Minutes(model float64) float64 {
	if p.Factor == 0 {
		return p.Start + model
	}
	return p.Start + p.Factor*model
}

// Model is what the model said of a print of so many minutes, before it was corrected.
func (p Pace) Model(minutes float64) float64 {
	if p.Factor == 0 {
		return minutes - p.Start
	}
	return (minutes - p.Start) / p.Factor
}

// Timed is one print from a logbook: what the model without pace said, and the clock.
type Timed struct{ Model, Real float64 } // minutes

// PaceFit is a fitted pace with its standard errors.
type PaceFit struct {
	Pace
	StartError, FactorError float64
	Spread                  float64 // of the single prints about it, minutes (root mean square)
}

// PacePrior is what is taken for granted before the first print: a start of 4
// minutes give or take 4 and a factor of 1 give or take 0.3, single prints within
// 5 per cent (common practice, no source). With a handful of prints the clock
// outweighs it.
type PacePrior struct {
	Start, StartSpread   float64
	Factor, FactorSpread float64
	Noise                float64 // share of the time by which single prints differ
}

// DefaultPacePrior is the one above.
func DefaultPacePrior() PacePrior {
	return PacePrior{Start: 4, StartSpread: 4, Factor: 1, FactorSpread: 0.3, Noise: 0.05}
}

var errTimes = errors.New("both times must be positive numbers of minutes")

// FitPace fits Start and Factor to prints that were timed: the most probable
// values under normal errors and a normal prior, that is weighted least squares
// with two more observations (A. Gelman et al., Bayesian Data Analysis, 2013,
// section 14.8). An infinite spread of the prior leaves plain least squares. The
// order of the prints does not matter.
func FitPace(prints []Timed, prior PacePrior) (PaceFit, error) {
	var a, b, c, u, v float64 // normal matrix [a b; b c], right hand side (u, v)
	add := func(x0, x1, y, spread float64) {
		w := 1 / (spread * spread)
		a, b, c = a+w*x0*x0, b+w*x0*x1, c+w*x1*x1
		u, v = u+w*x0*y, v+w*x1*y
	}
	for i, p := range prints {
		if !(p.Model > 0 && p.Real > 0) || math.IsInf(p.Model+p.Real, 0) {
			return PaceFit{}, fmt.Errorf("print %d, model %g and clock %g minutes: %w", i+1, p.Model, p.Real, errTimes)
		}
		add(1, p.Model, p.Real, noiseOf(p, prior))
	}
	if s := prior.StartSpread; s > 0 && !math.IsInf(s, 1) {
		add(1, 0, prior.Start, s)
	}
	if s := prior.FactorSpread; s > 0 && !math.IsInf(s, 1) {
		add(0, 1, prior.Factor, s)
	}
	det := a*c - b*b
	if !(det > 1e-12*a*c) {
		return PaceFit{}, errors.New("these prints do not tell start and factor apart: time a short and a long one")
	}
	f := PaceFit{
		Pace:       Pace{Start: (c*u - b*v) / det, Factor: (a*v - b*u) / det},
		StartError: math.Sqrt(c / det), FactorError: math.Sqrt(a / det),
	}
	for _, p := range prints {
		d := p.Real - f.Minutes(p.Model)
		f.Spread += d * d / float64(len(prints))
	}
	f.Spread = math.Sqrt(f.Spread)
	return f, nil
}

// noiseOf is the standard deviation of one print: a share of its time, and no
// less than half a minute, to which people read a clock. No noise at all weighs
// every print alike.
func noiseOf(p Timed, prior PacePrior) float64 {
	if prior.Noise == 0 {
		return 1
	}
	return max(0.5, prior.Noise*p.Model)
}
