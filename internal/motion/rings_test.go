package motion_test

import (
	"context"
	"fmt"
	"testing"

	"feint/internal/diagram"
	"feint/internal/mechanism"
	"feint/internal/motion"
)

// linked makes n linked rings on a bar, each a slide of four places: off, two
// between, on. Ring i changes only while ring i-1 is on and all before are off.
func linked(t testing.TB, n int) (*mechanism.Mechanism, []motion.PairMap) {
	m := build()
	var maps []motion.PairMap
	for i := range n {
		slide(m, part(m, fmt.Sprint("ring ", i+1)), 0, 4, 3.5)
		m.Goal.Bounds = append(m.Goal.Bounds, mechanism.Bound{Travel: i, Lo: 0, Hi: 1})
		for j := range i {
			want := 0
			if j == i-1 {
				want = 3
			}
			maps = append(maps, table(t, m, i+1, j+1, []int{i, j}, []int{4, 4}, func(u []int) bool {
				return u[0] == 0 || u[0] == 3 || u[1] == want
			}))
		}
	}
	return m, maps
}

// ringsA000975 is the number of moves from all on to all off, OEIS A000975.
func ringsA000975() []int {
	return []int{1, 2, 5, 10, 21, 42, 85, 170, 341, 682, 1365, 2730}
}

// TestLinkedRings: the whole of Solve on linked rings. Least moves and the way
// back are OEIS A000975; every ring is needed; nothing depends on the growth.
func TestLinkedRings(t *testing.T) {
	for i, want := range ringsA000975()[:8] {
		m, maps := linked(t, i+1)
		r, err := motion.Solve(context.Background(), m, maps, motion.Options{})
		if err != nil {
			t.Fatal(err)
		}
		if r.Drawn.Opens != motion.Yes || r.Drawn.Moves != want || len(r.Way.Moves) != want || !r.Way.Fewest {
			t.Errorf("%d rings: %+v, want %d moves", i+1, r.Drawn, want)
		}
		if r.Reset.Possible != motion.Yes || r.Reset.Moves != want {
			t.Errorf("%d rings: reset %+v, want %d moves", i+1, r.Reset, want)
		}
		if !r.Fit.Bind.Above {
			t.Errorf("%d rings bind at %+v", i+1, *r.Fit.Bind)
		}
	}
}

// board is n linked rings as a bare board, ring i at level n-1-i.
func board(t testing.TB, n int) (b *motion.Board, start, goal diagram.Set) {
	levels := make([]diagram.Level, n)
	on, off := make([]int32, n), make([]int32, n)
	moves := make([]diagram.Levels, n)
	for k := range levels {
		levels[k].Size = 3
		on[k] = 2
		moves[n-1-k] = diagram.LevelsOf(k)
	}
	s, err := diagram.New(context.Background(), levels, diagram.Options{})
	if err != nil {
		t.Fatal(err)
	}
	free := diagram.All
	for i := range n {
		for j := range i {
			want := diagram.Run{Lo: 0, Hi: 1}
			if j == i-1 {
				want = diagram.Run{Lo: 2, Hi: 3}
			}
			changing := s.Runs(n-1-i, diagram.Run{Lo: 1, Hi: 2})
			free = s.And(free, s.Or(s.Not(changing), s.Runs(n-1-j, want)))
		}
	}
	return &motion.Board{Space: s, Free: free, Moves: moves}, s.Point(on), s.Point(off)
}

// TestRingsOnBoard: OEIS A000975 for n = 1..12 and 16, there and back.
func TestRingsOnBoard(t *testing.T) {
	want := map[int]int{16: 43690} // (2^17-2)/3
	for i, v := range ringsA000975() {
		want[i+1] = v
	}
	for n, v := range want {
		b, on, off := board(t, n)
		for _, ends := range [][2]diagram.Set{{on, off}, {off, on}} {
			layers, ok := b.Layers(ends[0], ends[1])
			if !ok || len(layers)-1 != v || b.Space.Err() != nil {
				t.Errorf("%d rings: %v %d moves, want %d", n, ok, len(layers)-1, v)
			}
		}
	}
}
