package calibrate

import "math"

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
	parts, means := make([]square, len(l.parts)), make([]local, len(l.parts))
	ss, best := make([]spread, len(l.parts)), math.Inf(-1)
	for k := range l.parts {
		p, s := &l.parts[k], l.spread[k]
		cov, x := p.cov.at(f.rows[i].print), f.localAt(i, p.at)
		gain := math.Log(s.weight) - f.density(i, f.eta(i, p.at), p.at, s.features)
		var pull local
		for _, d := range f.directions(i) {
			g, c := f.bend(i, &d, p.at, s.features)
			for a := range d {
				pull[a] -= g * d[a]
			}
			v := cov.times(&d)
			left := 1 - c*d.dot(&v)
			if !(left > leastLeft) {
				left = leastLeft
			}
			for a := range near {
				for b := range near {
					cov[a][b] += c * v[a] * v[b] / left
				}
			}
			gain -= math.Log(left) / 2
		}
		move := cov.times(&pull)
		for a := range x {
			x[a] += move[a]
		}
		parts[k], means[k], ss[k] = cov, x, s
		ss[k].weight = gain + pull.dot(&move)/2
		best = max(best, ss[k].weight)
	}
	return mixed(parts, means, weighed(ss, best))
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

// around is a posterior where one reading can ask for it.
type around struct {
	mean    local
	cov     square
	spreads []spread
}

// around is what a posterior holds of all that reading i touches.
func (f *fitter) around(p *posterior, i int) *around {
	return &around{mean: f.localAt(i, p.mean), cov: p.cov.at(f.rows[i].print), spreads: p.spreads}
}

// mixed is the mean and the covariance of a mixture.
func mixed(parts []square, means []local, ss []spread) *around {
	o := &around{spreads: ss}
	for k := range means {
		for a := range near {
			o.mean[a] += ss[k].weight * means[k][a]
		}
	}
	for k := range parts {
		for a := range near {
			for b := range near {
				o.cov[a][b] += ss[k].weight * (parts[k][a][b] + (means[k][a]-o.mean[a])*(means[k][b]-o.mean[b]))
			}
		}
	}
	return o
}
