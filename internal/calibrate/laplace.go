package calibrate

import "math"

// laplace is the posterior for one spread as a normal distribution round its
// peak, and the logarithm of how well that spread foretells the readings.
type laplace struct {
	at       []float64
	cov      *arrow
	evidence float64
}

const (
	newtonSteps = 60
	newtonDone  = 1e-7
)

// laplace climbs to the peak of the posterior by Newton's method with halved
// steps where one goes too far. The curvature of readings that bend the wrong
// way (far slips) is left out, so that every step climbs.
func (f *fitter) laplace(s spread, skip int) laplace {
	x := append([]float64(nil), f.start...)
	inverse := make([]float64, f.n) // variances of the prior, inverted
	for k := range inverse {
		sd := f.priorSd[k]
		if k >= unknowns {
			sd = s.prints
		}
		inverse[k] = 1 / (sd * sd)
	}
	value := f.log(x, s, inverse, skip)
	for range newtonSteps {
		grad, hess := f.slope(x, s, inverse, skip)
		way, ok := hess.solve()
		if !ok {
			break // the prior alone makes it positive definite
		}
		step, gain := way.times(grad), 0.0
		for scale := 1.0; scale > 1e-6; scale /= 2 {
			next := make([]float64, f.n)
			for k := range next {
				next[k] = x[k] + scale*step[k]
			}
			if v := f.log(next, s, inverse, skip); v >= value {
				gain, value, x = v-value, v, next
				break
			}
		}
		if gain < newtonDone {
			break
		}
	}
	o := laplace{at: x, cov: newArrow(f.prints), evidence: value}
	_, hess := f.slope(x, s, inverse, skip)
	way, ok := hess.solve()
	if !ok {
		return o
	}
	o.cov = way.inverse()
	o.evidence -= way.log / 2
	for _, v := range inverse {
		o.evidence += math.Log(v) / 2
	}
	return o
}

// log is the logarithm of prior and readings at x, up to a constant.
func (f *fitter) log(x []float64, s spread, inverse []float64, skip int) float64 {
	v := 0.0
	for k := range x {
		d := x[k] - f.mid(k)
		v -= d * d * inverse[k] / 2
	}
	for i := range f.readings {
		if i != skip {
			v += f.density(i, f.eta(i, x), x, s.features)
		}
	}
	return v
}

func (f *fitter) mid(k int) float64 {
	if k < unknowns {
		return f.priorM[k]
	}
	return 0
}

// eta is what the reading should be at x.
func (f *fitter) eta(i int, x []float64) float64 {
	r := &f.rows[i]
	e := r.base + r.coef[unknowns]*x[unknowns+r.print]
	for k := range unknowns {
		e += r.coef[k] * x[k]
	}
	return e
}

// localAt is the part of x that reading i touches.
func (f *fitter) localAt(i int, x []float64) (out local) {
	copy(out[:unknowns], x)
	out[unknowns] = x[unknowns+f.rows[i].print]
	return out
}

// density is the logarithm of the chance of reading i where eta is expected.
func (f *fitter) density(i int, eta float64, x []float64, features float64) float64 {
	r := &f.readings[i]
	v := r.noise(features)
	if r.Kind == Fit {
		lo, hi := ends(r.Felt, x)
		return math.Log((1-slipChance)*between(lo, hi, eta, math.Sqrt(v)) + slipChance/4)
	}
	return math.Log((1-slipChance)*normal(r.Size, eta, v) + slipChance*normal(r.Size, eta, v+slipSd*slipSd))
}

// ends are the gaps between which a fit feels so.
func ends(f Feel, x []float64) (lo, hi float64) {
	lo, hi = math.Inf(-1), math.Inf(1)
	if f > Stuck {
		lo = x[uStuck+int(f)-1]
	}
	if f < Loose {
		hi = x[uStuck+int(f)]
	}
	return lo, hi
}

// between is the chance that a normal number lies between two ends.
func between(lo, hi, mean, sd float64) float64 {
	if !(lo < hi) {
		return 0
	}
	p := 0.5 * (math.Erfc((lo-mean)/sd/math.Sqrt2) - math.Erfc((hi-mean)/sd/math.Sqrt2))
	return max(0, p)
}

func normal(x, mean, variance float64) float64 {
	return math.Exp(-(x-mean)*(x-mean)/(2*variance)) / math.Sqrt(2*math.Pi*variance)
}

// slopeStep is the step of the differences by which the slopes of a reading are
// taken, mm: a hundredth of the noise, so that they are right to 1e-4.
const slopeStep = 2e-4

// sizeBend is bend for a measured size that lies off by so much, of a variance
// without a slip: the logarithm of two normal densities, differentiated.
func sizeBend(off, v float64) (slope, curvature float64) {
	w := v + slipSd*slipSd
	good, bad := (1-slipChance)*normal(off, 0, v), slipChance*normal(off, 0, w)
	p := good + bad
	slope = off * (good/v + bad/w) / p
	second := (good*(off*off/v-1)/v+bad*(off*off/w-1)/w)/p - slope*slope
	return slope, max(0, -second)
}

// slope is the gradient, and the Hessian with its sign turned. A reading depends
// on eta alone, and a felt one also on the limits of its feel, by their distance
// from eta; so two or three differences tell all of it.
func (f *fitter) slope(x []float64, s spread, inverse []float64, skip int) ([]float64, *arrow) {
	grad, hess := make([]float64, f.n), newArrow(f.prints)
	for k := range grad {
		grad[k] = -(x[k] - f.mid(k)) * inverse[k]
		if k < unknowns {
			hess.all[k][k] = inverse[k]
		} else {
			hess.own[k-unknowns] = inverse[k]
		}
	}
	for i := range f.readings {
		if i == skip {
			continue
		}
		print := f.rows[i].print
		for _, d := range f.directions(i) {
			g, c := f.bend(i, &d, x, s.features)
			for k := range unknowns {
				grad[k] += g * d[k]
			}
			grad[unknowns+print] += g * d[unknowns]
			hess.add(print, c, &d)
		}
	}
	return grad, hess
}

// directions are the ways in which reading i changes: for a felt one, its lower
// and its upper limit each against eta.
func (f *fitter) directions(i int) []local {
	r := &f.readings[i]
	if r.Kind != Fit {
		return []local{f.rows[i].coef}
	}
	var out []local
	for _, u := range []int{int(r.Felt) - 1, int(r.Felt)} {
		if u < 0 || u > 2 {
			continue
		}
		d := f.rows[i].coef
		d[uStuck+u]--
		out = append(out, d)
	}
	return out
}

// bend is the slope and the curvature, its sign turned, of reading i along one
// direction.
func (f *fitter) bend(i int, d *local, x []float64, features float64) (slope, curvature float64) {
	r := &f.readings[i]
	eta := f.eta(i, x)
	if r.Kind != Fit {
		return sizeBend(r.Size-eta, r.noise(features))
	}
	at := func(h float64) float64 {
		y := vector(x[:unknowns])
		for u := range 3 {
			if d[uStuck+u] < 0 {
				y[uStuck+u] -= h
			}
		}
		return f.density(i, eta, y[:], features)
	}
	up, mid, down := at(slopeStep), at(0), at(-slopeStep)
	return (up - down) / (2 * slopeStep), max(0, -(up-2*mid+down)/(slopeStep*slopeStep))
}
