package calibrate

// slope is the logarithm of prior and readings at x, up to a constant, its gradient,
// and its Hessian with the sign turned.
type slope struct {
	x, grad []float64
	value   float64
	hess    *arrow
	inverse vector  // variances of the prior, inverted
	own     float64 // likewise of a print's growth
	sums    []pull  // by class
	lacks   []lack  // what is left out of the Hessian
	whole   *arrow  // the Hessian with that
}

// lack is what bends the wrong way of the readings of a cell.
type lack struct {
	cell int
	pull pull
}

func newSlope(f *fitter) *slope {
	return &slope{
		x: make([]float64, f.n), grad: make([]float64, f.n), sums: make([]pull, len(f.classes)),
		hess: newArrow(f.prints), whole: newArrow(f.prints),
	}
}

// fill finds all at p.x. What the readings of one print and one class do is summed
// first, since they pull in the same directions. What bends the wrong way is left out of
// the Hessian, so that it is positive definite.
func (p *slope) fill(c *climber) {
	f := c.f
	p.fillPrior(f)
	clear(p.sums)
	p.lacks = p.lacks[:0]
	x, odds := vector(p.x[:unknowns]), product{by: 1}
	for i := range f.cells {
		at := &f.cells[i]
		k := &f.classes[at.class]
		eta := k.expected(&x, p.x[unknowns+at.print])
		var sum, left pull
		var some bool
		if k.felt {
			lo, hi := k.limits(&x)
			sum, left, some = c.felt(at, lo-eta, hi-eta, &odds)
		} else {
			sum, left, some = c.sizes(at, eta, &p.value, &odds)
		}
		if some {
			p.lacks = append(p.lacks, lack{i, left})
		}
		p.sums[at.class].add(&sum)
		p.pullPrint(p.hess, at.print, k, &sum)
	}
	p.value += odds.log()
	for i := range p.sums {
		p.pullUnknowns(p.hess, &f.classes[i], &p.sums[i])
	}
}

// bent is the Hessian with what fill left out, which may not be positive definite.
func (p *slope) bent(f *fitter) *arrow {
	p.whole.all = p.hess.all
	copy(p.whole.side, p.hess.side)
	copy(p.whole.own, p.hess.own)
	for i := range p.lacks {
		l := &p.lacks[i]
		at := &f.cells[l.cell]
		p.pullPrint(p.whole, at.print, &f.classes[at.class], &l.pull)
		p.pullUnknowns(p.whole, &f.classes[at.class], &l.pull)
	}
	return p.whole
}

func (p *slope) fillPrior(f *fitter) {
	p.value, p.hess.all = 0, matrix{}
	for k, i := range p.inverse {
		d := p.x[k] - f.priorM[k]
		p.value -= d * d * i / 2
		p.grad[k], p.hess.all[k][k] = -d*i, i
	}
	clear(p.hess.side)
	for k, u := range p.x[unknowns:] {
		p.value -= u * u * p.own / 2
		p.grad[unknowns+k], p.hess.own[k] = -u*p.own, p.own
	}
}

// sizes sums up the measured sizes of one cell, of which eta is expected.
func (c *climber) sizes(at *cell, eta float64, value *float64, odds *product) (sum, left pull, some bool) {
	t := &c.terms[at.class]
	for n, place := range c.f.place[at.from:at.to] {
		if c.f.order[at.from+n] == c.skip {
			continue
		}
		v, times, slope, bend := t.size(place - eta)
		*value += v
		odds.times(times)
		sum.lo += slope
		if bend < 0 {
			left.ll += bend
			some = true
			continue
		}
		sum.ll += bend
	}
	return sum, left, some
}

// felt sums up the fits of one cell, of whose drawn gaps these are the limits.
func (c *climber) felt(at *cell, lo, hi float64, odds *product) (sum, left pull, some bool) {
	t := &c.terms[at.class]
	for n, gap := range c.f.place[at.from:at.to] {
		if c.f.order[at.from+n] == c.skip {
			continue
		}
		chance, p := t.felt(lo-gap, hi-gap)
		odds.times(chance)
		if l, is := p.straighten(); is {
			left.add(&l)
			some = true
		}
		sum.add(&p)
	}
	return sum, left, some
}

func (p *pull) add(q *pull) {
	p.lo, p.hi = p.lo+q.lo, p.hi+q.hi
	p.ll, p.lh, p.hh = p.ll+q.ll, p.lh+q.lh, p.hh+q.hh
}

// pullPrint adds what touches a print: a direction is that of the class, less the limit.
func (p *slope) pullPrint(h *arrow, print int, k *class, s *pull) {
	u := k.coef[unknowns]
	if u == 0 {
		return
	}
	lo, hi := u*(s.ll+s.lh), u*(s.lh+s.hh)
	p.grad[unknowns+print] += u * (s.lo + s.hi)
	h.own[print] += u * (lo + hi)
	side := &h.side[print]
	for _, a := range k.cols {
		side[a] += k.coef[a] * (lo + hi)
	}
	if k.lo != none {
		side[k.lo] -= lo
	}
	if k.hi != none {
		side[k.hi] -= hi
	}
}

// pullUnknowns adds what touches the unknowns.
func (p *slope) pullUnknowns(h *arrow, k *class, s *pull) {
	both := s.ll + 2*s.lh + s.hh
	for _, a := range k.cols {
		p.grad[a] += k.coef[a] * (s.lo + s.hi)
		for _, b := range k.cols {
			h.all[a][b] += k.coef[a] * k.coef[b] * both
		}
	}
	limit := func(a int, slope, own, other float64) {
		if a == none {
			return
		}
		p.grad[a] -= slope
		h.all[a][a] += own
		for _, b := range k.cols {
			h.all[a][b] -= k.coef[b] * (own + other)
			h.all[b][a] -= k.coef[b] * (own + other)
		}
	}
	limit(k.lo, s.lo, s.ll, s.lh)
	limit(k.hi, s.hi, s.hh, s.lh)
	if k.lo != none && k.hi != none {
		h.all[k.lo][k.hi] += s.lh
		h.all[k.hi][k.lo] += s.lh
	}
}
