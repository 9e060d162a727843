package proof

import (
	"context"
	"fmt"

	"feint/internal/diagram"
)

// mostNodes is how many nodes of diagrams are made at most to follow ways move by move:
// a second or two of a desktop processor of 2020. With an aid eight moves of ten travels in
// six attitudes take 300 000 of them; without, each move takes three times those of the one
// before.
const mostNodes = 1_200_000

// LawFewest checks that no way of fewer than n moves leads from what is put down in start
// into the goal: move by move, everything that may come of one is followed unit by unit,
// as LawClosed does it, and the goal is not met before the n-th; an aid (Law.Aid) spares most
// of the units. Where that takes too much,
// it is followed as far as it goes: shown is that no way has fewer than the moves returned.
// reached is where fewer moves than these may lead: see LawFits, by which the law is shown
// to be the box's there.
func LawFewest(ctx context.Context, l *Law, start, goal diagram.Set, n int) (reached diagram.Set, shown int, err error) {
	k := newUnits(ctx, l)
	sp := l.Space
	k.most = sp.Made() + mostNodes
	fresh := k.settled(sp.And(start, k.free), 0, l.Runs)
	for reached = fresh; ; shown++ {
		if err := ctx.Err(); err != nil {
			return reached, shown, err
		}
		if err := sp.Err(); err != nil {
			return reached, shown, fmt.Errorf("%w: %w", ErrOpen, err)
		}
		if sp.Meets(fresh, goal) {
			return reached, shown, fmt.Errorf("%w: %d moves may lead into the goal, and no fewer than %d were said to", ErrRefused, shown, n)
		}
		if shown+1 >= n {
			return reached, n, nil
		}
		fresh = sp.Minus(k.moved(fresh), reached)
		if k.stopped() && ctx.Err() == nil && sp.Err() == nil { // the last move is not followed to its end
			return reached, shown + 1, nil
		}
		reached = sp.Or(reached, fresh)
	}
}

// moved is where one move of any kind may leave what begins in x.
func (k *units) moved(x diagram.Set) diagram.Set {
	out := diagram.Empty
	for _, m := range k.l.Hands {
		out = k.sp.Or(out, k.led(m, x))
	}
	if k.l.Attitude >= 0 {
		out = k.sp.Or(out, k.turned(x))
	}
	for i := range k.l.Swaps {
		out = k.sp.Or(out, k.swapped(&k.l.Swaps[i], x))
	}
	return out
}

// LawNoReturn checks that nothing leads from any situation of the goal that may be reached
// from start to where everything stands as in home: reached holds all that may come of
// start, back all that may come of what of it lies in goal, as LawClosed has it.
func LawNoReturn(ctx context.Context, l *Law, start, reached, goal, back, home diagram.Set) error {
	if err := LawClosed(ctx, l, start, reached, diagram.Empty); err != nil {
		return err
	}
	return LawClosed(ctx, l, l.Space.And(reached, goal), back, home)
}
