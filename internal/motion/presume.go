package motion

import (
	"context"
	"math"

	"feint/internal/mechanism"
)

// Presume asks at the growths asked whether what was found of a mechanism before its parts
// changed still holds: that the way opens it, in no fewer moves than it has, and that no
// way leaves out a step. It is told, and does not ask, that the way keeps every clearance
// at both growths asked and as drawn, and needs of the maps no more than what they show to
// be blocked; they are not refined. It is told of no play, and takes the most that
// Options.Play can be credited with.
//
// sure is false where any of it does not show: nothing is told then, and Solve must be
// asked. Else the result is as far known as that of Options.Asked, with the certificates
// of the loose end, which hold as drawn too.
func Presume(ctx context.Context, m *mechanism.Mechanism, maps []PairMap, moves []Move, o Options) (r *Result, sure bool, err error) {
	o.Play, o.PlayLater, o.Asked = nil, nil, nil
	for p := range m.Parts {
		o.Play = append(o.Play, PlayOf{Part: p, Sideways: math.MaxFloat32})
	}
	w, err := newWorld(ctx, m, maps, o.withDefaults())
	if err != nil {
		return nil, false, err
	}
	if err := w.chooseOrder(); err != nil {
		return nil, false, err
	}
	r = &Result{Asked: o.Growth, Way: &Way{Moves: moves, Least: len(moves), Fewest: true}}
	s := &solver{w: w, r: r}
	if !s.fewest() || !s.held() {
		return nil, false, w.trouble()
	}
	r.Fit.Bind = &Limit{Lo: max(0, o.Growth[1]), Hi: math.Inf(1)}
	r.Certificates, r.Ladder, r.world = w.certs, w.ladder(len(moves)), w
	return r, true, w.trouble()
}

// NeedsPresumed are the clearances that a pair may need in Presume, the least first, mm.
func NeedsPresumed(m *mechanism.Mechanism, a, b int, growth [2]float64) [3]float64 {
	drawn, loose := m.Needs(a, b, 0), m.Needs(a, b, min(0, growth[0]))
	return [3]float64{min(loose, -playDepth), loose, drawn}
}

// fewest tells whether no way has fewer moves than the one told, as drawn.
func (s *solver) fewest() bool {
	n := len(s.r.Way.Moves)
	q := ask(0)
	if least, _ := s.w.least(&q, n); least < n {
		return false
	}
	at := func(g float64) Opening {
		return Opening{Growth: g, Opens: Yes, Start: Yes, Goal: s.w.goalAtStart(), Moves: n}
	}
	s.r.Drawn, s.r.Tight, s.r.Loose = at(0), at(s.r.Asked[1]), at(s.r.Asked[0])
	return true
}

// held tells whether no step can be left out at the loose end, and not with play either,
// and notes the steps.
func (s *solver) held() bool {
	loose := min(0, s.r.Asked[0])
	for i := range s.w.m.Steps {
		q := ask(loose)
		q.avoid, q.what = i, "can step "+s.w.m.Steps[i].Name+" be avoided"
		for _, q.play = range []bool{true, false} {
			a, c := s.w.look(&q)
			if a != No {
				return false
			}
			if !q.play {
				s.w.certs = append(s.w.certs, *s.w.certify(&q, c))
			}
		}
		s.r.Steps = append(s.r.Steps, Step{Index: i, Unavoidable: Yes, HoldsTo: loose})
	}
	return true
}
