package motion

import (
	"math/bits"

	"feint/internal/diagram"
)

// tally sorts the points of narrowed layers by the strokes that are left to the
// goal: tally[i][s] is the points of layer i from which the moves that are left
// take s strokes and no fewer.
type tally [][]diagram.Set

// single tells whether every part moves one level, so that a move is a stroke.
func (b *Board) single() bool {
	for _, m := range b.Moves {
		if bits.OnesCount64(uint64(m)) > 1 {
			return false
		}
	}
	return true
}

// tally counts strokes, back from the last layer. narrow comes from Narrow.
func (b *Board) tally(narrow []diagram.Set) tally {
	last := len(narrow) - 1
	out := make(tally, len(narrow))
	out[last] = []diagram.Set{narrow[last]}
	for i := last - 1; i >= 0 && b.Space.Err() == nil; i-- {
		out[i] = b.before(narrow[i], out[i+1])
	}
	return out
}

// before sorts the points of layer, given those of the next one.
func (b *Board) before(layer diagram.Set, next []diagram.Set) []diagram.Set {
	left := layer
	front := make([]diagram.Set, len(b.Moves)) // by part, from where the next layer is s strokes off
	var out []diagram.Set
	for s := 0; left != diagram.Empty && b.Space.Err() == nil; s++ {
		met := diagram.Empty
		for p, m := range b.Moves {
			x := b.stroke(m, front[p])
			if s < len(next) {
				x = b.Space.Or(x, next[s])
			}
			if s >= len(next) && x == front[p] {
				continue // no more comes of this part
			}
			front[p] = x
			met = b.Space.Or(met, b.Space.And(left, x))
		}
		out = append(out, met)
		left = b.Space.Minus(left, met)
	}
	return out
}

// stroke is what one stroke along a level of m reaches from x, x itself included.
func (b *Board) stroke(m diagram.Levels, x diagram.Set) diagram.Set {
	out := x
	for ; m != 0; m &= m - 1 {
		out = b.Space.Or(out, b.Space.Close(m&-m, x, b.Free))
	}
	return out
}

// left is the strokes that are left from a point of layer i, -1 if it is none.
func (b *Board) left(t tally, i int, p []int32) int {
	for s, x := range t[i] {
		if b.Space.Contains(x, p) {
			return s
		}
	}
	return -1
}

// frugal is the first part, and where it must go from cur in layer i, if no
// stroke is to be wasted: to points that have as many strokes left as the fewest
// that lead there allow. It is -1 if cur is not of the layer.
func (b *Board) frugal(t tally, i int, cur []int32) (int, diagram.Set) {
	s := b.left(t, i, cur)
	for p, m := range b.Moves {
		x := b.Space.Point(cur)
		for k := 1; k <= s; k++ {
			x = b.stroke(m, x)
			if rest := s - k; rest < len(t[i+1]) {
				if ends := b.Space.And(x, t[i+1][rest]); ends != diagram.Empty {
					return p, ends
				}
			}
		}
	}
	return -1, diagram.Empty
}
