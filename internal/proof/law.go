package proof

import (
	"context"
	"fmt"

	"feint/internal/diagram"
)

// Law is the law of hands on units, as it is read where what is in doubt counts as free
// and what may be carried may run or not.
type Law struct {
	Space *diagram.Space
	Free  diagram.Set // what may be free, beside the pairs
	Avoid diagram.Set // what is left out
	Pairs []LawPair
	Hands []diagram.Levels // by part that the hand leads, its levels
	Runs  []LawRun
	Give  [][]int32 // Give[k][j]: units of level j pushed at most by one of level k
	Slack int32     // units beyond contact within which a pair is surely clear
	// Attitude is the level of the attitudes, -1 for none; Near[a] those to which one turn
	// leads from a; Mixed lets run during a turn what may in either.
	Attitude int
	Near     [][]int
	Mixed    bool
	Swaps    []LawSwap
	Most     int  // nodes of diagrams that LawClosed makes at most; 0: no bound
	Aid      *Aid // nil for none
}

// LawPair is what two parts leave free.
type LawPair struct {
	A, B       int
	Free, Firm diagram.Set // may be free; surely is
	Yield      diagram.Levels
	On         diagram.Levels // on which it depends
}

// LawRun is one way in which a level is carried.
type LawRun struct {
	Level     int
	Up        bool
	Sure, May diagram.Set
	Pushes    bool
}

// LawSwap takes a tool from a situation of one of Ends to one of another, which differ in
// Levels only.
type LawSwap struct {
	Levels diagram.Levels
	Ends   []diagram.Set
}

// LawClosed checks that reached holds every situation in which what is put down in start
// may come to rest, that nothing the law allows leads out of it, and that it misses goal:
// each move of the hand, followed unit by unit with what it pushes and lets fall, each
// turn of the box, each tool taken over. So no way leads into the goal, if the law is the
// box's: see LawFits.
//
// What a move brings about is followed by single units, with no more than unions, cuts
// and shifts of sets; it is the words of the law put down once more, not the operators of
// the search.
func LawClosed(ctx context.Context, l *Law, start, reached, goal diagram.Set) error {
	k := newUnits(ctx, l)
	sp := l.Space
	if l.Most > 0 {
		k.most = sp.Made() + l.Most
	}
	if !sp.Within(reached, k.rest(0)) {
		return fmt.Errorf("%w: in a situation said to be reached something is not at rest", ErrRefused)
	}
	if out := k.settled(sp.And(start, k.free), 0, l.Runs); !sp.Within(out, reached) {
		return fmt.Errorf("%w: what is put down at the start may come to rest elsewhere", ErrRefused)
	}
	for i, m := range l.Hands {
		if !sp.Within(k.led(m, reached), reached) {
			return fmt.Errorf("%w: hand %d leads out of what is reached", ErrRefused, i+1)
		}
	}
	if l.Attitude >= 0 && !sp.Within(k.turned(reached), reached) {
		return fmt.Errorf("%w: turning the box leads out of what is reached", ErrRefused)
	}
	for i := range l.Swaps {
		if !sp.Within(k.swapped(&l.Swaps[i], reached), reached) {
			return fmt.Errorf("%w: tool %d, put elsewhere, leads out of what is reached", ErrRefused, i+1)
		}
	}
	if sp.Meets(reached, goal) {
		return fmt.Errorf("%w: a situation reached lies in the goal", ErrRefused)
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	if err := sp.Err(); err != nil {
		return fmt.Errorf("%w: %w", ErrOpen, err)
	}
	if k.stopped() {
		return fmt.Errorf("%w: there is too much to follow", ErrOpen)
	}
	return nil
}

// units follows the law unit by unit.
type units struct {
	ctx     context.Context
	l       *Law
	sp      *diagram.Space
	free    diagram.Set
	carried diagram.Levels
	most    int // nodes of the space at which to stop; 0: none
}

// stopped tells whether what is followed will not be followed to its end.
func (k *units) stopped() bool {
	return k.sp.Err() != nil || k.ctx.Err() != nil || k.most > 0 && k.sp.Made() > k.most
}

func newUnits(ctx context.Context, l *Law) *units {
	k := &units{ctx: ctx, l: l, sp: l.Space, free: l.Space.Minus(l.Free, l.Avoid)}
	for i := range l.Pairs {
		k.free = k.sp.And(k.free, l.Pairs[i].Free)
	}
	for i := range l.Runs {
		k.carried |= diagram.LevelsOf(l.Runs[i].Level)
	}
	return k
}

// firm is where all pairs that depend on one of the levels are surely clear.
func (k *units) firm(m diagram.Levels) diagram.Set {
	x := k.l.Free
	for i := range k.l.Pairs {
		if p := &k.l.Pairs[i]; p.On&m != 0 {
			x = k.sp.And(x, p.Firm)
		}
	}
	return x
}

// rest is the situations in which nothing but what is held surely runs.
func (k *units) rest(held diagram.Levels) diagram.Set {
	x := k.free
	for i := range k.l.Runs {
		r := &k.l.Runs[i]
		if own := diagram.LevelsOf(r.Level); held&own == 0 {
			x = k.sp.Minus(x, k.sp.And(r.Sure, k.sp.Shift(r.Level, -r.unit(), k.firm(own))))
		}
	}
	return x
}

func (r *LawRun) unit() int32 {
	if r.Up {
		return 1
	}
	return -1
}

// loose is all that may come of x while what is not held runs, x itself included.
func (k *units) loose(x diagram.Set, held diagram.Levels, runs []LawRun) diagram.Set {
	if all, ok := k.foretold(x, func(a *Aid) diagram.Set { return a.Loose(x, held, runs) },
		func(y diagram.Set) diagram.Set { return k.run(y, held, runs) }); ok {
		return all
	}
	for fresh := x; fresh != diagram.Empty && !k.stopped(); {
		fresh = k.sp.Minus(k.run(fresh, held, runs), x)
		x = k.sp.Or(x, fresh)
	}
	return x
}

// run is what comes of x as one of what is not held runs a unit on.
func (k *units) run(x diagram.Set, held diagram.Levels, runs []LawRun) diagram.Set {
	out := diagram.Empty
	for i := range runs {
		r := &runs[i]
		own := diagram.LevelsOf(r.Level)
		if held&own != 0 {
			continue
		}
		to := k.sp.Shift(r.Level, r.unit(), k.sp.And(x, r.May))
		out = k.sp.Or(out, k.sp.And(to, k.free))
		if r.Pushes {
			out = k.sp.Or(out, k.pushed(r.Level, k.sp.Minus(to, k.firm(own)), own, own, mostChain))
		}
	}
	return out
}

// settled is where x may come to rest.
func (k *units) settled(x diagram.Set, held diagram.Levels, runs []LawRun) diagram.Set {
	return k.sp.And(k.loose(x, held, runs), k.rest(held))
}

// pushed is what may come of y, where a unit of level by has brought parts of levels moved
// to overlap others; those in used stand still.
func (k *units) pushed(by int, y diagram.Set, used, moved diagram.Levels, chain int) diagram.Set {
	out := diagram.Empty
	if chain == 0 || y == diagram.Empty {
		return out
	}
	for i := range k.l.Pairs {
		p := &k.l.Pairs[i]
		if p.On&moved == 0 {
			continue
		}
		for j := range k.sp.Levels() {
			own := diagram.LevelsOf(j)
			if p.Yield&^used&own == 0 {
				continue
			}
			most := k.l.Give[by][j]
			for _, way := range [2]int32{1, -1} {
				x := k.sp.And(k.sp.Minus(y, p.Firm), k.clears(p, j, way, most+k.l.Slack))
				for range most {
					x = k.sp.Shift(j, way, x)
					out = k.sp.Or(out, k.sp.And(x, k.free))
					x = k.sp.Minus(x, k.firm(moved|own))
					out = k.sp.Or(out, k.pushed(by, k.sp.And(x, p.Free), used|own, moved|own, chain-1))
					x = k.sp.Minus(x, p.Firm)
				}
			}
		}
	}
	return out
}

// clears is where a pair is surely clear within so many units of level j one way.
func (k *units) clears(p *LawPair, j int, way, within int32) diagram.Set {
	x, at := diagram.Empty, p.Firm
	for range within {
		at = k.sp.Shift(j, -way, at)
		x = k.sp.Or(x, at)
	}
	return x
}

// near is the runs that a move of the levels m may call up: of what it moves, of what
// yields to that, and of what leans on those.
func (k *units) near(m diagram.Levels) []LawRun {
	for range k.sp.Levels() {
		for i := range k.l.Pairs {
			if p := &k.l.Pairs[i]; p.On&m != 0 {
				m |= p.Yield | p.On&k.carried
			}
		}
	}
	var out []LawRun
	for _, r := range k.l.Runs {
		if m&diagram.LevelsOf(r.Level) != 0 {
			out = append(out, r)
		}
	}
	return out
}

// led is where a hand that leads the levels m may leave what begins in x, unit by unit.
func (k *units) led(m diagram.Levels, x diagram.Set) diagram.Set {
	runs := k.near(m)
	held, ok := k.foretold(x, func(a *Aid) diagram.Set { return a.Led(m, x) },
		func(y diagram.Set) diagram.Set { return k.step(m, y, runs) })
	if !ok {
		held = k.following(m, x, runs)
	}
	if m&k.carried == 0 {
		return held
	}
	return k.settled(held, 0, runs)
}

// following is led, unit by unit, while the hand still holds.
func (k *units) following(m diagram.Levels, held diagram.Set, runs []LawRun) diagram.Set {
	for fresh := held; fresh != diagram.Empty && !k.stopped(); {
		fresh = k.sp.Minus(k.step(m, fresh, runs), held)
		held = k.sp.Or(held, fresh)
	}
	return held
}

// step is where one more unit of a hand that leads the levels m may bring x, or none, as
// what it does not hold may run at any time.
func (k *units) step(m diagram.Levels, x diagram.Set, runs []LawRun) diagram.Set {
	next := x
	for level := range k.sp.Levels() {
		own := diagram.LevelsOf(level)
		if m&own == 0 {
			continue
		}
		for _, way := range [2]int32{1, -1} {
			to := k.sp.Shift(level, way, x)
			next = k.sp.Or(next, k.sp.And(to, k.free))
			next = k.sp.Or(next, k.pushed(level, k.sp.Minus(to, k.firm(own)), m, own, mostChain))
		}
	}
	return k.settled(next, m, runs)
}

// turned is where x may come to rest after one turn of the box.
func (k *units) turned(x diagram.Set) diagram.Set {
	out := diagram.Empty
	for from, near := range k.l.Near {
		for _, to := range near {
			runs := k.l.Runs
			if k.l.Mixed {
				runs = nil
				for _, r := range k.l.Runs {
					r.May = k.sp.Or(r.May, k.upright(r.May, from, to))
					runs = append(runs, r)
				}
			}
			out = k.sp.Or(out, k.settled(k.sp.And(k.upright(x, from, to), k.free), 0, runs))
		}
	}
	return out
}

// upright is what of x has one attitude, with another in its place.
func (k *units) upright(x diagram.Set, from, to int) diagram.Set {
	at := func(a int) diagram.Set {
		return k.sp.Runs(k.l.Attitude, diagram.Run{Lo: int32(a), Hi: int32(a) + 1})
	}
	return k.sp.And(k.sp.Exists(diagram.LevelsOf(k.l.Attitude), k.sp.And(x, at(from))), at(to))
}

// swapped is where x may come to rest after a tool has been put elsewhere.
func (k *units) swapped(s *LawSwap, x diagram.Set) diagram.Set {
	out := diagram.Empty
	for i, from := range s.Ends {
		for j, to := range s.Ends {
			if i != j {
				y := k.sp.And(k.sp.Exists(s.Levels, k.sp.And(x, from)), to)
				out = k.sp.Or(out, k.settled(k.sp.And(y, k.free), 0, k.l.Runs))
			}
		}
	}
	return out
}
