package calibrate

import (
	"math"
	"slices"
)

// spread is a point of the grid of spreads.
type spread struct{ prints, features, weight float64 }

// grid lays the spreads round a point, in units of spreadLog off the prior's middle,
// so many times as close as at first.
func (f *fitter) grid(at [2]float64, scale float64, steps []float64) {
	f.spreads, f.at, f.scale, f.steps = nil, at, scale, steps
	total := 0.0
	for _, a := range steps {
		for _, b := range steps {
			x, y := at[0]+scale*a, at[1]+scale*b
			s := spread{f.middle[0] * math.Exp(x*spreadLog), f.middle[1] * math.Exp(y*spreadLog), math.Exp(-(x*x + y*y) / 2)}
			total += s.weight
			f.spreads = append(f.spreads, s)
		}
	}
	for i := range f.spreads {
		f.spreads[i].weight /= total
	}
}

// closer lays the grid closer round the best spread where that has more than half
// of all weight, since many readings know a spread better than the grid; false
// where it need not.
func (f *fitter) closer(p *posterior) bool {
	best, n := 0, len(f.steps)
	for i := range p.spreads {
		if p.spreads[i].weight > p.spreads[best].weight {
			best = i
		}
	}
	if p.spreads[best].weight < 0.5 {
		return false
	}
	at := [2]float64{f.at[0] + f.scale*f.steps[best/n], f.at[1] + f.scale*f.steps[best%n]}
	f.grid(at, f.scale/2, []float64{-1.5, -0.75, 0, 0.75, 1.5})
	f.start = p.mean
	return true
}

// closerTimes bounds how often: by then two points are 7 % apart.
const closerTimes = 3

const (
	repeatSd  = 0.05
	spreadLog = 0.7 // a factor of two up or down
)

func spreadSteps() []float64 { return []float64{-2, -1.25, -0.5, 0, 0.5, 1.25, 2} }

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
