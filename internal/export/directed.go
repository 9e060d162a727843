package export

import (
	"feint/internal/hands"
	"feint/internal/mechanism"
	"feint/internal/verdict/wording"
)

// Directed puts into the solution what a way has beside the hand's own moves: turns
// of the box, tools, and what is pushed, falls and springs. w is the way that the
// document was made of; its clearances are not told, as several parts move at once.
func (d *Document) Directed(m *mechanism.Mechanism, w *hands.Way) {
	if w == nil || len(w.Moves) != len(d.Solution) {
		return
	}
	for i := range w.Moves {
		k, o := &w.Moves[i], &d.Solution[i]
		o.Words, o.Clearance, o.Against = wording.Move(m, k), nil, nil
		if k.Kind == hands.Turn {
			o.Part = "box"
		}
	}
}
