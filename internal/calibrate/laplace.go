package calibrate

import (
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"
)

// laplace is the posterior for one spread as a normal distribution round its
// peak, and the logarithm of how well that spread foretells the readings.
type laplace struct {
	at       []float64
	cov      *arrow // nil where the spread does not count
	evidence float64
}

const (
	newtonSteps = 60
	// newtonDone is the gain of a step that is the last: it is a thousandth of a standard
	// deviation long, and what is then left to go a thousandth of that.
	newtonDone = 1e-6
	// hopeless is by how much less a spread may foretell the readings than the best
	// before it is not looked at closely: its share is 1e-11 of the best's.
	hopeless = 25
)

// climber finds the peaks for one spread after the other.
type climber struct {
	f         *fitter
	skip      int       // the reading that is left out, -1 for none
	start     []float64 // where it begins
	best      float64   // its evidence, with its weight before the readings
	now, next *slope
	terms     []term
}

func (f *fitter) climber(skip int) *climber {
	return &climber{
		f: f, skip: skip, start: f.start, best: math.Inf(-1), terms: make([]term, len(f.classes)),
		now: newSlope(f), next: newSlope(f),
	}
}

// laplace climbs to the peak of the posterior by Newton's method with halved
// steps where one goes too far. The curvature of readings that bend the wrong
// way (they may be slips) is left out where every step would not climb with it, and
// of the normal distribution.
func (c *climber) laplace(s spread) laplace {
	f := c.f
	before := c.prior(s)
	f.terms(c.terms, s.features)
	copy(c.now.x, c.start)
	c.now.fill(c)
	for n := 0; ; n++ {
		way, ok := c.now.bent(f).solve(f.active)
		if !ok {
			if way, ok = c.now.hess.solve(f.active); !ok {
				break // the prior alone makes it positive definite
			}
		}
		step := way.times(c.now.grad)
		gain := inner(step, c.now.grad) / 2
		evidence := c.now.value + gain + before - way.log/2
		if n == 0 && evidence+math.Log(s.weight) < c.best-hopeless {
			return laplace{evidence: evidence}
		}
		if gain < newtonDone {
			for k, d := range step {
				c.now.x[k] += d
			}
			c.now.value += gain
			break
		}
		if n == newtonSteps || !c.step(step) {
			break
		}
	}
	o := laplace{at: slices.Clone(c.now.x), cov: newArrow(f.prints), evidence: c.now.value}
	way, ok := c.now.hess.solve(f.active)
	if !ok {
		return o
	}
	o.cov = way.inverse()
	o.evidence += before - way.log/2
	return o
}

// take notes the peak of a spread if it is the best so far: the others have theirs near it.
func (c *climber) take(s spread, o *laplace) {
	if e := o.evidence + math.Log(s.weight); o.cov != nil && e > c.best {
		c.best, c.start = e, o.at
	}
}

// climb finds the peaks of all spreads: each ring of the grid from the best of those
// within it, on all processors; where a reading is left out, one after the other.
func (f *fitter) climb(skip int) []laplace {
	parts, cs := make([]laplace, len(f.spreads)), []*climber{f.climber(skip)}
	if skip < 0 {
		for range min(runtime.GOMAXPROCS(0), len(parts)) - 1 {
			cs = append(cs, f.climber(skip))
		}
	}
	for from, to := 0, 0; from < len(parts); from = to {
		for to = from + 1; skip < 0 && to < len(parts) && f.spreads[to].ring == f.spreads[from].ring; to++ {
		}
		var wg sync.WaitGroup
		var next atomic.Int64
		for _, c := range cs[:min(len(cs), to-from)] {
			wg.Go(func() {
				for i := from + int(next.Add(1)) - 1; i < to; i = from + int(next.Add(1)) - 1 {
					parts[i] = c.laplace(f.spreads[i])
				}
			})
		}
		wg.Wait()
		for i := from; i < to; i++ {
			cs[0].take(f.spreads[i], &parts[i])
		}
		for _, c := range cs {
			c.best, c.start = cs[0].best, cs[0].start
		}
	}
	return parts
}

// step goes along a step, or as far as it climbs; false if it does not.
func (c *climber) step(step []float64) bool {
	for scale := 1.0; scale > 1e-6; scale /= 2 {
		for k, d := range step {
			c.next.x[k] = c.now.x[k] + scale*d
		}
		if c.next.fill(c); c.next.value >= c.now.value {
			c.now, c.next = c.next, c.now
			return true
		}
	}
	return false
}

// prior notes how sharply the prior holds the unknowns and the prints for a spread, and
// is half the logarithm of the determinant of that.
func (c *climber) prior(s spread) float64 {
	half := 0.0
	for k, sd := range c.f.priorSd[:unknowns] {
		c.now.inverse[k] = 1 / (sd * sd)
		half -= math.Log(sd)
	}
	c.now.own = 1 / (s.prints * s.prints)
	c.next.inverse, c.next.own = c.now.inverse, c.now.own
	return half - float64(c.f.prints)*math.Log(s.prints)
}

func inner(a, b []float64) float64 {
	v := 0.0
	for k := range a {
		v += a[k] * b[k]
	}
	return v
}

func (f *fitter) mid(k int) float64 {
	if k < unknowns {
		return f.priorM[k]
	}
	return 0
}
