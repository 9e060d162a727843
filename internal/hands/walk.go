package hands

import "feint/internal/diagram"

// Leg is one stroke of the hand: along Level, upwards or down, to the situation
// At, in which other levels may have been pushed or have fallen.
type Leg struct {
	Level int
	Up    bool
	At    []int32
}

// Hop is one move on a board: its number and where it ends. A move of the hand
// has legs; where the hand lets go of a part that is driven, At differs from the
// end of the last leg.
type Hop struct {
	Move int
	Legs []Leg
	At   []int32
}

// Choose picks a point of ends, which is not empty. level is the one that the
// hand has moved, -1 if it is none.
type Choose func(level int, cur []int32, ends diagram.Set) []int32

// Walk follows narrowed layers from the situation start, a point of the first.
// Where several moves serve, the one of the lowest number is taken.
func (b *Board) Walk(narrow []diagram.Set, start []int32, pick Choose) []Hop {
	var hops []Hop
	cur := start
	for _, layer := range narrow[1:] {
		here := b.Space.Point(cur)
		for i := range b.Moves() {
			ends := b.Space.And(b.Post(i, here), layer)
			if ends == diagram.Empty {
				continue
			}
			h := b.hop(i, cur, ends, pick)
			hops = append(hops, h)
			cur = h.At
			break
		}
	}
	return hops
}

func (b *Board) hop(i int, cur []int32, ends diagram.Set, pick Choose) Hop {
	h := Hop{Move: i}
	if i >= len(b.Movers) {
		h.At = pick(-1, cur, ends)
		return h
	}
	m := b.Movers[i]
	h.Legs = b.legs(m, cur, b.unrelease(m, ends), pick)
	h.At = cur
	if n := len(h.Legs); n > 0 {
		h.At = h.Legs[n-1].At
	}
	if m&b.carried != 0 {
		h.At = pick(-1, h.At, b.Space.And(b.release(m, b.Space.Point(h.At)), ends))
	}
	return h
}

// legs divides a move from cur into ends into as few strokes as any way takes.
func (b *Board) legs(m diagram.Levels, cur []int32, ends diagram.Set, pick Choose) []Leg {
	sp := b.Space
	var ways []int
	steps(m, len(sp.Levels()), func(k int, by int32) { ways = append(ways, int(by)*(k+1)) })
	front := b.Space.Point(cur)
	layers, seen := []diagram.Set{front}, front
	for !sp.Meets(front, ends) && front != diagram.Empty && sp.Err() == nil {
		next := diagram.Empty
		for _, o := range ways {
			next = sp.Or(next, b.lead(m, o, front))
		}
		front = sp.Minus(next, seen)
		seen = sp.Or(seen, front)
		layers = append(layers, front)
	}
	last := len(layers) - 1
	layers[last] = sp.And(layers[last], ends)
	for i := last - 1; i >= 0; i-- {
		before := diagram.Empty
		for _, o := range ways {
			before = sp.Or(before, b.follow(m, o, layers[i+1]))
		}
		layers[i] = sp.And(layers[i], before)
	}
	var out []Leg
	for _, layer := range layers[1:] {
		here := sp.Point(cur)
		for _, o := range ways {
			to := sp.And(b.lead(m, o, here), layer)
			if to == diagram.Empty {
				continue
			}
			cur = pick(level(o), cur, to)
			out = append(out, Leg{Level: level(o), Up: o > 0, At: cur})
			break
		}
	}
	return out
}
