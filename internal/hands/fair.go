package hands

import "feint/internal/diagram"

// fair is Fair of the box as drawn.
func (s *solver) fair(bs *[2]*Board, wide diagram.Set) bool {
	pin := func(x diagram.Set) { s.b.pinned = append(s.b.pinned, x) }
	return Fair(bs[strict], bs[generous], s.goal(strict), wide, pin) && s.b.trouble() == nil
}

// Fair tells whether a way into the goal is known from everywhere within wide, which no move
// of the generous reading leaves. One is known
//
//   - from what is surely free and at rest where the strict reading has one;
//   - where what falls, springs or was pushed stays as it lies, by moves of the hand that
//     lead into such a situation, or into the goal, through what is surely free of the parts
//     that it moves (calm): two that touch and are not moved need not be surely free;
//   - from what the hand may bring into a situation with a way, moving what it holds. That
//     what it has brought together it can part again is taken for granted there as far as
//     the maps allow it: a touch itself is never surely free;
//   - from where the box can be turned so that all that may come of it has a way.
//
// pin is told what must be kept.
func Fair(strict, generous *Board, goal, wide diagram.Set, pin func(diagram.Set)) bool {
	sp := generous.Space
	known := sp.And(sp.And(wide, strict.Rest()), strict.Back(goal))
	pin(known)
	known = sp.And(wide, sp.Or(known, calm(strict, generous, sp.Or(known, goal))))
	for !sp.Within(wide, known) && sp.Err() == nil {
		before := known
		pin(known)
		known = generous.saturate(known, func(i int, x diagram.Set) diagram.Set {
			if i >= len(generous.Movers) {
				return diagram.Empty
			}
			return sp.And(generous.Pre(i, x), wide)
		})
		known = sp.Or(known, generous.turnedInto(known, wide))
		if known == before {
			return false
		}
	}
	return sp.Err() == nil
}

// turnedInto is the situations of wide that the box can be turned from so that something
// comes to rest in x, and nothing that may come of it, which lies in wide, elsewhere.
func (b *Board) turnedInto(x, wide diagram.Set) diagram.Set {
	sp, out := b.Space, diagram.Empty
	others := sp.Minus(wide, x)
	for from, near := range b.Near {
		at := sp.And(wide, b.attitude(from))
		for _, to := range near {
			ds := b.Drives
			if b.Mixed {
				ds = b.tip(from, to)
			}
			into := func(y diagram.Set) diagram.Set { return b.turned(b.rise(sp.And(y, b.attitude(to)), 0, ds), to, from) }
			out = sp.Or(out, sp.And(at, sp.Minus(into(x), into(others))))
		}
	}
	return out
}

// calm is the situations from which the hand leads parts that nothing else moves into one of
// known, while all others stay where they are.
func calm(strict, generous *Board, known diagram.Set) diagram.Set {
	sp, g := generous.Space, generous
	var movers []diagram.Levels
	var moved diagram.Levels
	for _, m := range g.Movers {
		if m&g.carried == 0 {
			movers = append(movers, m)
			moved |= m
		}
	}
	z := sp.Minus(sp.And(g.Free, g.quiet()), g.Avoid)
	for i := range g.Pairs {
		if (g.Pairs[i].On|strict.Pairs[i].On)&moved != 0 {
			z = sp.And(z, strict.Pairs[i].Firm)
		} else {
			z = sp.And(z, g.Pairs[i].Free)
		}
	}
	x := sp.And(z, known)
	for before := diagram.Set(diagram.Empty); x != before && sp.Err() == nil; {
		before = x
		for _, m := range movers {
			x = sp.Close(m, x, z)
		}
	}
	return x
}

// quiet is where no drive may carry anything a unit on, nor push it.
func (b *Board) quiet() diagram.Set {
	sp, x := b.Space, diagram.Set(diagram.All)
	for i := range b.Drives {
		d := &b.Drives[i]
		own := diagram.LevelsOf(d.Level)
		next := b.Free
		for k := range b.Pairs {
			if p := &b.Pairs[k]; p.On&own != 0 && !(d.Pushes && p.Yield&^own != 0) {
				next = sp.And(next, p.Free)
			}
		}
		x = sp.Minus(x, sp.And(d.May, sp.Shift(d.Level, -d.step(), next)))
	}
	return x
}
