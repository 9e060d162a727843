package proof

import (
	"fmt"
	"math"

	"feint/internal/mechanism"
)

// fallPiece is how far a part falls before it is asked anew whether it is still carried:
// mm, or by the point that goes farthest.
const fallPiece = 0.5

// way is which way a travel is surely carried: 1, -1, or 0 for none.
func (r *replay) way(t int) float64 {
	if r.away[r.m.Travels[t].Part] {
		return 0
	}
	up, down := r.carriedBy(t, r.q, r.up)
	switch {
	case up && !down:
		return 1
	case down && !up:
		return -1
	default:
		return 0
	}
}

// rests tells whether travel t, carried one way, has no more than room to go. by lists
// the pairs that stop it; none if that is its limit.
func (r *replay) rests(t int, by float64) (yes bool, stop []hit, err error) {
	tr := &r.m.Travels[t]
	d := room / r.wide[t]
	if !tr.Full {
		if by > 0 {
			d = min(d, tr.Hi-r.q[t])
		} else {
			d = min(d, r.q[t]-tr.Lo)
		}
		if d <= valueError {
			return true, nil, nil
		}
	}
	hits, err := r.run(t, r.q[t], r.q[t]+by*d)
	if err != nil || len(hits) == 0 {
		return false, nil, err
	}
	for i := range hits {
		if !hits[i].f.open {
			return true, hits, nil
		}
	}
	return true, hits, fmt.Errorf("whether %q comes to rest: %w", r.m.Parts[tr.Part].Name, r.complain(&hits[0]))
}

// leans tells whether travel t moves something on which a part that is carried leans,
// or that carries it: such a part follows it stride by stride.
func (r *replay) leans(t int, held map[int]bool) (bool, error) {
	for c := range r.m.Travels {
		tr := &r.m.Travels[c]
		if held[c] || c == t || tr.Moved != mechanism.ByGravity && tr.Spring == nil && len(tr.Latches) == 0 {
			continue
		}
		rides := r.w.carried(tr.Part, t)
		if rides && r.m.Travels[t].Kind != mechanism.Slide {
			return true, nil // it is turned about, and so may be carried elsewhere
		}
		by := r.way(c)
		if by == 0 {
			continue
		}
		_, stop, err := r.rests(c, by)
		if err != nil {
			return false, err
		}
		if stop == nil && !rides {
			continue // it is at its limit, whatever t does
		}
		firm := stop == nil
		for i := range stop {
			h := &stop[i]
			// two parts that t carries both, or neither, stay as they are to each other
			if r.w.carried(h.t.a, t) == r.w.carried(h.t.b, t) && !h.f.open {
				firm = true
			}
		}
		if !firm {
			return true, nil
		}
	}
	return false, nil
}

// settle lets everything that is carried and not held run until it rests.
func (r *replay) settle(held map[int]bool) error {
	const mostFalls = 2000
	falls, first := 0, -1
	for again := true; again; {
		again = false
		for t := range r.m.Travels {
			by := r.way(t)
			if by == 0 || held[t] {
				continue
			}
			rests, _, err := r.rests(t, by)
			if err != nil {
				return err
			}
			if rests {
				continue
			}
			if falls++; falls > mostFalls {
				return fmt.Errorf("%w: it does not come to rest", ErrOpen)
			}
			moved, err := r.fall(t, by, held)
			if err != nil {
				return err
			}
			again = again || moved
			if r.doubt = r.doubt || first >= 0 && first != t; first < 0 {
				first = t
			}
		}
	}
	return nil
}

// fall lets travel t run one way until it is no longer carried or is stopped.
func (r *replay) fall(t int, by float64, held map[int]bool) (moved bool, err error) {
	tr := &r.m.Travels[t]
	piece := fallPiece / r.wide[t]
	if leans, err := r.leans(t, held); err != nil {
		return false, err
	} else if leans {
		piece = stride / r.wide[t]
	}
	r.report.Fallen++
	for n := 0; r.way(t) == by; n++ {
		if tr.Full && float64(n)*piece > 4*math.Pi {
			return moved, fmt.Errorf("%w: %q runs round and round", ErrOpen, tr.Name)
		}
		next := r.q[t] + by*piece
		if !tr.Full {
			next = min(max(next, tr.Lo), tr.Hi)
		}
		if math.Abs(next-r.q[t]) <= valueError {
			return moved, nil
		}
		hits, err := r.run(t, r.q[t], next)
		if err != nil {
			return moved, err
		}
		if len(hits) > 0 {
			if next, hits, err = r.reaches(t, r.q[t], next, hits); err != nil {
				return moved, err
			}
		}
		if next != r.q[t] {
			moved = true
			if err := r.move(t, next); err != nil {
				return moved, err
			}
		}
		if len(hits) > 0 {
			r.doubt = r.doubt || tr.Spring != nil && r.pushable(t, hits)
			return moved, nil
		}
		if piece*r.wide[t] < fallPiece { // what leans on it follows
			own := map[int]bool{t: true}
			for k := range held {
				own[k] = true
			}
			if err := r.settle(own); err != nil {
				return moved, err
			}
		}
	}
	return moved, nil
}

// pushable tells whether what stops travel t could be pushed on.
func (r *replay) pushable(t int, hits []hit) bool {
	for i := range hits {
		for _, j := range r.m.Between(hits[i].t.a, hits[i].t.b) {
			if j.Travel != t && r.yields(j.Travel) {
				return true
			}
		}
	}
	return false
}
