package hands

import (
	"slices"

	"feint/internal/diagram"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/motion"

	"gonum.org/v1/gonum/spatial/r3"
)

// traps looks for situations that no way leads out of, and for the way back.
//
// Yes is sure: a situation that is surely reached, and from which not even the generous
// reading leads to the goal. No is said if a way is known from every situation that may be
// reached: see fair.
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
			s.followTrap(bs[generous])
		}
	} else if s.fair(bs, wide) {
		s.r.Trap.Exists = motion.No
	}
	return s.reset(bs, reach, wide)
}

// touching is how far off the trap's own situation what touches there may stand on the
// bodies, mm: see proof.Led, which brings parts at rest so near to what stops them.
const touching = 0.03

// followTrap has a way into a trap followed, and that nothing leads out of it into the goal.
// What is refused is not told.
func (s *solver) followTrap(g *Board) {
	if s.opt.Trapped == nil {
		return
	}
	w := s.r.Trap.In
	s.r.Trap.Followed, s.r.Trap.Detail = s.opt.Trapped(w, func(at []float64) *Closure {
		c := s.closure(&Closure{Board: g, Avoid: -1, Start: s.ends(w, at), Goal: s.goal(generous)})
		c.Reached = g.Reach(g.Settle(c.Start))
		return c
	})
	if s.r.Trap.Followed == motion.No {
		s.r.Trap.Exists, s.r.Trap.In = motion.Undecided, nil
	}
}

// ends is the units at and about the end of a way, in its attitude and with its tools
// where they are.
func (s *solver) ends(w *Way, at []float64) diagram.Set {
	b, up := s.b, 0
	seat := make([]int, len(b.m.Tools))
	for i := range w.Moves {
		switch m := &w.Moves[i]; m.Kind {
		case Turn:
			up = slices.IndexFunc(b.ups, func(u geom.Vec) bool { return r3.Norm(r3.Sub(u, m.Up)) < 1e-6 })
		case Take:
			seat[b.seat[m.Part][0]] = b.seat[m.Part][1]
		case Hand:
		}
	}
	x := b.sp.Runs(b.attitude(), diagram.Run{Lo: int32(up), Hi: int32(up) + 1})
	for i, n := range seat {
		x = b.sp.And(x, b.seated(i, n))
	}
	for t := range b.m.Travels {
		p := b.m.Travels[t].Part
		if k := b.seat[p]; k[0] >= 0 && seat[k[0]] != k[1] {
			x = b.sp.And(x, b.parked[p])
			continue
		}
		off := touching
		if r := s.c.Radius[t]; b.m.Travels[t].Kind != mechanism.Slide && r > 1 {
			off /= r
		}
		x = b.sp.And(x, b.lat.Touching(mechanism.Bound{Travel: t, Lo: at[t] - off, Hi: at[t] + off}))
	}
	return x
}
