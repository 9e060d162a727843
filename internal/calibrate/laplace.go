package calibrate

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// laplace is the posterior for one spread as a normal distribution round its
// peak, and the logarithm of how well that spread foretells the readings.
type laplace struct {
	at       []float64
	cov      [][]float64
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
	var hess *mat.SymDense
	for range newtonSteps {
		var grad []float64
		grad, hess = f.slope(x, s, inverse, skip)
		var chol mat.Cholesky
		if !chol.Factorize(hess) {
			break // the prior alone makes it positive definite
		}
		var step mat.VecDense
		if chol.SolveVecTo(&step, mat.NewVecDense(f.n, grad)) != nil {
			break
		}
		gain := 0.0
		for scale := 1.0; scale > 1e-6; scale /= 2 {
			next := make([]float64, f.n)
			for k := range next {
				next[k] = x[k] + scale*step.AtVec(k)
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
	_, hess = f.slope(x, s, inverse, skip)
	o := laplace{at: x, cov: square(f.n), evidence: value}
	var chol mat.Cholesky
	if !chol.Factorize(hess) {
		return o
	}
	var inv mat.SymDense
	if chol.InverseTo(&inv) == nil {
		for a := range f.n {
			for b := range f.n {
				o.cov[a][b] = inv.At(a, b)
			}
		}
	}
	o.evidence -= chol.LogDet() / 2
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
	e := f.base[i]
	for k, c := range f.coef[i] {
		e += c * x[k]
	}
	return e
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

// slope is the gradient, and the Hessian with its sign turned. A reading depends
// on eta alone, and a felt one also on the limits of its feel, by their distance
// from eta; so two or three differences tell all of it.
func (f *fitter) slope(x []float64, s spread, inverse []float64, skip int) ([]float64, *mat.SymDense) {
	grad := make([]float64, f.n)
	hess := mat.NewSymDense(f.n, nil)
	for k := range grad {
		grad[k] = -(x[k] - f.mid(k)) * inverse[k]
		hess.SetSym(k, k, inverse[k])
	}
	for i := range f.readings {
		if i == skip {
			continue
		}
		for _, d := range f.directions(i) {
			f.along(i, d, x, s, grad, hess)
		}
	}
	return grad, hess
}

// directions are the ways in which reading i changes: for a felt one, its lower
// and its upper limit each against eta.
func (f *fitter) directions(i int) [][]float64 {
	r := &f.readings[i]
	if r.Kind != Fit {
		return [][]float64{f.coef[i]}
	}
	var out [][]float64
	for _, u := range []int{int(r.Felt) - 1, int(r.Felt)} {
		if u < 0 || u > 2 {
			continue
		}
		d := append([]float64(nil), f.coef[i]...)
		d[uStuck+u]--
		out = append(out, d)
	}
	return out
}

// along adds the slope and the curvature of reading i along one direction.
func (f *fitter) along(i int, d, x []float64, s spread, grad []float64, hess *mat.SymDense) {
	r := &f.readings[i]
	eta := f.eta(i, x)
	at := func(h float64) float64 {
		if r.Kind != Fit {
			return f.density(i, eta+h, x, s.features)
		}
		y := append([]float64(nil), x...)
		for u := range 3 {
			if d[uStuck+u] < 0 {
				y[uStuck+u] -= h
			}
		}
		return f.density(i, eta, y, s.features)
	}
	up, mid, down := at(slopeStep), at(0), at(-slopeStep)
	g := (up - down) / (2 * slopeStep)
	c := max(0, -(up-2*mid+down)/(slopeStep*slopeStep))
	for a, da := range d {
		if da == 0 {
			continue
		}
		grad[a] += g * da
		for b := a; b < f.n; b++ {
			if d[b] != 0 {
				hess.SetSym(a, b, hess.At(a, b)+c*da*d[b])
			}
		}
	}
}
