package hands

import "feint/internal/diagram"

// Post is where move number i takes the situations x, which must be at rest: at
// rest again, x itself included for a move of the hand.
func (b *Board) Post(i int, x diagram.Set) diagram.Set {
	if x == diagram.Empty {
		return x
	}
	n := len(b.Movers)
	switch {
	case i < n:
		m := b.Movers[i]
		return b.local(m, x, func(b *Board, x diagram.Set) diagram.Set { return b.release(m, b.lead(m, 0, x)) })
	case i < n+b.turns():
		return b.turn(x)
	default:
		return b.swap(&b.Swaps[i-n-b.turns()], x)
	}
}

// Pre is the inverse of Post: the situations at rest that move i may take into x.
func (b *Board) Pre(i int, x diagram.Set) diagram.Set {
	if x == diagram.Empty {
		return x
	}
	n := len(b.Movers)
	switch {
	case i < n:
		m := b.Movers[i]
		return b.local(m, x, func(b *Board, x diagram.Set) diagram.Set {
			return b.Space.And(b.follow(m, 0, b.unrelease(m, x)), b.rest(0))
		})
	case i < n+b.turns():
		return b.unturn(x)
	default:
		return b.unswap(&b.Swaps[i-n-b.turns()], x)
	}
}

// release lets go of a part that a drive carries off.
func (b *Board) release(m diagram.Levels, x diagram.Set) diagram.Set {
	if m&b.carried == 0 {
		return x
	}
	return b.Space.And(b.fall(x, 0, b.near(m)), b.rest(0))
}

func (b *Board) unrelease(m diagram.Levels, x diagram.Set) diagram.Set {
	if m&b.carried == 0 {
		return x
	}
	return b.Space.And(b.rise(b.Space.And(x, b.rest(0)), 0, b.near(m)), b.rest(m))
}

// lead is everywhere that the hand leads the part with the levels m from x,
// holding it still. With only not 0 it moves along that one level, upwards or
// downwards as its sign tells (level k up is k+1, down -(k+1)).
func (b *Board) lead(m diagram.Levels, only int, x diagram.Set) diagram.Set {
	sp, rest := b.Space, b.rest(m)
	for fresh := x; fresh != diagram.Empty && sp.Err() == nil; {
		swept := b.sweep(m, only, true, fresh, rest)
		fresh = sp.Or(fresh, sp.Minus(swept, x))
		loose := fresh // and what is free but not at rest; what may fall does so at any time
		b.ways(m, only, func(k int, by int32) {
			y := sp.Shift(k, by, fresh)
			loose = sp.Or(loose, sp.And(sp.Minus(y, rest), b.free))
			loose = sp.Or(loose, b.push(k, sp.Minus(y, b.firm(diagram.LevelsOf(k))), m))
		})
		before := sp.Or(x, fresh)
		x = sp.Or(before, sp.And(b.fall(loose, m, b.near(m)), rest))
		fresh = sp.Minus(x, before)
	}
	return x
}

// sweep is the run of a move through situations at rest, there or back.
func (b *Board) sweep(m diagram.Levels, only int, there bool, x, rest diagram.Set) diagram.Set {
	if only == 0 {
		return b.Space.Close(m, x, rest)
	}
	return b.Space.Drift(level(only), (only > 0) == there, x, rest)
}

// follow is the inverse of lead.
func (b *Board) follow(m diagram.Levels, only int, x diagram.Set) diagram.Set {
	sp, rest := b.Space, b.rest(m)
	x = sp.And(x, rest)
	for fresh := x; fresh != diagram.Empty && sp.Err() == nil; {
		swept := b.sweep(m, only, false, fresh, rest)
		fresh = sp.Or(fresh, sp.Minus(swept, x))
		loose := b.rise(fresh, m, b.near(m))
		before := sp.Or(x, fresh)
		x = sp.Or(before, sp.And(loose, rest))
		b.ways(m, only, func(k int, by int32) {
			y := sp.Or(sp.Minus(loose, rest), sp.Minus(b.pull(k, loose, m), b.firm(diagram.LevelsOf(k))))
			x = sp.Or(x, sp.And(sp.Shift(k, -by, y), rest))
		})
		fresh = sp.Minus(x, before)
	}
	return x
}

func level(only int) int {
	if only > 0 {
		return only - 1
	}
	return -only - 1
}

// ways lists the unit steps of a move.
func (b *Board) ways(m diagram.Levels, only int, each func(k int, by int32)) {
	switch {
	case only > 0:
		each(only-1, 1)
	case only < 0:
		each(-only-1, -1)
	default:
		steps(m, len(b.Space.Levels()), each)
	}
}

// attitude is the situations in attitude a.
func (b *Board) attitude(a int) diagram.Set {
	return b.Space.Runs(b.Attitude, diagram.Run{Lo: int32(a), Hi: int32(a) + 1})
}

// turned is x with the attitude changed from one to another; what does not move
// along stands as it did.
func (b *Board) turned(x diagram.Set, from, to int) diagram.Set {
	sp := b.Space
	x = sp.And(x, b.attitude(from))
	return sp.And(sp.Exists(diagram.LevelsOf(b.Attitude), x), b.attitude(to))
}

func (b *Board) turn(x diagram.Set) diagram.Set {
	sp := b.Space
	out, plain := diagram.Empty, diagram.Empty
	for from, near := range b.Near {
		for _, to := range near {
			y := sp.And(b.turned(x, from, to), b.free)
			if y == diagram.Empty {
				continue
			}
			if b.Mixed {
				out = sp.Or(out, b.fall(y, 0, b.tip(from, to)))
			} else {
				plain = sp.Or(plain, y)
			}
		}
	}
	out = sp.Or(out, b.fall(plain, 0, b.Drives))
	return sp.And(out, b.rest(0))
}

func (b *Board) unturn(x diagram.Set) diagram.Set {
	sp := b.Space
	x = sp.And(x, b.rest(0))
	out := diagram.Empty
	plain := diagram.Empty
	if !b.Mixed {
		plain = b.rise(x, 0, b.Drives)
	}
	for from, near := range b.Near {
		for _, to := range near {
			y := plain
			if b.Mixed {
				y = b.rise(sp.And(x, b.attitude(to)), 0, b.tip(from, to))
			}
			out = sp.Or(out, b.turned(y, to, from))
		}
	}
	return sp.And(out, b.rest(0))
}

// tip is the drives while the box is turned: those of the new attitude, and
// those of the old one as they may still act.
func (b *Board) tip(from, to int) []Drive {
	key := [2]int{from, to}
	if ds, ok := b.tipped[key]; ok {
		return ds
	}
	var ds []Drive
	for _, d := range b.Drives {
		d.May = b.Space.Or(d.May, b.turned(d.May, from, to))
		ds = append(ds, d)
	}
	b.tipped[key] = ds
	return ds
}

func (b *Board) swap(s *Swap, x diagram.Set) diagram.Set {
	sp := b.Space
	out := diagram.Empty
	for i, from := range s.Ends {
		y := sp.Exists(s.Levels, sp.And(x, from))
		for j, to := range s.Ends {
			if i != j {
				out = sp.Or(out, sp.And(y, to))
			}
		}
	}
	out = b.fall(sp.And(out, b.free), 0, b.Drives)
	return sp.And(out, b.rest(0))
}

func (b *Board) unswap(s *Swap, x diagram.Set) diagram.Set {
	sp := b.Space
	y := b.rise(sp.And(x, b.rest(0)), 0, b.Drives)
	out := diagram.Empty
	for j, to := range s.Ends {
		z := sp.Exists(s.Levels, sp.And(y, to))
		for i, from := range s.Ends {
			if i != j {
				out = sp.Or(out, sp.And(z, from))
			}
		}
	}
	return sp.And(out, b.rest(0))
}
