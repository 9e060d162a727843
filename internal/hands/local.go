package hands

import "feint/internal/diagram"

// related is the levels that a move of m can change: its own, those that yield to
// them, and those that what they move may set free, and so on.
func (b *Board) related(m diagram.Levels) diagram.Levels {
	for before := diagram.Levels(0); before != m; {
		before = m
		for i := range b.Pairs {
			if p := &b.Pairs[i]; p.On&m != 0 {
				m |= p.Yield | p.On&b.carried
			}
		}
	}
	return m
}

// near is the drives that may act in a move of m.
func (b *Board) near(m diagram.Levels) []Drive {
	if b.part {
		return b.Drives
	}
	related := b.related(m)
	var out []Drive
	for i := range b.Drives {
		if related&diagram.LevelsOf(b.Drives[i].Level) != 0 {
			out = append(out, b.Drives[i])
		}
	}
	return out
}

// locality is what a move of one part can change, and what that hangs on.
type locality struct {
	top, bottom int // the first level related, and the last on which anything hangs
	sets        []diagram.Set
	pairs       []Pair
	drives      []Drive
}

// locality of a move of m, made once.
func (b *Board) locality(m diagram.Levels) *locality {
	if l, ok := b.locals[m]; ok {
		return l
	}
	sp := b.Space
	related := b.related(m)
	l := &locality{drives: b.near(m)}
	for related&diagram.LevelsOf(l.top) == 0 {
		l.top++
	}
	limit := func(x diagram.Set) diagram.Set { // what limits the move beside the pairs
		if sp.Support(x)&related == 0 {
			return diagram.All
		}
		return x
	}
	bounds := limit(b.Free)
	free := sp.And(bounds, limit(sp.Not(b.Avoid)))
	for _, p := range b.Pairs {
		if p.On&related != 0 {
			l.pairs = append(l.pairs, p)
			free = sp.And(free, p.Free)
		}
	}
	rest := func(held diagram.Levels) diagram.Set {
		x := free
		for i := range l.drives {
			d := &l.drives[i]
			if held&diagram.LevelsOf(d.Level) == 0 {
				x = sp.Minus(x, sp.And(d.Sure, sp.Shift(d.Level, -d.step(), b.firm(diagram.LevelsOf(d.Level)))))
			}
		}
		return x
	}
	l.sets = []diagram.Set{free, bounds, rest(m), rest(0)}
	for _, p := range l.pairs {
		l.sets = append(l.sets, p.Firm, p.Free, p.apart())
	}
	for _, d := range l.drives {
		l.sets = append(l.sets, d.May)
	}
	hangs := related
	for _, x := range l.sets {
		hangs |= sp.Support(x)
	}
	for k := range sp.Levels() {
		if hangs&diagram.LevelsOf(k) != 0 {
			l.bottom = k
		}
	}
	b.locals[m] = l
	return l
}

// local asks of a move of m what do makes of x, on a board that has only what the
// move can change. The levels above are cut, once for all that is equal below; the
// levels below stay as they are.
func (b *Board) local(m diagram.Levels, x diagram.Set, do func(*Board, diagram.Set) diagram.Set) diagram.Set {
	l, sp := b.locality(m), b.Space
	return sp.Under(l.top, append([]diagram.Set{x}, l.sets...), func(s []diagram.Set) diagram.Set {
		k := l.board(b, m, s[1:])
		out := diagram.Empty
		for _, p := range sp.Split(l.bottom, s[0]) {
			out = sp.Or(out, sp.And(do(k, p.Above), p.Below))
		}
		return out
	})
}

// board is the board of the move, with the sets as they are below.
func (l *locality) board(b *Board, m diagram.Levels, s []diagram.Set) *Board {
	k := &Board{
		part: true, Space: b.Space, Attitude: -1, Give: b.Give, Slack: b.Slack, free: s[0], Free: s[1], carried: b.carried,
		firms: map[diagram.Levels]diagram.Set{}, rests: map[diagram.Levels]diagram.Set{m & b.carried: s[2]},
		Pairs: append([]Pair(nil), l.pairs...), Drives: append([]Drive(nil), l.drives...),
	}
	k.rests[0] = s[3]
	for i := range k.Pairs {
		k.Pairs[i].Firm, k.Pairs[i].Free, k.Pairs[i].Apart = s[4+3*i], s[5+3*i], s[6+3*i]
	}
	for i := range k.Drives {
		k.Drives[i].May = s[4+3*len(k.Pairs)+i]
	}
	return k
}
