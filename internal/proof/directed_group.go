package proof

import (
	"maps"
	"math"
	"slices"

	"feint/internal/mechanism"

	"gonum.org/v1/gonum/spatial/r3"
)

// group is slides that go one way together, each with the sign of its travel to that of
// the first.
type group map[int]float64

func (g group) list() []int { return slices.Sorted(maps.Keys(g)) }

// together moves travel t and what it pushes, and what that pushes, as one body: they slide
// along one line, so that they stand to each other as they do, and every other part meets
// each alone. It goes as far as that is clear, of the whole way, its half, and so on. It is
// false where that is no more than strides are, something that is not of them gives way or
// leans on one of them.
func (r *replay) together(t int, far float64, held map[int]bool) (bool, error) {
	if r.m.Travels[t].Kind != mechanism.Slide {
		return false, nil
	}
	g := group{t: 1}
	for grown := true; grown; {
		grown = false
		for _, j := range g.list() {
			hits, err := r.meets(g, j, g[j]*math.Copysign(min(math.Abs(far), stride), far))
			if err != nil {
				return false, err
			}
			for i := range hits {
				if !r.join(g, &hits[i], held) {
					return false, nil
				}
				grown = true
			}
			if grown {
				break
			}
		}
	}
	if len(g) == 1 || len(g) > mostChain+1 {
		return false, nil
	}
	own := map[int]bool{}
	for j := range held {
		own[j] = true
	}
	for j := range g {
		own[j] = true
	}
	for _, j := range g.list() {
		if leans, err := r.leans(j, own); leans || err != nil {
			return false, err
		}
	}
	for ; math.Abs(far) > 2*stride; far /= 2 {
		ok, err := r.shift(g, far)
		if ok && err == nil {
			err = r.settle(held)
		}
		if ok || err != nil {
			return ok, err
		}
	}
	return false, nil
}

// join adds what a hit pushes to the group, if it is a slide along its line that yields.
func (r *replay) join(g group, h *hit, held map[int]bool) bool {
	t, sign := h.t.travel, g[h.t.travel]
	js := r.m.Between(h.t.a, h.t.b)
	if len(js) != 2 {
		return false
	}
	k := js[0].Travel
	if k == t {
		k = js[1].Travel
	}
	tr := &r.m.Travels[k]
	d := r3.Dot(tr.Axis.Dir, r.m.Travels[t].Axis.Dir)
	if tr.Kind != mechanism.Slide || held[k] || !r.yields(k) || math.Abs(math.Abs(d)-1) > 1e-12 {
		return false
	}
	for j := range g { // none rides on another: it would go twice as far
		if j != k && (r.w.carried(r.m.Travels[j].Part, k) || r.w.carried(tr.Part, j)) {
			return false
		}
	}
	if g[k] == 0 {
		g[k] = math.Copysign(1, sign*d)
	}
	return true
}

// meets looks at the run of travel j by d, against all parts that the group does not carry.
func (r *replay) meets(g group, j int, d float64) ([]hit, error) {
	r.w.tasks = nil
	r.w.pass(Stroke{Travel: j, From: r.q[j], To: r.q[j] + d}, r.q)
	var out []task
	for _, t := range r.w.tasks {
		with := false
		for k := range g {
			with = with || r.w.carried(t.b, k)
		}
		if !with {
			out = append(out, t)
		}
	}
	return r.look(out)
}

// shift moves the group by the distance, if that is clear.
func (r *replay) shift(g group, far float64) (bool, error) {
	to := map[int]float64{}
	for _, j := range g.list() {
		tr, sign := &r.m.Travels[j], g[j]
		to[j] = r.q[j] + sign*far
		if to[j] < tr.Lo || to[j] > tr.Hi {
			return false, nil
		}
		if hits, err := r.meets(g, j, sign*far); len(hits) > 0 || err != nil {
			return false, err
		}
	}
	if err := r.avoids(to); err != nil {
		return false, err
	}
	for j, v := range to {
		r.q[j] = v
	}
	r.report.Pushed += len(g) - 1
	return true, nil
}
