package calibrate

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Straight is a straight line y = B0 + B1 x fitted by least squares.
type Straight struct {
	B0, B1     float64
	Se0, Se1   float64 // standard errors
	S          float64 // residual standard deviation
	N          int
	meanX, sxx float64
}

// ErrFew is what a fit answers that has too few points.
var ErrFew = errors.New("too few points for a fit with an error")

// Line fits a straight line to three points or more whose x differ. Sums are of
// centred values: raw sums of squares lose half the digits.
func Line(x, y []float64) (Straight, error) {
	n := len(x)
	if n < 3 || len(y) != n {
		return Straight{}, ErrFew
	}
	mx, my := mean(x), mean(y)
	var sxx, sxy float64
	for i := range x {
		sxx += (x[i] - mx) * (x[i] - mx)
		sxy += (x[i] - mx) * (y[i] - my)
	}
	if !(sxx > 0) {
		return Straight{}, errors.New("all x are the same, so there is no slope to fit")
	}
	l := Straight{B1: sxy / sxx, N: n, meanX: mx, sxx: sxx}
	l.B0 = my - l.B1*mx
	rss := 0.0
	for i := range x {
		r := y[i] - my - l.B1*(x[i]-mx)
		rss += r * r
	}
	l.S = math.Sqrt(rss / float64(n-2))
	l.Se1 = l.S / math.Sqrt(sxx)
	l.Se0 = l.S * math.Sqrt(1/float64(n)+mx*mx/sxx)
	return l, nil
}

// mean is the mean, corrected once by the mean of what is left.
func mean(x []float64) float64 {
	m := 0.0
	for _, v := range x {
		m += v
	}
	m /= float64(len(x))
	rest := 0.0
	for _, v := range x {
		rest += v - m
	}
	return m + rest/float64(len(x))
}

// Predict is the line at x and the interval in which the next y lies at the
// level.
func (l *Straight) Predict(x, level float64) (y, lo, hi float64) {
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(l.N - 2)}.Quantile(0.5 + level/2)
	y = l.B0 + l.B1*x
	d := t * l.S * math.Sqrt(1+1/float64(l.N)+(x-l.meanX)*(x-l.meanX)/l.sxx)
	return y, y - d, y + d
}

// Next is the interval in which the next of n readings with this mean and
// standard deviation lies at the level.
func Next(n int, mean, sd, level float64) (lo, hi float64, err error) {
	if n < 2 {
		return 0, 0, ErrFew
	}
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(n - 1)}.Quantile(0.5 + level/2)
	d := t * sd * math.Sqrt(1+1/float64(n))
	return mean - d, mean + d, nil
}

// Groups is a one-way analysis of variance.
type Groups struct {
	Between, Within     float64 // sums of squares
	DfBetween, DfWithin int
	F, P                float64 // the test of no difference between groups
	SdBetween           float64 // standard deviation between groups by moments, 0 if none shows
	SdWithin            float64
}

// OneWay analyses readings in groups: the features of several prints, say.
func OneWay(groups [][]float64) (Groups, error) {
	var all []float64
	var sizes, squares float64
	g := Groups{}
	for _, x := range groups {
		if len(x) == 0 {
			return g, errors.New("a group has no readings")
		}
		all = append(all, x...)
		sizes += float64(len(x))
		squares += float64(len(x)) * float64(len(x))
	}
	g.DfBetween, g.DfWithin = len(groups)-1, len(all)-len(groups)
	if g.DfBetween < 1 || g.DfWithin < 1 {
		return g, ErrFew
	}
	total := mean(all)
	for _, x := range groups {
		m := mean(x)
		g.Between += float64(len(x)) * (m - total) * (m - total)
		for _, v := range x {
			g.Within += (v - m) * (v - m)
		}
	}
	msb, msw := g.Between/float64(g.DfBetween), g.Within/float64(g.DfWithin)
	g.F = msb / msw
	g.P = 1 - distuv.F{D1: float64(g.DfBetween), D2: float64(g.DfWithin)}.CDF(g.F)
	g.SdWithin = math.Sqrt(msw)
	size := (sizes - squares/sizes) / float64(g.DfBetween)
	g.SdBetween = math.Sqrt(max(0, (msb-msw)/size))
	return g, nil
}
