package motion_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"

	"feint/internal/diagram"
	"feint/internal/motion"
)

// bitset is a set of configurations, one bit each.
type bitset []uint64

func newBitset(n int) bitset       { return make(bitset, (n+63)/64) }
func (b bitset) has(i int) bool    { return b[i>>6]>>(i&63)&1 != 0 }
func (b bitset) add(i int)         { b[i>>6] |= 1 << (i & 63) }
func (b bitset) join(c bitset)     { each(b, c, func(x, y uint64) uint64 { return x | y }) }
func (b bitset) cut(c bitset)      { each(b, c, func(x, y uint64) uint64 { return x &^ y }) }
func (b bitset) copy() bitset      { return append(bitset(nil), b...) }
func (b bitset) each(do func(int)) { eachBit(b, do) }

func each(b, c bitset, op func(x, y uint64) uint64) {
	for i := range b {
		b[i] = op(b[i], c[i])
	}
}

func eachBit(b bitset, do func(int)) {
	for w, x := range b {
		for k := 0; x != 0; k, x = k+1, x>>1 {
			if x&1 != 0 {
				do(w<<6 + k)
			}
		}
	}
}

func (b bitset) count() int {
	n := 0
	b.each(func(int) { n++ })
	return n
}

// brute searches a toy configuration by configuration.
type brute struct {
	*toy
	free bitset
}

func newBrute(t *toy) *brute {
	b := &brute{t, newBitset(t.count())}
	for i, ok := range t.freeCells() {
		if ok {
			b.free.add(i)
		}
	}
	return b
}

// move is what one move of a part reaches from a set, the set included.
func (b *brute) move(part int, from bitset) bitset {
	out := from.copy()
	var queue []int
	from.each(func(i int) { queue = append(queue, i) })
	travels := b.travelsOf(part)
	for len(queue) > 0 {
		i := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		for _, k := range travels {
			for _, j := range b.neighbours(i, k) {
				if b.free.has(j) && !out.has(j) {
					out.add(j)
					queue = append(queue, j)
				}
			}
		}
	}
	return out
}

// layers are the sets of configurations by the moves that they take, and all of
// them together.
func (b *brute) layers() ([]bitset, bitset) {
	seen := newBitset(b.count())
	seen.add(b.index(b.start))
	front := seen.copy()
	var out []bitset
	for front.count() > 0 {
		out = append(out, front)
		next := newBitset(b.count())
		for p := 1; p < b.parts; p++ {
			next.join(b.move(p, front))
		}
		next.cut(seen)
		seen.join(next)
		front = next
	}
	return out, seen
}

// onLevels lays a toy out on bare levels, a cell a unit, in any order.
func onLevels(t *testing.T, y *toy, level []int) *motion.Board {
	t.Helper()
	levels := make([]diagram.Level, len(level))
	for k, l := range level {
		levels[l] = diagram.Level{Size: int32(y.sizes[k]), Cyclic: y.full[k]}
	}
	s, err := diagram.New(context.Background(), levels, diagram.Options{})
	if err != nil {
		t.Fatal(err)
	}
	b := &motion.Board{Space: s, Free: diagram.All}
	for i := range y.tables {
		b.Free = s.And(b.Free, tableSet(s, y, &y.tables[i], level))
	}
	for p := 1; p < y.parts; p++ {
		var m diagram.Levels
		for _, k := range y.travelsOf(p) {
			m |= diagram.LevelsOf(level[k])
		}
		b.Moves = append(b.Moves, m)
	}
	return b
}

func tableSet(s *diagram.Space, y *toy, x *toyTable, level []int) diagram.Set {
	var ls []int
	for _, k := range x.travels {
		ls = append(ls, level[k])
	}
	var ends []int32
	for i, ok := range x.free {
		if !ok {
			continue
		}
		box := make([]int32, 2*len(ls))
		for j := len(ls) - 1; j >= 0; j-- {
			n := y.sizes[x.travels[j]]
			box[2*j], box[2*j+1] = int32(i%n), int32(i%n)+1
			i /= n
		}
		ends = append(ends, box...)
	}
	return s.FromBoxes(ls, ends)
}

func onLevel(q []int, level []int) []int32 {
	p := make([]int32, len(q))
	for k, l := range level {
		p[l] = int32(q[k])
	}
	return p
}

// TestBoardAgainstBits: on random spaces of up to 100 000 configurations, full
// turns and parts of two travels among them, every layer and the reachable set
// of the diagrams are those of a search bit by bit (a second algorithm of ours,
// by exhaustion).
func TestBoardAgainstBits(t *testing.T) {
	spaces := 24
	if testing.Short() {
		spaces = 6
	}
	total := 0
	for seed := range spaces {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			r := rand.New(rand.NewPCG(uint64(seed), 2))
			y := randomToy(r, 100_000, []int{2, 3, 5, 6, 7, 9, 12, 20})
			level := r.Perm(len(y.sizes))
			b := onLevels(t, y, level)
			want, reached := newBrute(y).layers()
			total += len(want)
			start := b.Space.Point(onLevel(y.start, level))
			got, _ := b.Layers(start, diagram.Empty)
			if len(got) != len(want) {
				t.Fatalf("%d layers, want %d", len(got), len(want))
			}
			for i := range want {
				sameSet(t, fmt.Sprint("layer ", i), b.Space, got[i], y, level, want[i])
			}
			sameSet(t, "reached", b.Space, b.Reach(start), y, level, reached)
		})
	}
	if total < 4*spaces {
		t.Errorf("%d layers in %d spaces: nothing was shown", total, spaces)
	}
}

func sameSet(t *testing.T, what string, s *diagram.Space, got diagram.Set, y *toy, level []int, want bitset) {
	t.Helper()
	if n := s.Count(got, nil); n != float64(want.count()) {
		t.Errorf("%s: %v configurations, want %d", what, n, want.count())
	}
	missing := 0
	want.each(func(i int) {
		if !s.Contains(got, onLevel(y.cells(i), level)) {
			missing++
		}
	})
	if missing > 0 {
		t.Errorf("%s: %d of %d configurations are missing", what, missing, want.count())
	}
}

// TestMapsAgainstBits: the same through pair maps, axes and the choice of levels:
// the middle of every cell is first reached after as many moves as the search bit
// by bit needs for the cell, by both readings.
func TestMapsAgainstBits(t *testing.T) {
	spaces := 16
	if testing.Short() {
		spaces = 4
	}
	for seed := range spaces {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			y := randomToy(rand.New(rand.NewPCG(uint64(seed), 3)), 30_000, []int{2, 4, 8, 16, 32})
			want, reached := newBrute(y).layers()
			m, maps := y.mechanism(t)
			l, err := motion.Lay(context.Background(), m, maps, motion.Options{})
			if err != nil {
				t.Fatal(err)
			}
			for _, generously := range [2]bool{false, true} {
				b := l.Board(generously)
				start, _ := l.Ends(generously)
				got, _ := b.Layers(start, diagram.Empty)
				if len(got) < len(want) {
					t.Fatalf("%d layers, want %d", len(got), len(want))
				}
				for i := range want {
					want[i].each(func(c int) {
						if !b.Space.Contains(got[i], l.At(y.middle(y.cells(c)))) {
							t.Fatalf("%v is not in layer %d", y.cells(c), i)
						}
					})
				}
				r := b.Reach(start)
				for c := range y.count() {
					if in := b.Space.Contains(r, l.At(y.middle(y.cells(c)))); in != reached.has(c) {
						t.Fatalf("%v reached: %v", y.cells(c), in)
					}
				}
			}
		})
	}
}
