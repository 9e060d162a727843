package hands_test

import (
	"context"
	"math/rand/v2"
	"strings"
	"testing"

	"feint/internal/diagram"
	"feint/internal/hands"
)

// The maze of the gravity pin: a pin that only falls stands in one of the open
// cells and falls as the box is turned; a bolt moved by hand may be drawn when the
// pin lies in the cell G. Invented for this test.
const maze = `
#########
#..G.#..#
#.......#
#.#.#...#
#.#...#.#
##.#..###
#########`

// cells gives the open cells of the maze and the goal, x to the right, y up.
func cells() (open map[[2]int]bool, w, h int, goal [2]int) {
	rows := strings.Split(strings.TrimSpace(maze), "\n")
	open = map[[2]int]bool{}
	h, w = len(rows), len(rows[0])
	for i, row := range rows {
		for x, c := range row {
			p := [2]int{x, h - 1 - i}
			open[p] = c != '#'
			if c == 'G' {
				goal = p
			}
		}
	}
	return open, w, h, goal
}

// ways is the direction of fall by attitude: down, left, up, right of the drawing.
func ways() [4][2]int { return [4][2]int{{0, -1}, {-1, 0}, {0, 1}, {1, 0}} }

// mazeBoard has the levels x, y, bolt, attitude.
func mazeBoard(t *testing.T) (*hands.Board, [2]int) {
	open, w, h, goal := cells()
	sp, err := diagram.New(context.Background(), []diagram.Level{{Size: int32(w)}, {Size: int32(h)}, {Size: 3}, {Size: 4}}, diagram.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var ends []int32
	for x := range w {
		for y := range h {
			if open[[2]int{x, y}] {
				ends = append(ends, int32(x), int32(x)+1, int32(y), int32(y)+1)
			}
		}
	}
	walls := sp.FromBoxes([]int{0, 1}, ends)
	at := sp.Box([]int{0, 1}, []diagram.Run{{Lo: int32(goal[0]), Hi: int32(goal[0]) + 1}, {Lo: int32(goal[1]), Hi: int32(goal[1]) + 1}})
	lock := sp.Or(at, sp.Runs(2, diagram.Run{Lo: 0, Hi: 1}))
	b := &hands.Board{
		Space: sp, Free: diagram.All, Attitude: 3, Near: [][]int{{1, 3}, {0, 2}, {1, 3}, {0, 2}},
		Pairs:  []hands.Pair{{Free: walls, Firm: walls}, {Free: lock, Firm: lock}},
		Movers: []diagram.Levels{diagram.LevelsOf(2)},
	}
	for a, v := range ways() {
		when := sp.Runs(3, diagram.Run{Lo: int32(a), Hi: int32(a) + 1})
		k := 0
		if v[1] != 0 {
			k = 1
		}
		b.Drives = append(b.Drives, hands.Drive{Level: k, Up: v[0]+v[1] > 0, Sure: when, May: when})
	}
	b.Prepare()
	return b, goal
}

// leastTurns is a breadth-first search over cell and attitude, written for the
// maze alone (a second algorithm of ours): the fewest turns that bring the pin to
// the goal, and every cell in which it can come to rest.
func leastTurns(from, goal [2]int) (turns int, rests map[[2]int]bool) {
	open, _, _, _ := cells()
	type state struct {
		at  [2]int
		way int
	}
	fall := func(p [2]int, way int) [2]int {
		for v := ways()[way]; open[[2]int{p[0] + v[0], p[1] + v[1]}]; {
			p = [2]int{p[0] + v[0], p[1] + v[1]}
		}
		return p
	}
	start := state{fall(from, 0), 0}
	depth := map[state]int{start: 0}
	turns, rests = -1, map[[2]int]bool{}
	for todo := []state{start}; len(todo) > 0; todo = todo[1:] {
		s := todo[0]
		rests[s.at] = true
		if s.at == goal && turns < 0 {
			turns = depth[s]
		}
		for _, d := range []int{1, 3} {
			n := state{fall(s.at, (s.way+d)%4), (s.way + d) % 4}
			if _, ok := depth[n]; !ok {
				depth[n] = depth[s] + 1
				todo = append(todo, n)
			}
		}
	}
	return turns, rests
}

// TestGravityPin: the least moves are those turns and one draw of the bolt, and
// the cells of rest are the same.
func TestGravityPin(t *testing.T) {
	b, goal := mazeBoard(t)
	from := [2]int{1, 5}
	sp := b.Space
	start := b.Settle(sp.Point([]int32{int32(from[0]), int32(from[1]), 0, 0}))
	turns, rests := leastTurns(from, goal)
	if turns < 3 {
		t.Fatalf("the maze is too easy to test anything: %d turns", turns)
	}
	drawn := sp.Runs(2, diagram.Run{Lo: 2, Hi: 3})
	layers, ok := b.Layers(start, drawn)
	if !ok || len(layers)-1 != turns+1 {
		t.Fatalf("%v, %d moves, want %d turns and one draw", ok, len(layers)-1, turns)
	}
	reach := b.Reach(start)
	_, w, h, _ := cells()
	for x := range w {
		for y := range h {
			at := sp.Box([]int{0, 1}, []diagram.Run{{Lo: int32(x), Hi: int32(x) + 1}, {Lo: int32(y), Hi: int32(y) + 1}})
			if sp.Meets(at, reach) != rests[[2]int{x, y}] {
				t.Errorf("cell %d %d: %v, want %v", x, y, sp.Meets(at, reach), rests[[2]int{x, y}])
			}
		}
	}
	p, _ := sp.Pick(start, make([]int32, 4))
	hops := b.Walk(b.Narrow(layers, drawn), p, pickNear(b))
	if len(hops) != turns+1 || hops[turns].Move != 0 {
		t.Errorf("walk %+v", hops)
	}
}

// TestShaken: a pin shaken and turned at random, the bolt tried at random, never
// leaves what is said to be reachable.
func TestShaken(t *testing.T) {
	b, _ := mazeBoard(t)
	l := newLaw(b)
	r := rand.New(rand.NewPCG(7, 7))
	start := sorted(l.settle(l.index([]int32{1, 5, 0, 0}), 0, b.Drives))
	at := start[0]
	reach := b.Reach(b.Space.Point(l.points[at]))
	for range 3000 {
		if ends := sorted(l.move(r.IntN(b.Moves()), at)); len(ends) > 0 {
			at = ends[r.IntN(len(ends))]
		}
		if !l.in(reach, at) {
			t.Fatalf("came to %v, which is said to be out of reach", l.points[at])
		}
	}
}
