package hands

import "feint/internal/diagram"

// Reach is every situation at rest that moves bring about from start, which must
// be at rest.
func (b *Board) Reach(start diagram.Set) diagram.Set {
	return b.saturate(start, b.Post)
}

// BackWithin is every situation of within, which no move leaves, from which moves
// may lead into goal.
func (b *Board) BackWithin(goal, within diagram.Set) diagram.Set {
	goal = b.Space.And(b.Space.And(goal, within), b.rest(0))
	return b.saturate(goal, func(i int, x diagram.Set) diagram.Set {
		return b.Space.And(b.Pre(i, x), within)
	})
}

// Back is every situation at rest from which moves may lead into goal.
func (b *Board) Back(goal diagram.Set) diagram.Set {
	return b.saturate(b.Space.And(goal, b.rest(0)), b.Pre)
}

// saturate repeats every move until none brings anything new. A move is asked
// again only for what was added since it was asked last.
func (b *Board) saturate(x diagram.Set, move func(int, diagram.Set) diagram.Set) diagram.Set {
	sp := b.Space
	done := make([]diagram.Set, b.Moves())
	for changed := true; changed && sp.Err() == nil; {
		changed = false
		for i := range done {
			fresh := sp.Minus(x, done[i])
			if fresh == diagram.Empty {
				continue
			}
			b.tidied(append(done, x, fresh)...)
			done[i] = x
			if y := sp.Or(x, move(i, fresh)); y != x {
				x, changed = y, true
			}
		}
	}
	return x
}

// next is what one move of any kind makes of x.
func (b *Board) next(x diagram.Set) diagram.Set {
	out := diagram.Empty
	for i := range b.Moves() {
		out = b.Space.Or(out, b.Post(i, x))
	}
	return out
}

// Layers lists by the number of moves the situations first reached after so
// many, beginning with start; the last meets goal. If no layer does, it is false
// and the layers are all there are. Ask Space.Err before believing either.
func (b *Board) Layers(start, goal diagram.Set) ([]diagram.Set, bool) {
	sp := b.Space
	front, seen := start, start
	var layers []diagram.Set
	for front != diagram.Empty && sp.Err() == nil {
		layers = append(layers, front)
		b.tidied(append(layers, seen, goal)...)
		if sp.Meets(front, goal) {
			return layers, true
		}
		front = sp.Minus(b.next(front), seen)
		seen = sp.Or(seen, front)
	}
	return layers, false
}

// Narrow keeps of each layer what lies on a shortest way into goal.
func (b *Board) Narrow(layers []diagram.Set, goal diagram.Set) []diagram.Set {
	sp := b.Space
	out := make([]diagram.Set, len(layers))
	last := len(layers) - 1
	out[last] = sp.And(layers[last], goal)
	for i := last - 1; i >= 0; i-- {
		before := diagram.Empty
		for k := range b.Moves() {
			before = sp.Or(before, b.Pre(k, out[i+1]))
		}
		out[i] = sp.And(layers[i], before)
	}
	return out
}
