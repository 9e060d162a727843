package hands

import "feint/internal/diagram"

// fall is every situation on the way of what is driven, beginning at x, which
// must be free; levels in held are held.
func (b *Board) fall(x diagram.Set, held diagram.Levels, drives []Drive) diagram.Set {
	sp := b.Space
	for fresh := x; fresh != diagram.Empty && sp.Err() == nil; {
		before := x
		for i := range drives {
			d := &drives[i]
			if held&diagram.LevelsOf(d.Level) != 0 {
				continue
			}
			from := sp.And(fresh, d.May)
			if from == diagram.Empty {
				continue
			}
			on := sp.Drift(d.Level, d.Up, from, sp.And(d.May, b.free))
			next := sp.Shift(d.Level, d.step(), on)
			x = sp.Or(x, sp.Or(on, sp.And(next, b.free)))
			if d.Pushes {
				x = sp.Or(x, b.push(d.Level, sp.Minus(next, b.firm(diagram.LevelsOf(d.Level))), diagram.LevelsOf(d.Level)))
			}
		}
		fresh = sp.Minus(x, before)
	}
	return x
}

// rise is the inverse: every free situation from which what is driven may come
// into x.
func (b *Board) rise(x diagram.Set, held diagram.Levels, drives []Drive) diagram.Set {
	sp := b.Space
	for fresh := x; fresh != diagram.Empty && sp.Err() == nil; {
		before := x
		for i := range drives {
			d := &drives[i]
			if held&diagram.LevelsOf(d.Level) != 0 {
				continue
			}
			may := sp.And(d.May, b.free)
			from := sp.And(sp.Shift(d.Level, -d.step(), fresh), may)
			x = sp.Or(x, sp.Drift(d.Level, !d.Up, from, may))
			if d.Pushes {
				y := sp.Minus(b.pull(d.Level, fresh, diagram.LevelsOf(d.Level)), b.firm(diagram.LevelsOf(d.Level)))
				x = sp.Or(x, sp.And(sp.Shift(d.Level, -d.step(), y), may))
			}
		}
		fresh = sp.Minus(x, before)
	}
	return x
}
