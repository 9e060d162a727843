package calibrate

import (
	"math"
	"slices"
)

// few is up to how many readings each is left out by fitting the others anew; of
// more, one Newton step from the fit to all is taken, whose error falls with their
// number (as in S. Wood, "Generalized Additive Models", 2nd ed. 2017, section
// 6.2.2: leaving one out by the influence of its own term).
const few = 200

// leaver foretells each reading from the others.
type leaver struct {
	f      *fitter
	spread []spread // with the weights of the fit to all
	parts  []laplace
	terms  [][]term // by spread and class
}

// newLeaver starts at the fit to all and takes the spreads that count.
func (f *fitter) newLeaver(p *posterior) *leaver {
	g := *f
	l := &leaver{f: &g}
	g.start, g.spreads = p.mean, nil
	for i, s := range f.spreads {
		if p.spreads[i].weight >= leastWeight {
			g.spreads = append(g.spreads, s)
			l.spread = append(l.spread, p.spreads[i])
			l.parts = append(l.parts, p.parts[i])
			l.terms = append(l.terms, make([]term, len(f.classes)))
			f.terms(l.terms[len(l.terms)-1], s.features)
		}
	}
	return l
}

// without is what the readings but number i tell of what it touches.
func (l *leaver) without(i int) *around {
	if len(l.f.readings) <= few {
		return l.f.around(l.f.posterior(i), i)
	}
	return l.step(i)
}

// step takes reading i out of every spread's normal distribution: its curvature
// out of the inverse by the formula of J. Sherman and W. Morrison (Ann. Math.
// Statist. 21 (1950) 124), its slope by one Newton step, and out of the evidence
// what it had put in.
func (l *leaver) step(i int) *around {
	f := l.f
	at := &f.cells[f.cellOf[i]]
	k := &f.classes[at.class]
	parts := make([]part, len(l.parts))
	ss, best := slices.Clone(l.spread), math.Inf(-1)
	for n := range l.parts {
		o := f.part(l.parts[n].at, l.parts[n].cov, f.cellOf[i])
		value, pulls := l.terms[n][at.class].along(k, f.readings[i].place(), &o.mean)
		gain := math.Log(ss[n].weight) - value
		var pull [3]float64
		for _, p := range pulls {
			var v [3]float64
			through := 0.0
			for a := range 3 {
				pull[a] -= p.slope * p.way[a]
				for b := range 3 {
					v[a] += o.cov[a][b] * p.way[b]
				}
				through += p.way[a] * v[a]
			}
			left := max(leastLeft, 1-p.bend*through)
			for a := range 3 {
				for b := range 3 {
					o.cov[a][b] += p.bend * v[a] * v[b] / left
				}
			}
			gain -= math.Log(left) / 2
		}
		for a := range 3 {
			move := 0.0
			for b := range 3 {
				move += o.cov[a][b] * pull[b]
			}
			o.mean[a] += move
			gain += pull[a] * move / 2
		}
		parts[n], ss[n].weight = o, gain
		best = max(best, gain)
	}
	return mixed(parts, weighed(ss, best))
}

// along is a way in which a reading pulls, in terms of a part: its slope and its
// curvature along it, with the sign turned.
type along struct {
	way         [3]float64
	slope, bend float64
}

// along lists the ways in which a reading of a class that lies at place pulls, and gives
// the logarithm of its chance.
func (t *term) along(k *class, place float64, mean *[3]float64) (value float64, out []along) {
	if !k.felt {
		value, times, slope, bend := t.size(place - mean[0])
		return value + math.Log(times), []along{{[3]float64{1, 0, 0}, slope, max(0, bend)}}
	}
	gap := place + mean[0]
	lo, hi := k.ends(mean)
	chance, p := t.felt(lo-gap, hi-gap)
	axes, bends := p.axes()
	for n, a := range axes {
		out = append(out, along{[3]float64{a[0] + a[1], -a[0], -a[1]}, a[0]*p.lo + a[1]*p.hi, bends[n]})
	}
	return math.Log(chance), out
}

// leastLeft guards against rounding where a reading is nearly all that is known.
const leastLeft = 1e-9

// weighed turns logarithms of weights into shares.
func weighed(ss []spread, best float64) []spread {
	total := 0.0
	for k := range ss {
		ss[k].weight = math.Exp(ss[k].weight - best)
		total += ss[k].weight
	}
	for k := range ss {
		ss[k].weight /= total
	}
	return ss
}

// part is what a normal distribution tells of a reading: what is expected of it but for
// its base, and the limits of its feel.
type part struct {
	mean [3]float64
	cov  [3][3]float64
}

// ends are the limits of a feel, as a part has them.
func (c *class) ends(mean *[3]float64) (lo, hi float64) {
	lo, hi = math.Inf(-1), math.Inf(1)
	if c.lo != none {
		lo = mean[1]
	}
	if c.hi != none {
		hi = mean[2]
	}
	return lo, hi
}

// around is a posterior where one reading can ask for it.
type around struct {
	part
	spreads []spread
}

// around is what a posterior holds of all that reading i touches.
func (f *fitter) around(p *posterior, i int) *around {
	return &around{part: f.part(p.mean, p.cov, f.cellOf[i]), spreads: p.spreads}
}

// part is what is known of the readings of a cell.
func (f *fitter) part(mean []float64, cov *arrow, cell int) (o part) {
	at := &f.cells[cell]
	k, x := &f.classes[at.class], vector(mean[:unknowns])
	o.mean[0] = k.expected(&x, mean[unknowns+at.print])
	o.cov[0][0] = cov.cross(at.print, &k.coef, &k.coef, k.cols)
	limits := [3]int{none, k.lo, k.hi}
	for n, a := range limits {
		if a == none {
			continue
		}
		o.mean[n] = x[a]
		c := cov.side[at.print][a] * k.coef[unknowns]
		for _, b := range k.cols {
			c += cov.all[a][b] * k.coef[b]
		}
		o.cov[0][n], o.cov[n][0] = c, c
		for m, b := range limits {
			if b != none {
				o.cov[n][m] = cov.all[a][b]
			}
		}
	}
	return o
}

// mixed is the mean and the covariance of a mixture.
func mixed(parts []part, ss []spread) *around {
	o := &around{spreads: ss}
	for k := range parts {
		for a, x := range parts[k].mean {
			o.mean[a] += ss[k].weight * x
		}
	}
	for k := range parts {
		p := &parts[k]
		for a := range p.mean {
			for b := range p.mean {
				o.cov[a][b] += ss[k].weight * (p.cov[a][b] + (p.mean[a]-o.mean[a])*(p.mean[b]-o.mean[b]))
			}
		}
	}
	return o
}
