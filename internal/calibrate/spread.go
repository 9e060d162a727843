package calibrate

import (
	"cmp"
	"math"
	"slices"
)

// spread is a point of the grid of spreads.
type spread struct {
	prints, features, weight float64
	at                       [2]int // of the steps of the grid's axes
	ring                     int    // round its middle
}

// axis is one of the grid, in units of spreadLog off the prior's middle.
type axis struct {
	middle, scale float64
	steps         []float64
}

func firstAxis() axis {
	return axis{scale: 1, steps: []float64{-2, -1.25, -0.5, 0, 0.5, 1.25, 2}}
}

// ring is how many steps one is from the middle.
func (a *axis) ring(k int) int { return max(k-len(a.steps)/2, len(a.steps)/2-k) }

func (a *axis) place(k int) float64 { return a.middle + a.scale*a.steps[k] }

// closer lays an axis twice as close round one of its steps. Where that has half of all
// weight the next ones are a good standard deviation off, so the new ones reach over
// two. Where it has all but 1e-4 they are four off, and it is laid four times as close.
// Round an end it is laid as it was.
func (a *axis) closer(k int, weight float64) {
	by := 2.0
	switch {
	case a.ring(k) == len(a.steps)/2:
		by = 1
	case weight > 0.9999:
		by = 4
	}
	*a = axis{middle: a.place(k), scale: a.scale / by, steps: []float64{-2.25, -1.5, -0.75, 0, 0.75, 1.5, 2.25}}
}

// grid lays the spreads out, those in the middle first.
func (f *fitter) grid() {
	f.spreads = nil
	total := 0.0
	for i := range f.axes[0].steps {
		for k := range f.axes[1].steps {
			x, y := f.axes[0].place(i), f.axes[1].place(k)
			s := spread{f.middle[0] * math.Exp(x*spreadLog), f.middle[1] * math.Exp(y*spreadLog), math.Exp(-(x*x + y*y) / 2), [2]int{i, k}, 0}
			s.ring = max(f.axes[0].ring(i), f.axes[1].ring(k))
			total += s.weight
			f.spreads = append(f.spreads, s)
		}
	}
	for i := range f.spreads {
		f.spreads[i].weight /= total
	}
	slices.SortStableFunc(f.spreads, func(a, b spread) int { return cmp.Compare(a.ring, b.ring) })
}

// closer lays the grid closer in the axes of which one step has more than half of all
// weight, since many readings know a spread better than the grid; false where it need
// not.
func (f *fitter) closer(p *posterior) bool {
	done := false
	for k := range f.axes {
		a := &f.axes[k]
		weights := make([]float64, len(a.steps))
		for _, s := range p.spreads {
			weights[s.at[k]] += s.weight
		}
		for i, w := range weights {
			if w >= 0.5 {
				a.closer(i, w)
				done = true
				break
			}
		}
	}
	if done {
		f.grid()
		f.start = p.mean
	}
	return done
}

// closerTimes bounds how often: by then two points are 0.2 % apart, which takes a
// hundred thousand readings to tell.
const closerTimes = 8

const (
	repeatSd  = 0.05
	spreadLog = 0.7 // a factor of two up or down
)

// byFeatures puts spreads together that differ between prints alone.
func byFeatures(ss []spread) (out []spread) {
	at := map[float64]int{}
	for _, s := range ss {
		i, ok := at[s.features]
		if !ok {
			i = len(out)
			at[s.features] = i
			out = append(out, spread{features: s.features})
		}
		out[i].weight += s.weight
	}
	return out
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
