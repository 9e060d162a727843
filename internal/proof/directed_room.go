package proof

import "math"

// makesRoom is the least way of travel j, one way, that keeps the pair of a hit apart while
// travel t of it goes on to the value next.
func (r *replay) makesRoom(h *hit, t int, next float64, j int, by, most float64) (float64, bool, error) {
	tr := &r.m.Travels[j]
	far := most / r.wide[j]
	if !tr.Full {
		if by > 0 {
			far = min(far, tr.Hi-r.q[j])
		} else {
			far = min(far, r.q[j]-tr.Lo)
		}
	}
	clear := func(d float64) (bool, error) {
		x := *h.t
		x.run = span{min(r.q[t], next), max(r.q[t], next)}
		x.q = append([]float64(nil), h.t.q...)
		x.q[j] += by * d
		hits, err := r.look([]task{x})
		return len(hits) == 0, err
	}
	if far <= 0 {
		return 0, false, nil
	}
	lo, hi, ok, err := r.around(clear, pushing{t, j, by > 0}, math.Abs(next-r.q[t]), far)
	if !ok || err != nil {
		return 0, false, err
	}
	for (hi-lo)*r.wide[j] > touch/4 {
		mid := (lo + hi) / 2
		ok, err := clear(mid)
		if err != nil {
			return 0, false, err
		}
		if ok {
			hi = mid
		} else {
			lo = mid
		}
	}
	r.rate[pushing{t, j, by > 0}] = hi / math.Abs(next-r.q[t])
	ok, err = r.apart(h, j, by*hi)
	return by * hi, ok, err
}

// gradual tells whether the push of travel j by d is no step: the first eighth of the
// stride takes no more than its share of the steepest. A face that catches on another head
// on needs all of it at once.
func (r *replay) gradual(h *hit, t int, next float64, j int, d float64) (bool, error) {
	const part = 8
	first := r.q[t] + (next-r.q[t])/part
	most := (steep*math.Abs(first-r.q[t])*r.wide[t] + touch/2) / r.wide[j]
	if math.Abs(d) <= most {
		return true, nil
	}
	x := *h.t
	x.run = span{min(r.q[t], first), max(r.q[t], first)}
	x.q = append([]float64(nil), h.t.q...)
	x.q[j] += math.Copysign(most, d)
	hits, err := r.look([]task{x})
	return len(hits) == 0, err
}

// pushing is a travel that pushes another, one way.
type pushing struct {
	t, j int
	up   bool
}

// around brackets the least way of up to far that is clear: about as far as the stride
// before took, if that is so, which saves most of the looks.
func (r *replay) around(clear func(float64) (bool, error), p pushing, stride, far float64) (lo, hi float64, ok bool, err error) {
	e := touch / 2 / r.wide[p.j]
	if g := r.rate[p] * stride; g > 0 && g+e < far {
		if ok, err = clear(g + e); err != nil {
			return 0, 0, false, err
		}
		if ok {
			if g <= e {
				return 0, g + e, true, nil
			}
			if ok, err = clear(g - e); ok || err != nil {
				return 0, g - e, err == nil, err
			}
			return g - e, g + e, true, nil
		}
	}
	ok, err = clear(far)
	return 0, far, ok, err
}

// apart tells whether the pair of a hit keeps clear while travel j goes on by d.
func (r *replay) apart(h *hit, j int, d float64) (bool, error) {
	r.w.tasks = nil
	r.w.pass(Stroke{Travel: j, From: r.q[j], To: r.q[j] + d}, r.q)
	var own []task
	for _, t := range r.w.tasks {
		if t.a == h.t.a && t.b == h.t.b || t.a == h.t.b && t.b == h.t.a {
			own = append(own, t)
		}
	}
	hits, err := r.look(own)
	return len(hits) == 0, err
}
