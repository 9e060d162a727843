package hands

import (
	"feint/internal/diagram"
)

// Pair is what two parts leave free.
type Pair struct {
	Free diagram.Set // may be free
	Firm diagram.Set // surely free, within Free
	// Apart is where the pair may count as come apart after a push: Firm or more, where it is
	// not known exactly what the pair needs. Empty: Firm.
	Apart diagram.Set
	Yield diagram.Levels // levels of the two parts that give way when pushed
	// On is the levels on which the pair depends: a step along others pushes neither
	// of its parts. Prepare adds those on which the sets do.
	On diagram.Levels
}

// Drive carries one level one way: a weight, a spring, a magnet.
type Drive struct {
	Level  int
	Up     bool
	Sure   diagram.Set // where it surely acts, within May
	May    diagram.Set // where it may act
	Pushes bool        // strong enough to push what yields
}

// Swap puts a thing elsewhere: from a situation of one of Ends to one of another
// that differs in Levels only.
type Swap struct {
	Levels diagram.Levels
	Ends   []diagram.Set // no two meet
}

// Board is the bare question. Fields are not changed once it is in use.
type Board struct {
	Space *diagram.Space
	Free  diagram.Set // what else limits the space; diagram.All for nothing
	Pairs []Pair
	// Movers are the parts that the hand moves, each with its levels.
	Movers []diagram.Levels
	Drives []Drive
	// Give[k][j] is by how many units at most level j is pushed on while level k
	// moves by one: what would be pushed further is too steep and jams.
	Give [][]int32
	// Slack is how many units further a pair in doubt may need to be surely apart.
	Slack int32
	// Attitude is the level of the attitudes, -1 if the box is not turned; Near[a]
	// lists the attitudes to which one move turns it from a.
	Attitude int
	Near     [][]int
	// Mixed lets parts fall during a turn either way, in any order.
	Mixed bool
	Swaps []Swap
	// Avoid is what no way may pass: a situation that enters it is left out, but
	// parts move in it as they do elsewhere.
	Avoid diagram.Set

	// tidy, if there is one, may free every set but those of boards and those given.
	tidy func(keep ...diagram.Set)

	free    diagram.Set
	firms   map[diagram.Levels]diagram.Set
	rests   map[diagram.Levels]diagram.Set
	edges   map[edgeKey]diagram.Set
	tipped  map[[2]int][]Drive
	locals  map[diagram.Levels]*locality
	carried diagram.Levels // levels that some drive carries
	part    bool           // made by local: it has only what one move can change
}

// Prepare completes the board; it must be called once before anything is asked.
func (b *Board) Prepare() {
	sp := b.Space
	b.free = b.Free
	for i := range b.Pairs {
		p := &b.Pairs[i]
		p.On |= sp.Support(p.Free, p.Firm)
		b.free = sp.And(b.free, p.Free)
	}
	b.firms = map[diagram.Levels]diagram.Set{}
	b.locals = map[diagram.Levels]*locality{}
	b.free = sp.Minus(b.free, b.Avoid)
	b.rests = map[diagram.Levels]diagram.Set{}
	b.tipped = map[[2]int][]Drive{}
	for i := range b.Drives {
		b.carried |= diagram.LevelsOf(b.Drives[i].Level)
	}
}

// Moves is the number of kinds of move: first those of the Movers, then the
// turning of the box (where it can be turned), then the Swaps.
func (b *Board) Moves() int { return len(b.Movers) + b.turns() + len(b.Swaps) }

func (b *Board) turns() int {
	if b.Attitude < 0 {
		return 0
	}
	return 1
}

// Possible is every situation that may be free and need not be avoided, at rest
// or not.
func (b *Board) Possible() diagram.Set { return b.free }

// Rest is every situation that may be free and at rest.
func (b *Board) Rest() diagram.Set { return b.rest(0) }

// rest leaves the levels held by the hand out of account.
func (b *Board) rest(held diagram.Levels) diagram.Set {
	key := held & b.carried
	if x, ok := b.rests[key]; ok {
		return x
	}
	x := b.free
	for i := range b.Drives {
		d := &b.Drives[i]
		if held&diagram.LevelsOf(d.Level) == 0 {
			x = b.Space.Minus(x, b.Space.And(d.Sure, b.Space.Shift(d.Level, -d.step(), b.firm(diagram.LevelsOf(d.Level)))))
		}
	}
	b.rests[key] = x
	return x
}

// firm is where all pairs are surely free that depend on one of the levels m: what
// a step along them can change.
func (b *Board) firm(m diagram.Levels) diagram.Set {
	if x, ok := b.firms[m]; ok {
		return x
	}
	x := b.Free
	for i := range b.Pairs {
		if b.Pairs[i].On&m != 0 {
			x = b.Space.And(x, b.Pairs[i].Firm)
		}
	}
	b.firms[m] = x
	return x
}

func (d *Drive) step() int32 {
	if d.Up {
		return 1
	}
	return -1
}

// Settle is where what is not at rest may come to rest.
func (b *Board) Settle(x diagram.Set) diagram.Set {
	return b.Space.And(b.fall(b.Space.And(x, b.free), 0, b.Drives), b.rest(0))
}

// steps lists both ways along every level of m.
func steps(m diagram.Levels, n int, each func(k int, by int32)) {
	for k := range n {
		if m&diagram.LevelsOf(k) != 0 {
			each(k, 1)
			each(k, -1)
		}
	}
}

// Led is where a hand that leads the levels m may have brought, and still holds, what is at
// rest in x.
func (b *Board) Led(m diagram.Levels, x diagram.Set) diagram.Set {
	if x == diagram.Empty {
		return x
	}
	return b.local(m, x, func(b *Board, x diagram.Set) diagram.Set { return b.lead(m, 0, x) })
}

// Fallen is every situation on the way of what the drives carry, but for levels held,
// from the free situations of x on.
func (b *Board) Fallen(x diagram.Set, held diagram.Levels, drives []Drive) diagram.Set {
	return b.fall(b.Space.And(x, b.free), held, drives)
}
