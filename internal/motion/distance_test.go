package motion_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"feint/internal/mechanism"
	"feint/internal/motion"

	"gonum.org/v1/gonum/graph/simple"
	"gonum.org/v1/gonum/graph/topo"
)

// TestDistancesOfRings: all 2^n states of n linked rings lie on one line, the Gray
// code (closed form): one place at every distance from 0 to 2^n - 1, the start at
// A000975(n), and one dead end, the far end of the line.
func TestDistancesOfRings(t *testing.T) {
	for i, start := range ringsA000975()[:7] {
		n := i + 1
		m, maps := linked(t, n)
		r, err := motion.Solve(context.Background(), m, maps, motion.Options{})
		if err != nil {
			t.Fatal(err)
		}
		d, err := r.Judge().Distances()
		if err != nil {
			t.Fatal(err)
		}
		if len(d.By) != 1<<n || len(d.Places) != 1<<n || d.Lost != 0 {
			t.Fatalf("%d rings: %d distances, %d places, %g lost; want %d, as many, none", n, len(d.By), len(d.Places), d.Lost, 1<<n)
		}
		for k, p := range d.Places {
			end, near := k == len(d.Places)-1, 1
			if k == 0 {
				near = 0
			}
			if p.Moves != k || p.End != end || p.Start != (k == start) || p.OnWay != (k <= start) || len(p.Nearer) != near || near == 1 && p.Nearer[0] != k-1 {
				t.Errorf("%d rings: place %d is %+v", n, k, p)
			}
			if dead := d.By[k].Ends > 0; dead != (end && k != start) {
				t.Errorf("%d rings: dead ends at distance %d: %v", n, k, dead)
			}
		}
	}
}

// moves gives the fewest moves to the goal from every cell, -1 where there is no
// way: layers over the connected components of each part's moves, those being
// gonum's.
func (l *listed) moves() []int {
	out := make([]int, l.count())
	var front []int
	for i := range out {
		if out[i] = -1; l.isFree[i] && l.goal.has(l.cells(i)) {
			out[i] = 0
			front = append(front, i)
		}
	}
	of := make([]map[int][]int64, l.parts)
	for p := range of {
		of[p] = map[int][]int64{}
		for _, c := range l.components(l.travelsOf(p)) {
			for _, id := range c {
				of[p][int(id)] = c
			}
		}
	}
	for d := 1; len(front) > 0; d++ {
		var next []int
		for _, i := range front {
			for p := range of {
				for _, id := range of[p][i] {
					if out[id] < 0 {
						out[id] = d
						next = append(next, int(id))
					}
				}
			}
		}
		front = next
	}
	return out
}

// places are the components of the cells of one distance, gonum's.
func (l *listed) places(in func(i int) bool) int {
	g := simple.NewUndirectedGraph()
	for i := range l.isFree {
		if !in(i) {
			continue
		}
		if g.Node(int64(i)) == nil {
			g.AddNode(simple.Node(i))
		}
		for k := range l.sizes {
			for _, j := range l.neighbours(i, k) {
				if j > i && in(j) {
					g.SetEdge(simple.Edge{F: simple.Node(i), T: simple.Node(j)})
				}
			}
		}
	}
	return len(topo.ConnectedComponents(g))
}

// TestDistancesAgainstGraph: configurations and places by distance on random small
// spaces, against those listed one by one.
func TestDistancesAgainstGraph(t *testing.T) {
	seen := 0
	for seed := range 60 {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			l := list(randomToy(rand.New(rand.NewPCG(uint64(seed), 7)), 3000, halved()))
			m, maps := l.mechanism(t)
			m.Goal, m.Steps = l.region(l.goal, 0), nil // strictly the goal is whole cells
			r, err := motion.Solve(context.Background(), m, maps, motion.Options{CountSlide: 1, CountTurn: 1})
			if err != nil {
				t.Fatal(err)
			}
			d, err := r.Judge().Distances()
			if err != nil {
				t.Fatal(err)
			}
			far := l.moves()
			if d == nil {
				if far[l.root] >= 0 {
					t.Fatal("no map, though the goal can be reached")
				}
				return
			}
			seen++
			l.checkDistances(t, d, far)
		})
	}
	if seen < 15 {
		t.Errorf("only %d spaces open: nothing was shown", seen)
	}
}

// checkDistances: a cell of a slide is one configuration, of a turn 2 pi by the
// number of its cells.
func (l *listed) checkDistances(t *testing.T, d *motion.Distances, far []int) {
	t.Helper()
	per := 1.0
	for k := range l.sizes {
		if l.full[k] {
			per *= 2 * math.Pi / float64(l.sizes[k])
		}
	}
	within := map[int]bool{}
	for _, c := range l.components(upTo(len(l.sizes))) {
		mine := false
		for _, id := range c {
			mine = mine || int(id) == l.root
		}
		for _, id := range c {
			within[int(id)] = mine
		}
	}
	for k, b := range d.By {
		n := 0
		in := func(i int) bool { return l.isFree[i] && within[i] && far[i] == k }
		for i := range far {
			if in(i) {
				n++
			}
		}
		if math.Abs(b.Count-per*float64(n)) > 1e-6*b.Count {
			t.Errorf("distance %d: %g configurations, want %g", k, b.Count, per*float64(n))
		}
		if want := l.places(in); b.Rest == 0 && b.Places != want {
			t.Errorf("distance %d: %d places, want %d", k, b.Places, want)
		}
	}
	for _, p := range d.Places {
		if p.Start != (p.Moves == far[l.root] && p.Start) || far[l.index(l.cellsOf(p.At))] != p.Moves {
			t.Errorf("a place at %v is said to be %d moves off; it is %d", p.At, p.Moves, far[l.index(l.cellsOf(p.At))])
		}
	}
}

// TestStartOnBorder: a start on the border of two units counts once, at the distance of
// the way. A bolt that starts in the middle of its range, one move off.
func TestStartOnBorder(t *testing.T) {
	m := build()
	x := slide(m, part(m, "bolt"), 0, 4, 2)
	y := slide(m, part(m, "latch"), 0, 4, 0.5)
	m.Goal.Bounds = []mechanism.Bound{{Travel: x, Lo: 3, Hi: 4}}
	maps := []motion.PairMap{table(t, m, 1, 2, []int{x, y}, []int{2, 4}, func(u []int) bool { return u[0] == 1 || u[1] > 0 })}
	m.Start[y] = 1 // on the border of what lets the bolt into its lower half
	r, err := motion.Solve(context.Background(), m, maps, motion.Options{})
	if err != nil {
		t.Fatal(err)
	}
	d, err := r.Judge().Distances()
	if err != nil {
		t.Fatal(err)
	}
	starts := 0
	for _, p := range d.Places {
		if p.Start {
			starts++
			if p.Moves != r.Drawn.Moves {
				t.Errorf("the start is said to be %d moves off; the way has %d", p.Moves, r.Drawn.Moves)
			}
		}
	}
	if starts != 1 {
		t.Errorf("%d places hold the start", starts)
	}
}
