package export

import (
	"container/heap"
	"math"
	"slices"
)

// arm is a blind arm of a sheet: a place that can be reached, off the way, from
// which the sheet leads no further.
type arm struct {
	x, y   int     // column and row of its end
	fromX  int     // where it leaves the way
	fromY  int     //
	length float64 // from the way to its end, in the units of the drawing
}

// maxArms is how many arms get a letter.
const maxArms = 26

// arms finds the blind arms: the peaks of the distance from the way within what
// is reachable. A peak counts if one must come back from it by at least depth
// to reach a higher one or the way (its persistence; H. Edelsbrunner, D. Letscher
// and A. Zomorodian, 2002). Distances are measured in the drawing, dx and dy
// giving the size of columns and rows.
func (g *sheetGrid) arms(dx, dy []float64, depth float64) []arm {
	far, from := g.distances(dx, dy)
	order := []int{}
	for i, d := range far {
		if !math.IsInf(d, 1) {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case far[a] > far[b]:
			return -1
		case far[a] < far[b]:
			return 1
		default:
			return a - b
		}
	})
	root := map[int]int{} // place to its peak
	var find func(int) int
	find = func(i int) int {
		if root[i] != i {
			root[i] = find(root[i])
		}
		return root[i]
	}
	var out []arm
	settle := func(peak int, saddle float64) {
		if far[peak]-saddle >= depth {
			out = append(out, arm{peak % g.cols(), peak / g.cols(), from[peak] % g.cols(), from[peak] / g.cols(), far[peak]})
		}
	}
	for _, i := range order {
		root[i] = i
		g.around(i, func(j int) {
			if _, ok := root[j]; !ok {
				return
			}
			a, b := find(i), find(j)
			if a == b {
				return
			}
			if far[a] < far[b] || far[a] == far[b] && a > b {
				a, b = b, a
			}
			settle(b, far[i]) // the lower peak ends where the two meet
			root[b] = a
		})
	}
	for _, i := range order {
		if root[i] == i {
			settle(i, 0)
		}
	}
	slices.SortStableFunc(out, func(a, b arm) int {
		if a.y != b.y {
			return a.y - b.y
		}
		return a.x - b.x
	})
	return out[:min(len(out), maxArms)]
}

// around calls f for the reachable neighbours of a place.
func (g *sheetGrid) around(i int, f func(j int)) {
	n := g.cols()
	x, y := i%n, i/n
	try := func(x, y int) {
		if g.cyclic {
			x = (x + n) % n
		}
		if g.is(x, y, groundReach) {
			f(y*n + x)
		}
	}
	try(x-1, y)
	try(x+1, y)
	try(x, y-1)
	try(x, y+1)
}

// distances gives for every reachable place the way along columns and rows to
// the nearest place on the way taken, and that place (E. Dijkstra, 1959).
func (g *sheetGrid) distances(dx, dy []float64) (far []float64, from []int) {
	far, from = make([]float64, len(g.at)), make([]int, len(g.at))
	q := &byDistance{}
	for i := range far {
		far[i] = math.Inf(1)
		if g.onWay[i] && g.at[i] == groundReach {
			far[i], from[i] = 0, i
			heap.Push(q, reached{i, 0})
		}
	}
	n := g.cols()
	for q.Len() > 0 {
		k, ok := heap.Pop(q).(reached)
		if !ok || k.d > far[k.i] {
			continue
		}
		g.around(k.i, func(j int) {
			step := (dy[k.i/n] + dy[j/n]) / 2
			if k.i/n == j/n {
				step = (dx[k.i%n] + dx[j%n]) / 2
			}
			if d := k.d + step; d < far[j] {
				far[j], from[j] = d, from[k.i]
				heap.Push(q, reached{j, d})
			}
		})
	}
	return far, from
}

type reached struct {
	i int
	d float64
}

// byDistance is a heap of places, the nearest first.
type byDistance []reached

func (h byDistance) Len() int { return len(h) }
func (h byDistance) Less(a, b int) bool {
	return h[a].d < h[b].d || h[a].d == h[b].d && h[a].i < h[b].i
}
func (h byDistance) Swap(a, b int) { h[a], h[b] = h[b], h[a] }

// Push adds a place.
func (h *byDistance) Push(x any) {
	if r, ok := x.(reached); ok {
		*h = append(*h, r)
	}
}

// Pop takes the last place.
func (h *byDistance) Pop() any {
	o := *h
	x := o[len(o)-1]
	*h = o[:len(o)-1]
	return x
}
