package motion

import (
	"math"

	"feint/internal/diagram"
)

// beyond keeps for a checker what the limits told rest on: the way at the greatest growth
// at which it is known to open, and a certificate for every least growth at which it, or a
// way past a step, is known not to.
func (s *solver) beyond() error {
	if s.w.opt.Asked == nil {
		return nil
	}
	b := s.r.Fit.Bind
	switch {
	case s.tight != nil:
		s.r.AtBind = s.tight
	case b.Seen() && b.Lo != 0:
		s.r.AtBind = s.wayAt(b.Lo)
	}
	if err := s.nothingAt(ask(b.Hi), "does it open above where it binds"); err != nil {
		return err
	}
	for i := range s.r.Steps {
		q := s.avoided[i].q
		q.g = s.r.Steps[i].HoldsTo
		if q.g == b.Hi {
			continue // nothing opens there
		}
		if err := s.nothingAt(q, q.what); err != nil {
			return err
		}
	}
	return s.w.trouble()
}

// wayAt is a way at a growth: the one told, where it was kept within the room there.
func (s *solver) wayAt(g float64) *Way {
	if w := s.r.Way; w != nil && w.room >= g {
		at := *w
		at.Growth = g
		return &at
	}
	s.w.tidy()
	q := ask(g)
	return s.w.shortest(&q)
}

// nothingAt keeps the certificate that there is no way under the question, if it is not
// among those of the growths asked. Where the start itself is not free there is no space
// in it: that may hold at a growth too near to the limit for the maps.
func (s *solver) nothingAt(q question, what string) error {
	w := s.w
	if math.IsInf(q.g, 0) {
		return nil
	}
	for _, cs := range [2][]Certificate{w.certs, w.past} {
		for i := range cs {
			if cs[i].Growth == q.g && cs[i].Avoid == q.avoid {
				return nil
			}
		}
	}
	q.what = what
	w.tidy()
	if a, c := w.look(&q); a == No && c.Reached != diagram.Empty {
		w.past = append(w.past, *w.certify(&q, c))
	} else {
		w.past = append(w.past, Certificate{What: what, Growth: q.g, Avoid: q.avoid})
	}
	return w.trouble()
}
