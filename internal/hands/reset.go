package hands

import (
	"feint/internal/diagram"
	"feint/internal/mechanism"
	"feint/internal/motion"
)

// home is where everything stands as at the start, in whatever attitude, or as it has come
// to rest before the first move.
func (s *solver) home(b *Board) diagram.Set {
	sp := s.b.sp
	home := diagram.All
	for t := range s.b.m.Travels {
		v := s.b.m.Start[t]
		if q := s.b.seat[s.b.m.Travels[t].Part]; q[0] < 0 || q[1] == 0 {
			home = sp.And(home, s.b.lat.Touching(mechanism.Bound{Travel: t, Lo: v, Hi: v}))
		}
	}
	return sp.Or(home, sp.Exists(diagram.LevelsOf(s.b.attitude()), s.begin(b)))
}

// reset asks for the way back to the start. There is none where not even the generous
// reading leads from any goal that may be reached to where the start may be.
func (s *solver) reset(bs *[2]*Board, reach, wide diagram.Set) error {
	sp := s.b.sp
	home := s.home(bs[strict])
	s.b.pinned = append(s.b.pinned, home)
	if layers, ok := bs[strict].Layers(sp.And(reach, s.goal(strict)), home); ok {
		s.r.Reset = motion.Reset{Possible: motion.Yes, Moves: len(layers) - 1}
		s.wayBack(bs[strict], bs[strict].Narrow(layers, home))
		return s.b.trouble()
	}
	g := bs[generous]
	open := sp.And(wide, s.goal(generous))
	open = sp.Or(open, g.Settle(open))
	home = s.home(g)
	s.b.pinned = append(s.b.pinned, open, home)
	if back := g.Reach(open); !sp.Meets(back, home) {
		s.r.Reset.Possible = motion.No
		c := s.closure(&Closure{Board: g, Avoid: -1, Start: s.b.start(), Reached: wide, Goal: s.goal(generous), Back: back, Home: home})
		s.returned(nil, c)
	}
	return s.b.trouble()
}

// wayBack has a way followed that leads into the goal and on along the layers back.
func (s *solver) wayBack(b *Board, back []diagram.Set) {
	if s.opt.Returned == nil || s.b.trouble() != nil {
		return
	}
	s.b.pinned = append(s.b.pinned, back...)
	there, ok := b.Layers(s.begin(b), back[0])
	if !ok {
		return
	}
	s.r.Return.Way = s.tell(b, append(b.Narrow(there, back[0]), back[1:]...), 0)
	s.returned(s.r.Return.Way, nil)
}

// returned has it followed; what is refused is not told.
func (s *solver) returned(w *Way, c *Closure) {
	if s.opt.Returned == nil {
		return
	}
	s.r.Return.Followed, s.r.Return.Detail = s.opt.Returned(w, c)
	if s.r.Return.Followed == motion.No {
		s.r.Reset, s.r.Return.Way = motion.Reset{}, nil
	}
}
