package calibrate

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"feint/internal/printed"

	"gonum.org/v1/gonum/diff/fd"
)

// The logarithm of prior and readings, its gradient and its Hessian, slips and all,
// against the model written down plainly and gonum's differences of that (independent
// program). One reading is left out.
func TestSlopeAgainstDifferences(t *testing.T) {
	const skip = 3
	r := rand.New(rand.NewPCG(4, 4))
	rs := kitchen().gauge(r, 3)
	rs[1].Size += 0.6  // a slip
	rs[4].Size += 0.13 // perhaps one
	rs[12].Felt = Loose
	f := newFitter(printed.Unknown(), rs)
	s := spread{prints: 0.03, features: 0.02, weight: 1}
	c := f.climber(skip)
	c.prior(s)
	f.terms(c.terms, s.features)
	plain := func(x []float64) float64 {
		v := 0.0
		for k := range x {
			d, sd := x[k]-f.mid(k), s.prints
			if k < unknowns {
				sd = f.priorSd[k]
			}
			v -= d * d / (2 * sd * sd)
		}
		for i := range rs {
			if i != skip {
				v += rs[i].density(x, f.cells[f.cellOf[i]].print, s.features)
			}
		}
		return v
	}
	for n := range 5 {
		for k := range c.now.x {
			sd := 0.01
			if k < unknowns {
				sd = f.priorSd[k] / 5
			}
			c.now.x[k] = f.mid(k) + sd*r.NormFloat64()
		}
		c.now.fill(c)
		near := func(what string, got, want, off float64) {
			if math.Abs(got-want) > off*(1+math.Abs(want)) {
				t.Errorf("place %d, %s: %.8g, differences %.8g", n, what, got, want)
			}
		}
		near("value", c.now.value, plain(c.now.x), 1e-9)
		grad := fd.Gradient(nil, plain, c.now.x, &fd.Settings{Formula: fd.Central, Step: 1e-6})
		for k, g := range grad {
			near(fmt.Sprint("slope ", k), c.now.grad[k], g, 1e-5)
		}
		hess := c.now.bent(f)
		for k := range c.now.x {
			x := append([]float64(nil), c.now.x...)
			row := fd.Gradient(nil, func(y []float64) float64 { // of the slope along k
				copy(c.next.x, y)
				c.next.fill(c)
				return -c.next.grad[k]
			}, x, &fd.Settings{Formula: fd.Central, Step: 1e-6})
			for j, want := range row {
				near(fmt.Sprint("curvature ", k, j), hess.entry(k, j), want, 1e-4)
			}
		}
		if len(c.now.lacks) == 0 {
			t.Error("no reading bends the other way")
		}
	}
}

// entry is one number of the matrix; between two prints it is 0.
func (m *arrow) entry(a, b int) float64 {
	a, b = min(a, b), max(a, b)
	switch {
	case b < unknowns:
		return m.all[a][b]
	case a < unknowns:
		return m.side[b-unknowns][a]
	case a == b:
		return m.own[a-unknowns]
	default:
		return 0
	}
}

// What is left of a curvature once it is straightened is nowhere below zero, and with
// what was taken out it is what it was (closed form).
func TestStraighten(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 1))
	for range 500 {
		p := pull{ll: r.NormFloat64(), lh: r.NormFloat64(), hh: r.NormFloat64()}
		was := p
		left, some := p.straighten()
		if some != (was.ll < 0 || was.hh < 0 || was.ll*was.hh < was.lh*was.lh) {
			t.Fatalf("%+v: %v", was, some)
		}
		least := (p.ll+p.hh)/2 - math.Hypot((p.ll-p.hh)/2, p.lh)
		most := (left.ll+left.hh)/2 + math.Hypot((left.ll-left.hh)/2, left.lh)
		if least < -1e-12 || most > 1e-12 {
			t.Errorf("%+v: left %+v, taken out %+v", was, p, left)
		}
		if math.Abs(p.ll+left.ll-was.ll)+math.Abs(p.lh+left.lh-was.lh)+math.Abs(p.hh+left.hh-was.hh) > 1e-12 {
			t.Errorf("%+v: %+v and %+v are not it", was, p, left)
		}
	}
}
