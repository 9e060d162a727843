package proof

import (
	"fmt"
	"math"

	"feint/internal/diagram"
)

// place looks at one place and its neighbour; false if there was nothing to look at.
func (k *fits) place() (bool, error) {
	sp := k.c.Law.Space
	levels := sp.Levels()
	want := make([]int32, len(levels))
	for l := range want {
		want[l] = k.rng.Int32N(levels[l].Size)
	}
	if err := k.goal(want); err != nil {
		return false, err
	}
	p, ok := sp.Pick(k.c.Reached, want)
	if !ok {
		return false, nil
	}
	if err := k.carried(p); err != nil {
		return false, err
	}
	l := k.rng.IntN(len(levels))
	if t := k.c.Travels[l]; t < 0 || k.away(k.m.Travels[t].Part, p) {
		return false, nil
	}
	by := int32(1 - 2*k.rng.IntN(2))
	p[l] += by
	switch size := levels[l].Size; {
	case levels[l].Cyclic:
		p[l] = (p[l] + size) % size
	case p[l] < 0 || p[l] >= size:
		return false, nil
	}
	if !sp.Contains(k.free, p) {
		return true, k.shut(p)
	}
	return true, k.clear(p, l)
}

// goal looks at a place moved into the goal.
func (k *fits) goal(want []int32) error {
	p := append([]int32(nil), want...)
	for _, b := range k.m.Goal.Bounds {
		tr := &k.m.Travels[b.Travel]
		if tr.Full && b.Lo > b.Hi {
			b.Hi += 2 * math.Pi
		}
		lo, hi := max(b.Lo, tr.Lo), min(b.Hi, tr.Hi)
		if lo > hi {
			return nil
		}
		v := lo + (hi-lo)*k.rng.Float64()
		p[k.level[b.Travel]] = k.clip(k.level[b.Travel], math.Floor((v-tr.Lo)/k.width(b.Travel)))
		if s, ok := k.seat[tr.Part]; ok {
			p[k.c.Tools[s[0]]] = int32(s[1])
		}
	}
	if !k.c.Law.Space.Contains(k.c.Goal, p) {
		return fmt.Errorf("%w: a place in the goal does not count as goal", ErrRefused)
	}
	return nil
}

// values is a configuration in the units p, at the share f of each, at random if negative.
func (k *fits) values(p []int32, f float64) []float64 {
	q := make([]float64, len(k.m.Travels))
	for t := range q {
		share := f
		if f < 0 {
			share = k.rng.Float64()
		}
		q[t] = k.m.Travels[t].Lo + (float64(p[k.level[t]])+share)*k.width(t)
	}
	return q
}

// shut looks whether a place taken for blocked is, or is left out.
func (k *fits) shut(p []int32) error {
	q := k.values(p, -1)
	if k.c.Avoid != nil && k.c.Law.Space.Contains(k.c.Law.Avoid, p) {
		for _, b := range k.c.Avoid.Bounds {
			if !holds(&k.m.Travels[b.Travel], b, q[b.Travel]) {
				return fmt.Errorf("%w: the configuration %.6g is left out, and does not lie in what is to be avoided", ErrRefused, q)
			}
		}
		return nil
	}
	for i := range k.covers {
		if o := k.covers[i].Parts; len(k.m.Tools) > 0 && (k.away(o[0], p) || k.away(o[1], p)) {
			continue
		}
		if k.covers[i].holds(q) {
			return nil
		}
	}
	return fmt.Errorf("%w: nothing shows that the configuration %.6g, taken for blocked, is", ErrRefused, q)
}

// clear looks whether the pairs that hang on level l, and are said to be surely clear, are.
func (k *fits) clear(p []int32, l int) error {
	q := k.values(p, -1)
	for i := range k.c.Law.Pairs {
		c := &k.c.Law.Pairs[i]
		if c.On&diagram.LevelsOf(l) == 0 || !k.c.Law.Space.Contains(c.Firm, p) || k.away(c.A, p) || k.away(c.B, p) {
			continue
		}
		t := k.c.Travels[l]
		x := task{a: c.A, b: c.B, travel: t, run: span{q[t], q[t]}, q: q, first: true}
		if !k.w.carried(x.a, t) {
			x.a, x.b = x.b, x.a
		}
		o, err := k.w.check(k.ctx, &x)
		if err != nil {
			return err
		}
		if o.fault != nil && !o.fault.open {
			return fmt.Errorf("%w: %q and %q are said to be surely clear at %.6g, and are not", ErrRefused, k.m.Parts[c.A].Name, k.m.Parts[c.B].Name, q)
		}
	}
	return nil
}

// carried looks whether what runs at a place is said to.
func (k *fits) carried(p []int32) error {
	q, up := k.values(p, 0.5), k.m.Ups()[p[k.c.Law.Attitude]]
	sp := k.c.Law.Space
	for t := range k.m.Travels {
		if k.away(k.m.Travels[t].Part, p) {
			continue
		}
		sure, may := k.runs(t, q, up)
		var said [2]bool
		for i := range k.c.Law.Runs {
			r := &k.c.Law.Runs[i]
			if r.Level != k.level[t] {
				continue
			}
			way := 1
			if r.Up {
				way = 0
			}
			said[way] = said[way] || sp.Contains(r.May, p)
			if sp.Contains(r.Sure, p) && !sure[way] {
				return fmt.Errorf("%w: %q is said to run by itself at %.6g, and does not surely", ErrRefused, k.m.Travels[t].Name, q)
			}
		}
		for way := range may {
			if may[way] && !said[way] {
				return fmt.Errorf("%w: %q may run by itself at %.6g, and is said not to", ErrRefused, k.m.Travels[t].Name, q)
			}
		}
	}
	return nil
}
