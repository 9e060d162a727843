package motion

import (
	"feint/internal/diagram"
)

// Board is the bare question: a space of configurations, the free ones among
// them, and the levels that each part moves. It needs no geometry.
type Board struct {
	Space *diagram.Space
	Free  diagram.Set
	Moves []diagram.Levels
}

// Reach is every configuration that can be reached from one of start.
func (b *Board) Reach(start diagram.Set) diagram.Set {
	var all diagram.Levels
	for _, m := range b.Moves {
		all |= m
	}
	return b.Space.Close(all, start, b.Free)
}

// Next is every configuration that one move takes one of from to, from itself
// included.
func (b *Board) Next(from diagram.Set) diagram.Set {
	next := diagram.Empty
	for _, m := range b.Moves {
		next = b.Space.Or(next, b.Space.Close(m, from, b.Free))
	}
	return next
}

// Layers lists by the number of moves the configurations first reached after so
// many: the first entry is the free part of start, the last meets goal. If the
// goal cannot be reached it is false, and the layers are all there are. Ask
// Space.Err before believing either.
func (b *Board) Layers(start, goal diagram.Set) ([]diagram.Set, bool) {
	front := b.Space.And(start, b.Free)
	seen := front
	var layers []diagram.Set
	for front != diagram.Empty && b.Space.Err() == nil {
		layers = append(layers, front)
		if b.Space.Meets(front, goal) {
			return layers, true
		}
		front = b.Space.Minus(b.Next(front), seen)
		seen = b.Space.Or(seen, front)
	}
	return layers, false
}

// Narrow keeps of each layer what lies on a shortest way into goal.
func (b *Board) Narrow(layers []diagram.Set, goal diagram.Set) []diagram.Set {
	out := make([]diagram.Set, len(layers))
	last := len(layers) - 1
	out[last] = b.Space.And(layers[last], goal)
	for i := last - 1; i >= 0; i-- {
		out[i] = b.Space.And(layers[i], b.Next(out[i+1]))
	}
	return out
}

// Hop is one move on a board: the part (an index into Moves) and where it ends.
type Hop struct {
	Part int
	At   []int32
}

// Pass picks one of the ends of a move. The set given is not empty, holds only
// points that one move of the part reaches from cur and that lie on a shortest
// way.
type Pass func(part int, cur []int32, ends diagram.Set) []int32

// Walk follows narrowed layers from a point of the first, in as few strokes as
// so many moves can have. Where several parts can make the move the first listed
// does.
func (b *Board) Walk(narrow []diagram.Set, start []int32, pick Pass) []Hop {
	next := b.either(narrow)
	var hops []Hop
	cur := start
	for i := range narrow[1:] {
		p, ends := next(i, cur)
		if ends == diagram.Empty {
			continue // only a failed space comes here
		}
		cur = pick(p, cur, ends)
		hops = append(hops, Hop{p, cur})
	}
	return hops
}

// either is the next part to move from cur in layer i and where to.
func (b *Board) either(narrow []diagram.Set) func(i int, cur []int32) (int, diagram.Set) {
	if !b.single() {
		t := b.tally(narrow)
		return func(i int, cur []int32) (int, diagram.Set) { return b.frugal(t, i, cur) }
	}
	return func(i int, cur []int32) (int, diagram.Set) {
		here := b.Space.Point(cur)
		for p, m := range b.Moves {
			if ends := b.Space.And(b.Space.Close(m, here, b.Free), narrow[i+1]); ends != diagram.Empty {
				return p, ends
			}
		}
		return -1, diagram.Empty
	}
}

// Dead is what can be reached from start but leaves no way to goal: empty as
// long as every move can be taken back.
func (b *Board) Dead(start, goal diagram.Set) diagram.Set {
	return b.Space.Minus(b.Reach(start), b.Reach(goal))
}
