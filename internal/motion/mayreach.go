package motion

import (
	"feint/internal/diagram"
	"feint/internal/mechanism"
)

// MayReach gives a test whether some configuration within the bounds may be reached from
// the start, printed at the growth, by hands that reach everything; what is not known
// counts as reached. The maps are taken as they are. Nothing else may be asked of the
// result while the test is in use, and the context given to Solve must still hold.
func (r *Result) MayReach(growth float64) func([]mechanism.Bound) bool {
	w := r.world
	if w == nil {
		return func([]mechanism.Bound) bool { return true }
	}
	reach, done := diagram.Empty, false
	return func(bs []mechanism.Bound) bool {
		if !done {
			w.tidy()
			q := ask(growth)
			reach, done = w.board(w.freeFor(&q, generous)).Reach(w.start), true
		}
		x := reach
		for _, b := range bs {
			x = w.sp.And(x, w.touching(b))
		}
		return x != diagram.Empty || w.trouble() != nil
	}
}
