package motion

import "math"

// avoided is what is known of a step at the growths asked: whether a way avoids it.
type avoided struct {
	q            question
	drawn, loose Answer
}

// avoid asks of every step whether it can be avoided as drawn and at the loose end.
func (s *solver) avoid() error {
	w := s.w
	if w.opt.Asked != nil {
		if err := s.setOut(); err != nil {
			return err
		}
	}
	for i := range w.m.Steps {
		d := avoided{q: ask(0)}
		d.q.avoid, d.q.what = i, "can step "+w.m.Steps[i].Name+" be avoided"
		for _, at := range []struct {
			g  float64
			to *Answer
		}{{0, &d.drawn}, {s.r.Asked[0], &d.loose}} {
			w.tidy()
			q := d.q
			q.g = at.g
			a, cert, err := w.decide(q)
			if err != nil {
				return err
			}
			if cert != nil {
				w.certs = append(w.certs, *cert)
			}
			*at.to = a
		}
		s.avoided = append(s.avoided, d)
	}
	return nil
}

// tell hands on what stands at the growths asked, before it is asked how far beyond
// them that holds.
func (s *solver) tell() error {
	tell := s.w.opt.Asked
	if tell == nil {
		return nil
	}
	r, sure, err := s.asked()
	if err != nil {
		return err
	}
	return tell(r, sure)
}

// asked is the result as far as it is known from the growths asked.
func (s *solver) asked() (r *Result, sure bool, err error) {
	sure = s.r.Drawn.Opens == Yes && s.r.Tight.Opens != Undecided
	r = &Result{Asked: s.r.Asked, Certificates: s.w.certs}
	for i := range s.avoided {
		d := &s.avoided[i]
		sure = sure && d.drawn != Undecided && d.loose != Undecided
		r.Steps = append(r.Steps, s.askedStep(i))
	}
	if !sure {
		return r, false, nil
	}
	if err := s.way(); err != nil {
		return nil, false, err
	}
	s.room()
	for i := range s.avoided {
		s.past(i, &r.Steps[i])
		l, err := s.pushed(i)
		if err != nil {
			return nil, false, err
		}
		r.Steps[i].BypassPlay = l
		r.Fit.LeakPlay = greatest(r.Fit.LeakPlay, l)
	}
	r.Drawn, r.Tight, r.Loose, r.Way = s.r.Drawn, s.r.Tight, s.r.Loose, s.r.Way
	if w := r.Way; s.r.Tight.Opens != Yes && w != nil && !w.Fewest {
		r.Way = nil // of what is free as drawn little more is known yet than that it opens
	}
	if r.Way != nil {
		r.Ladder = s.w.ladder(r.Way.Least)
	}
	r.Fit.Tightest, r.Fit.Bind = s.r.Fit.Tightest, &Limit{Lo: 0, Hi: math.Inf(1)}
	switch s.r.Tight.Opens {
	case Yes:
		r.Fit.Bind.Lo = max(0, s.r.Asked[1])
	case No:
		r.Fit.Bind.Hi = s.r.Asked[1]
	case Undecided:
	}
	return r, true, nil
}

// askedStep is what is known of a step at the growths asked.
func (s *solver) askedStep(i int) Step {
	d := &s.avoided[i]
	st := Step{Index: i, Unavoidable: not(d.drawn), HoldsTo: math.Inf(1)}
	if d.drawn == No {
		st.HoldsTo = 0
	}
	if d.loose == No {
		st.HoldsTo = min(st.HoldsTo, s.r.Asked[0])
		return st
	}
	st.Bypass = &Limit{Lo: math.Inf(-1), Hi: st.HoldsTo}
	if d.loose == Yes {
		st.Bypass.Lo = s.r.Asked[0]
	}
	return st
}

// past gives a step that can be avoided a way that does: as drawn if one does there, else
// at the loose end.
func (s *solver) past(i int, st *Step) {
	d := &s.avoided[i]
	q := d.q
	if q.g = s.r.Asked[0]; d.drawn == Yes {
		q.g = 0
	}
	if d.drawn == Yes || d.loose == Yes {
		s.w.tidy()
		st.Shortcut = s.w.shortest(&q)
	}
}

// pushed asks whether a way avoids the step at the loose end with the parts pushed about:
// nil if not. Where that is open, it is what is found at all growths, as in the end.
func (s *solver) pushed(i int) (*Limit, error) {
	if err := s.play(); err != nil {
		return nil, err
	}
	d := &s.avoided[i]
	q, a := d.q, d.loose
	q.g, q.play = s.r.Asked[0], true
	if len(s.w.opt.Play) > 0 {
		var err error
		s.w.tidy()
		if a, _, err = s.w.decide(q); err != nil {
			return nil, err
		}
	}
	switch a {
	case Yes:
		return &Limit{Lo: s.r.Asked[0], Hi: math.Inf(1)}, nil
	case Undecided:
		return s.withPlay(d.q, Limit{Lo: math.Inf(-1)})
	case No:
	}
	return nil, nil
}
