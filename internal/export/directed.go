package export

import (
	"feint/internal/hands"
	"feint/internal/mechanism"
	"feint/internal/verdict/wording"
)

// DirectedSteps puts in the ways past steps that were found of the law of hands.
func (d *Document) DirectedSteps(m *mechanism.Mechanism, r *hands.Result) {
	b := &builder{m: m}
	for i := range r.Steps {
		w := r.Steps[i].Shortcut
		if w == nil || i >= len(d.Steps) || d.Steps[i].Shortcut != nil {
			continue
		}
		k := &ShortcutInfo{tidy(w.Growth), len(w.Moves), w.Strokes(), b.solution(w.Plain())}
		tellDirected(m, w, k.Solution)
		d.Steps[i].Shortcut = k
	}
}

// Directed puts into the solution what a way has beside the hand's own moves: turns
// of the box, tools, and what is pushed, falls and springs. w is the way that the
// document was made of; its clearances are not told, as several parts move at once.
func (d *Document) Directed(m *mechanism.Mechanism, w *hands.Way) {
	if w != nil && len(w.Moves) == len(d.Solution) {
		tellDirected(m, w, d.Solution)
	}
}

func tellDirected(m *mechanism.Mechanism, w *hands.Way, to []MoveInfo) {
	for i := range w.Moves {
		k, o := &w.Moves[i], &to[i]
		o.Words, o.Clearance, o.Against = wording.Move(m, k), nil, nil
		if k.Kind == hands.Turn {
			o.Part = "box"
		}
	}
}
