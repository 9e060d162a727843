package motion_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"feint/internal/motion"

	"gonum.org/v1/gonum/graph/flow"
	"gonum.org/v1/gonum/graph/path"
	"gonum.org/v1/gonum/graph/simple"
	"gonum.org/v1/gonum/graph/topo"
)

// The independent program of this file is gonum's graph packages: connected
// components, Dijkstra's shortest paths and dominators on the graph of all
// configurations, listed one by one.

// perMove is the weight of a move where strokes weigh 1: more than any way has
// strokes.
const perMove = 1 << 20

// listed is a toy with every configuration listed.
type listed struct {
	*toy
	isFree []bool
	root   int
}

func list(t *toy) *listed { return &listed{t, t.freeCells(), t.index(t.start)} }

// components are the sets of free configurations joined by the travels given.
func (l *listed) components(travels []int) [][]int64 {
	g := simple.NewUndirectedGraph()
	for i, ok := range l.isFree {
		if !ok {
			continue
		}
		if g.Node(int64(i)) == nil {
			g.AddNode(simple.Node(i))
		}
		for _, k := range travels {
			for _, j := range l.neighbours(i, k) {
				if j > i && l.isFree[j] {
					g.SetEdge(simple.Edge{F: simple.Node(i), T: simple.Node(j)})
				}
			}
		}
	}
	var out [][]int64
	for _, c := range topo.ConnectedComponents(g) {
		var ids []int64
		for _, n := range c {
			ids = append(ids, n.ID())
		}
		out = append(out, ids)
	}
	return out
}

// ways is a graph whose least weights are moves, strokes, or moves first and
// strokes second; nodes below count() are configurations.
type ways struct {
	*simple.WeightedDirectedGraph
	next int64
}

func (l *listed) newWays() *ways {
	w := &ways{simple.NewWeightedDirectedGraph(0, math.Inf(1)), int64(l.count())}
	for i, ok := range l.isFree {
		if ok {
			w.AddNode(simple.Node(i))
		}
	}
	return w
}

func (w *ways) edge(from, to int64, weight float64) {
	w.SetWeightedEdge(simple.WeightedEdge{F: simple.Node(from), T: simple.Node(to), W: weight})
}

// hub joins all of a component for the price of weight.
func (w *ways) hub(ids []int64, offset int64, weight float64) {
	for _, id := range ids {
		w.edge(id+offset, w.next, weight)
		w.edge(w.next, id+offset, 0)
	}
	w.next++
}

func (l *listed) byMoves() *ways {
	w := l.newWays()
	for p := 1; p < l.parts; p++ {
		for _, c := range l.components(l.travelsOf(p)) {
			w.hub(c, 0, 1)
		}
	}
	return w
}

func (l *listed) byStrokes() *ways {
	w := l.newWays()
	for k := range l.sizes {
		for _, c := range l.components([]int{k}) {
			w.hub(c, 0, 1)
		}
	}
	return w
}

// byBoth has a copy of the configurations for every part: while it is in hand.
func (l *listed) byBoth() *ways {
	w := l.newWays()
	w.next = int64(l.count()) * int64(l.parts)
	for p := 1; p < l.parts; p++ {
		copied := int64(p) * int64(l.count())
		for i, ok := range l.isFree {
			if ok {
				w.edge(int64(i), copied+int64(i), perMove)
				w.edge(copied+int64(i), int64(i), 0)
			}
		}
		for _, k := range l.travelsOf(p) {
			for _, c := range l.components([]int{k}) {
				w.hub(c, copied, 1)
			}
		}
	}
	return w
}

// least is the least weight from a configuration to one of a region; infinite
// if there is no way.
func (l *listed) least(w *ways, to func(q []int) bool) float64 {
	from := path.DijkstraFrom(simple.Node(l.root), w)
	best := math.Inf(1)
	for i, ok := range l.isFree {
		if ok && to(l.cells(i)) {
			best = min(best, from.WeightTo(int64(i)))
		}
	}
	return best
}

// opens tells whether the goal is met with some configurations taken away.
func (l *listed) opens(without func(q []int) bool) bool {
	c := &listed{l.toy, slices.Clone(l.isFree), l.root}
	for i := range c.isFree {
		c.isFree[i] = c.isFree[i] && !without(l.cells(i))
	}
	if !c.isFree[l.root] {
		return false
	}
	for _, ids := range c.components(upTo(len(l.sizes))) {
		if slices.Contains(ids, int64(l.root)) {
			return slices.ContainsFunc(ids, func(id int64) bool { return l.goal.has(l.cells(int(id))) })
		}
	}
	return false
}

func upTo(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// unavoidable tells by dominators whether every way from the start to the goal
// passes a region, which becomes one node of the graph.
func (l *listed) unavoidable(region toyRegion) bool {
	const goal, step = -1, -2
	name := func(i int) int64 {
		if region.has(l.cells(i)) {
			return step
		}
		return int64(i)
	}
	g := simple.NewDirectedGraph()
	for i, ok := range l.isFree {
		if !ok {
			continue
		}
		if g.Node(name(i)) == nil {
			g.AddNode(simple.Node(name(i)))
		}
		for k := range l.sizes {
			for _, j := range l.neighbours(i, k) {
				if l.isFree[j] && name(i) != name(j) {
					g.SetEdge(simple.Edge{F: simple.Node(name(i)), T: simple.Node(name(j))})
				}
			}
		}
		if l.goal.has(l.cells(i)) {
			g.SetEdge(simple.Edge{F: simple.Node(name(i)), T: simple.Node(goal)})
		}
	}
	tree := flow.Dominators(simple.Node(name(l.root)), g)
	for at := tree.DominatorOf(goal); at != nil; at = tree.DominatorOf(at.ID()) {
		if at.ID() == step {
			return true
		}
	}
	return name(l.root) == step
}

func answer(yes bool) motion.Answer {
	if yes {
		return motion.Yes
	}
	return motion.No
}

// TestAgainstGraph: on many random small spaces, least moves and strokes, the
// way itself, steps, idle parts and the way back against gonum.
func TestAgainstGraph(t *testing.T) {
	spaces, opening := 120, 0
	if testing.Short() {
		spaces = 30
	}
	for seed := range spaces {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			l := list(randomToy(rand.New(rand.NewPCG(uint64(seed), 1)), 3000, halved()))
			m, maps := l.mechanism(t)
			r, err := motion.Solve(context.Background(), m, maps, motion.Options{})
			if err != nil {
				t.Fatal(err)
			}
			moves := l.least(l.byMoves(), l.goal.has)
			if want := answer(!math.IsInf(moves, 1)); r.Drawn.Opens != want {
				t.Fatalf("opens: %v, want %v", r.Drawn.Opens, want)
			}
			for i, s := range r.Steps {
				if r.Drawn.Opens != motion.Yes {
					break
				}
				if want := answer(l.unavoidable(l.steps[i])); s.Unavoidable != want {
					t.Errorf("step %v unavoidable: %v, want %v", l.steps[i], s.Unavoidable, want)
				}
			}
			if r.Drawn.Opens != motion.Yes {
				return
			}
			opening++
			checkWay(t, l, r, int(moves))
			lay, err := motion.Lay(context.Background(), m, maps, motion.Options{})
			if err != nil {
				t.Fatal(err)
			}
			strokes, ok := lay.Strokes().Layers(lay.Ends(false))
			if want := l.least(l.byStrokes(), l.goal.has); !ok || float64(len(strokes)-1) != want {
				t.Errorf("fewest strokes %d (%v), want %v", len(strokes)-1, ok, want)
			}
			checkReset(t, l, r)
			checkIdle(t, l, r)
		})
	}
	if opening < spaces/4 {
		t.Errorf("only %d of %d spaces open: nothing was shown", opening, spaces)
	}
}

// checkWay: the fewest moves, and of the ways with so many one of the fewest
// strokes, followed cell by cell.
func checkWay(t *testing.T, l *listed, r *motion.Result, moves int) {
	t.Helper()
	if r.Drawn.Moves != moves || len(r.Way.Moves) != moves || !r.Way.Fewest {
		t.Errorf("%d moves, %d in the way, fewest %v; want %d", r.Drawn.Moves, len(r.Way.Moves), r.Way.Fewest, moves)
	}
	strokes := int(l.least(l.byBoth(), l.goal.has)) % perMove
	if got := r.Way.Strokes(); got != strokes {
		t.Errorf("%d strokes in %d moves, want %d", got, moves, strokes)
	}
	q := l.middle(l.start)
	for _, mv := range r.Way.Moves {
		for _, s := range mv.Strokes {
			if l.part[s.Travel] != mv.Part || math.Abs(s.From-q[s.Travel]) > 1e-9 {
				t.Fatalf("stroke %+v of part %d at %v", s, mv.Part, q)
			}
			l.run(t, q, s)
		}
	}
	if !l.goal.has(l.cellsOf(q)) {
		t.Errorf("the way ends at %v", q)
	}
}

// run follows a stroke cell by cell.
func (l *listed) run(t *testing.T, q []float64, s motion.Stroke) {
	t.Helper()
	const looks = 64
	for i := range looks + 1 {
		q[s.Travel] = s.From + (s.To-s.From)*float64(i)/looks
		if !l.free(l.cellsOf(q)) {
			t.Fatalf("stroke %+v passes %v", s, q)
		}
	}
	if l.full[s.Travel] {
		q[s.Travel] = s.To - 2*math.Pi*math.Floor(s.To/(2*math.Pi))
	}
}

func (l *listed) cellsOf(v []float64) []int {
	out := make([]int, len(v))
	for k := range v {
		c := int(math.Floor(v[k] / l.value(k, 1)))
		if l.full[k] {
			c = (c%l.sizes[k] + l.sizes[k]) % l.sizes[k]
		}
		out[k] = c
	}
	return out
}

// checkReset looks from all of the reachable goal at once for the start.
func checkReset(t *testing.T, l *listed, r *motion.Result) {
	t.Helper()
	w := l.byMoves()
	there := path.DijkstraFrom(simple.Node(l.root), w)
	const source = -1
	for i, ok := range l.isFree {
		if ok && l.goal.has(l.cells(i)) && !math.IsInf(there.WeightTo(int64(i)), 1) {
			w.edge(source, int64(i), 0)
		}
	}
	if want := path.DijkstraFrom(simple.Node(source), w).WeightTo(int64(l.root)); r.Reset.Possible != motion.Yes || r.Reset.Moves != int(want) {
		t.Errorf("reset %+v, want %v moves", r.Reset, want)
	}
}

func checkIdle(t *testing.T, l *listed, r *motion.Result) {
	t.Helper()
	var want []int
	for p := 1; p < l.parts; p++ {
		moved := func(q []int) bool {
			return slices.ContainsFunc(l.travelsOf(p), func(k int) bool { return q[k] != l.start[k] })
		}
		if l.opens(moved) {
			want = append(want, p)
		}
	}
	if !slices.Equal(r.Idle, want) {
		t.Errorf("idle parts %v, want %v", r.Idle, want)
	}
}
