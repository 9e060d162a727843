package pipeline

import (
	"context"
	"fmt"
	"sync"

	"feint/internal/hands"
)

// handSlide and handTurn are the units in which a box with parts that are pushed,
// fall and spring back is played, mm and radians: finer than it is proved, as one
// situation at a time costs little and the eye sees where a part stops.
const (
	handSlide = 0.1
	handTurn  = 0.5 * 3.141592653589793 / 180
)

// laidOut is a box in somebody's hands, once it has been asked for.
type laidOut struct {
	mu  sync.Mutex
	try *hands.Try
}

// Directed tells whether some part is moved by something else than the hand at
// will: such a box is played by the law of package hands.
func (l *Live) Directed() bool { return !l.Mechanism.HandsOnly() }

// Hands lays the box out in somebody's hands, as drawn; once, so the first answer
// takes about as long as reading the maps of a proof. It is an error where a mesh is
// broken, or the start is not free.
func (l *Live) Hands(ctx context.Context) (*hands.Try, error) { return l.lay(ctx, &l.played) }

// Ahead is the same laid out once more, to ask for the way on: that takes longer, and
// meanwhile the play goes on.
func (l *Live) Ahead(ctx context.Context) (*hands.Try, error) { return l.lay(ctx, &l.ahead) }

func (l *Live) lay(ctx context.Context, at *laidOut) (*hands.Try, error) {
	at.mu.Lock()
	defer at.mu.Unlock()
	if at.try != nil {
		return at.try, nil
	}
	ps, skipped, err := maps(ctx, l.Mechanism, l.Bodies, recall(l.Mechanism, l.Bodies, l.opts), l.opts)
	if err != nil {
		return nil, err
	}
	if len(skipped) > 0 {
		s := skipped[0]
		return nil, fmt.Errorf("%s or %s has a broken mesh, so it is not known where they touch", l.Mechanism.Parts[s[0]].Name, l.Mechanism.Parts[s[1]].Name)
	}
	c := inHands(&Outcome{Mechanism: l.Mechanism, Bodies: l.Bodies}, ps)
	// what is laid out serves later questions too: it must outlast this one
	t, err := hands.NewTry(context.WithoutCancel(ctx), c, 0, hands.Options{Slide: handSlide, Turn: handTurn})
	if err != nil {
		return nil, err
	}
	keep(ps, l.opts)
	at.try = t
	return t, nil
}
