package hands

import (
	"feint/internal/diagram"
	"feint/internal/motion"
)

// Distances counts, as drawn, the situations at rest that can be reached, by the
// fewest moves to the goal, in units of the lattice. It rests on the strict reading:
// with more known, a distance can only fall.
type Distances struct {
	By   []float64 // by the number of moves
	Lost float64   // from which no way to the goal was found: traps, and what is not known
}

// Distances asks once more; the context given to Solve must still hold. It is nil if
// the goal cannot be reached.
func (r *Result) Distances() (*Distances, error) {
	s := r.solver
	if s == nil || s.r.Drawn.Opens != motion.Yes {
		return nil, nil
	}
	sp := s.b.sp
	b := s.boards(law{growth: 0, avoid: -1})[strict]
	reach := b.Reach(s.begin(b))
	s.b.pinned = append(s.b.pinned, reach)
	defer func() { s.b.pinned = nil }()
	out := &Distances{}
	front := sp.And(sp.And(s.goal(strict), reach), b.rest(0))
	seen := front
	for front != diagram.Empty && sp.Err() == nil {
		out.By = append(out.By, sp.Count(front, nil))
		b.tidied(front, seen)
		before := diagram.Empty
		for i := range b.Moves() {
			before = sp.Or(before, b.Pre(i, front))
		}
		front = sp.Minus(sp.And(before, reach), seen)
		seen = sp.Or(seen, front)
	}
	out.Lost = sp.Count(sp.Minus(reach, seen), nil)
	if err := s.b.trouble(); err != nil {
		return nil, err
	}
	if len(out.By) == 0 {
		return nil, nil
	}
	return out, nil
}
