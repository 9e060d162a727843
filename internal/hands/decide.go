package hands

import "feint/internal/motion"

// decide answers whether the goal is reached, refining where that is open; with a way of
// the fewest moves under the strict reading if the answer is Yes.
func (s *solver) decide(l law) (motion.Answer, *Way, error) {
	return s.decideTo(l, s.halved+mostFiner)
}

// decideTo is decide with the lattice halved no more often than finer, all told. A way
// that does otherwise on the bodies is none: the strict reading pushes a little far.
func (s *solver) decideTo(l law, finer int) (motion.Answer, *Way, error) {
	if err := s.refine(l.growth, firstWidth); err != nil {
		return motion.Undecided, nil, err
	}
	for width := firstWidth; ; {
		a, w, err := s.lookOnce(l)
		if err != nil || a == motion.Yes && s.exists(w, l.avoid) != motion.No {
			return a, w, err
		}
		if a == motion.No {
			return a, nil, nil
		}
		switch {
		case width > s.opt.Width:
			width = max(width/finerMaps, s.opt.Width)
		case s.halved < finer || a == motion.Yes && s.halved < limitFiner && s.b.sp.Made() < limitNodes:
			s.halved++
			s.opt.Slide, s.opt.Turn = s.opt.Slide/2, s.opt.Turn/2
			if err := s.lay(); err != nil {
				return motion.Undecided, nil, err
			}
		default:
			return motion.Undecided, nil, nil
		}
		if err := s.refine(l.growth, width); err != nil {
			return motion.Undecided, nil, err
		}
	}
}

// lookOnce is look, or what was seen already.
func (s *solver) lookOnce(l law) (motion.Answer, *Way, error) {
	if w := s.seen[l.growth]; w != nil && l.avoid < 0 {
		delete(s.seen, l.growth)
		return motion.Yes, w, nil
	}
	return s.look(l)
}

// look answers from the maps and the lattice as they are.
func (s *solver) look(l law) (motion.Answer, *Way, error) {
	bs := s.boards(l)
	layers, ok := bs[strict].Layers(s.begin(bs[strict]), s.goal(strict))
	if err := s.b.trouble(); err != nil {
		return motion.Undecided, nil, err
	}
	if ok {
		return motion.Yes, s.tell(bs[strict], bs[strict].Narrow(layers, s.goal(strict)), l.growth), s.b.trouble()
	}
	reach := bs[generous].Reach(s.begin(bs[generous]))
	if err := s.b.trouble(); err != nil {
		return motion.Undecided, nil, err
	}
	if !s.b.sp.Meets(reach, s.goal(generous)) {
		s.shut = &Closure{Board: bs[generous], Growth: l.growth, Avoid: l.avoid, Start: s.b.start(), Reached: reach, Goal: s.goal(generous)}
		return motion.No, nil, nil
	}
	return motion.Undecided, nil, nil
}

// exists asks whether a way exists as told, as far as somebody can tell.
func (s *solver) exists(w *Way, avoid int) motion.Answer {
	if s.opt.Exists == nil {
		return motion.Undecided
	}
	return s.opt.Exists(w, avoid)
}
