package hands

import (
	"feint/internal/diagram"
	"feint/internal/mechanism"
	"feint/internal/motion"
)

// traps looks for situations that no way leads out of, and for the way back.
//
// Yes is sure: a situation that is surely reached, and from which not even the generous
// reading leads to the goal. No is said if from every situation that may be reached and is
// surely free and at rest a sure way leads to the goal; and if every other one, in which
// something touches or nearly does, may be brought into such a one by the hand alone,
// moving parts that it holds. That what the hand has brought together it can part again is
// taken for granted there as far as the maps allow it: a touch itself is never surely free.
func (s *solver) traps() error {
	if s.r.Drawn.Opens != motion.Yes {
		return nil
	}
	s.opt.Progress("hands: traps", 0, 0)
	sp := s.b.sp
	bs := s.boards(law{growth: 0, avoid: -1})
	reach := bs[strict].Reach(s.begin(bs[strict]))
	s.b.pinned = append(s.b.pinned, reach)
	defer func() { s.b.pinned = nil }()
	wide := bs[generous].Reach(s.begin(bs[generous]))
	s.b.pinned = append(s.b.pinned, wide)
	s.r.Reached = sp.Count(reach, nil)
	dead := sp.Minus(reach, bs[generous].BackWithin(s.goal(generous), wide))
	if err := s.b.trouble(); err != nil {
		return err
	}
	if dead != diagram.Empty {
		s.r.Trap.Exists = motion.Yes
		s.b.pinned = append(s.b.pinned, dead)
		if layers, ok := bs[strict].Layers(s.begin(bs[strict]), dead); ok {
			s.r.Trap.In = s.tell(bs[strict], bs[strict].Narrow(layers, dead), 0)
		}
	} else if s.fair(bs, wide) {
		s.r.Trap.Exists = motion.No
	}
	return s.reset(bs, reach, wide)
}

// fair tells whether a way out is known from everywhere within wide, as traps has it.
func (s *solver) fair(bs *[2]*Board, wide diagram.Set) bool {
	sp := s.b.sp
	clear := sp.And(wide, bs[strict].Rest())
	s.b.pinned = append(s.b.pinned, clear)
	if !sp.Within(clear, bs[strict].Back(s.goal(strict))) {
		return false
	}
	g := bs[generous]
	parted := g.saturate(clear, func(i int, x diagram.Set) diagram.Set {
		if i >= len(g.Movers) {
			return diagram.Empty
		}
		return sp.And(g.Pre(i, x), wide)
	})
	return sp.Within(wide, parted)
}

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
	layers, ok := bs[strict].Layers(sp.And(reach, s.goal(strict)), s.home(bs[strict]))
	if ok {
		s.r.Reset = motion.Reset{Possible: motion.Yes, Moves: len(layers) - 1}
		return s.b.trouble()
	}
	g := bs[generous]
	open := sp.And(wide, s.goal(generous))
	s.b.pinned = append(s.b.pinned, open)
	if !sp.Meets(g.Reach(open), s.home(g)) {
		s.r.Reset.Possible = motion.No
	}
	return s.b.trouble()
}
