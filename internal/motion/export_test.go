package motion

import (
	"context"

	"feint/internal/diagram"
	"feint/internal/mechanism"
)

// Laid is a mechanism laid out on the levels of a space as Solve does it, as
// drawn: what tests look at between the maps and the answers.
type Laid struct{ w *world }

// Lay reads the maps and picks the order of the levels.
func Lay(ctx context.Context, m *mechanism.Mechanism, maps []PairMap, o Options) (*Laid, error) {
	w, err := newWorld(ctx, m, maps, o.withDefaults())
	if err != nil {
		return nil, err
	}
	return &Laid{w}, (&solver{w: w, r: &Result{Asked: o.Growth}}).first()
}

// Board is the board of the strict reading, or of the generous one.
func (l *Laid) Board(generously bool) *Board {
	q := ask(0)
	return l.w.board(l.w.freeFor(&q, by(generously)))
}

// Strokes is Board where a move is one stroke.
func (l *Laid) Strokes() *Board {
	b := l.Board(false)
	b.Moves = nil
	for k := range l.w.travel {
		b.Moves = append(b.Moves, diagram.LevelsOf(k))
	}
	return b
}

// Ends are the start and the goal.
func (l *Laid) Ends(generously bool) (start, goal diagram.Set) {
	return l.w.start, l.w.goal[by(generously)]
}

// At is the units of a configuration, a value for every travel.
func (l *Laid) At(q []float64) []int32 {
	p := make([]int32, len(q))
	for t, v := range q {
		p[l.w.level[t]] = int32(l.w.axes[t].place(v))
	}
	return p
}

func by(generously bool) reading {
	if generously {
		return generous
	}
	return strict
}
