package mesh

import (
	"slices"

	"feint/internal/geom"
)

// forest joins numbers into classes (union-find with path halving).
type forest []int32

func newForest(n int) forest {
	f := make(forest, n)
	for i := range f {
		f[i] = int32(i)
	}
	return f
}

func (f forest) find(i int32) int32 {
	for f[i] != i {
		f[i] = f[f[i]]
		i = f[i]
	}
	return i
}

// join lets the smaller number stand for both, so that the result does not
// depend on the order of joining.
func (f forest) join(i, j int32) {
	i, j = f.find(i), f.find(j)
	if i < j {
		f[j] = i
	} else {
		f[i] = j
	}
}

// cells are the pieces of space into which the complex divides it: side 2r is
// the front of region r, 2r+1 its back, and sides that see each other around
// an edge belong to one cell.
type cells struct {
	*complex
	side forest
	kept []bool // by the side that stands for the cell
}

// front and back are the cells on the two sides of a region.
func (c *cells) front(r int32) int32 { return c.side.find(2 * r) }
func (c *cells) back(r int32) int32  { return c.side.find(2*r + 1) }

// ahead is the side that a half-edge's triangle shows when turning
// counter-clockwise about the edge, behind the other one.
func (x *complex) ahead(h halfEdge) int32 {
	r := x.parts[h.part].region
	if h.forward {
		return 2 * r
	}
	return 2*r + 1
}

func (x *complex) behind(h halfEdge) int32 { return x.ahead(h) ^ 1 }

// findCells joins the sides around every edge.
func (x *complex) findCells() (*cells, error) {
	c := &cells{complex: x, side: newForest(2 * len(x.regions))}
	var failed *Unresolved
	var spokes []spoke
	var sorted []halfEdge
	corners := func(i int) [3]int32 { return x.parts[i].v }
	eachEdge(len(x.pts.pts), len(x.parts), corners, func(a, b int32, h []halfEdge) {
		if len(h) > 2 {
			spokes = spokes[:0]
			for i, e := range h {
				spokes = append(spokes, spoke{x.regions[x.parts[e.part].region].plane, e.forward, int32(i)})
			}
			if !x.turnAround(a, b, spokes) && failed == nil {
				failed = unresolvedAt(&x.pts.pts[a].f, "faces lie on each other along an edge")
			}
			sorted = sorted[:0]
			for _, s := range spokes {
				sorted = append(sorted, h[s.what])
			}
			h = sorted
		}
		for i := range h {
			c.side.join(x.ahead(h[i]), x.behind(h[(i+1)%len(h)]))
		}
	})
	if failed != nil {
		return nil, failed
	}
	return c, nil
}

// step leads from one cell through a region into another.
type step struct {
	to     int32
	region int32
	out    bool // from the back to the front
}

// classify finds for every cell whether it belongs to the result.
func (c *cells) classify(keep func(winding []int32) bool) error {
	n := len(c.side)
	c.kept = make([]bool, n)
	start := make([]int32, n+1)
	for r := range int32(len(c.regions)) {
		start[c.front(r)+1]++
		start[c.back(r)+1]++
	}
	for i := range n {
		start[i+1] += start[i]
	}
	steps := make([]step, start[n])
	at := slices.Clone(start)
	for r := range int32(len(c.regions)) {
		f, b := c.front(r), c.back(r)
		steps[at[f]] = step{b, r, false}
		steps[at[b]] = step{f, r, true}
		at[f]++
		at[b]++
	}
	seen := make([]bool, n)
	w := walk{cells: c, start: start, steps: steps, seen: seen, keep: keep, winding: make([]int32, c.solids), sum: make([]int64, n)}
	roots, err := c.pickRoots()
	if err != nil {
		return err
	}
	for _, r := range roots {
		if !seen[r.cell] {
			copy(w.winding, r.winding)
			w.run(r.cell)
		}
	}
	return w.verify()
}

// walk visits the cells one after the other, carrying the winding numbers.
type walk struct {
	*cells
	start   []int32
	steps   []step
	seen    []bool
	keep    func(winding []int32) bool
	winding []int32
	sum     []int64 // a checksum of the cell's winding numbers
}

// pass carries the winding numbers through a step.
func (w *walk) pass(s *step, sign int32) {
	if s.out {
		sign = -sign
	}
	for _, j := range w.regions[s.region].jumps {
		w.winding[j.solid] += sign * j.by
	}
}

// weightOf spreads the solids' numbers for the checksum (Knuth's
// multiplicative hashing).
func weightOf(solid int32) int64 { return int64(uint64(solid+1) * 0x9e3779b97f4a7c15) }

func (w *walk) enter(c int32) {
	w.seen[c] = true
	w.kept[c] = w.keep(w.winding)
	var s int64
	for i, n := range w.winding {
		s += int64(n) * weightOf(int32(i))
	}
	w.sum[c] = s
}

func (w *walk) run(root int32) {
	type frame struct {
		next, end int32
		by        int32 // the step that led here, -1 at the root
	}
	w.enter(root)
	stack := []frame{{w.start[root], w.start[root+1], -1}}
	for len(stack) > 0 {
		f := &stack[len(stack)-1]
		if f.next == f.end {
			if f.by >= 0 {
				w.pass(&w.steps[f.by], -1)
			}
			stack = stack[:len(stack)-1]
			continue
		}
		k := f.next
		f.next++
		if s := &w.steps[k]; !w.seen[s.to] {
			w.pass(s, 1)
			w.enter(s.to)
			stack = append(stack, frame{w.start[s.to], w.start[s.to+1], k})
		}
	}
}

// verify confirms that every way into a cell gives the same winding numbers.
// It fails on input that is not closed.
func (w *walk) verify() error {
	for i, p := range w.parts {
		r := p.region
		d := w.sum[w.back(r)] - w.sum[w.front(r)]
		for _, j := range w.regions[r].jumps {
			d -= int64(j.by) * weightOf(j.solid)
		}
		if d != 0 {
			return unresolvedAt(&w.pts.pts[w.parts[i].v[0]].f, "inside and outside are not told apart")
		}
	}
	return nil
}

// inMM is a place of the arrangement in mm.
func inMM(f *[3]float64) geom.Vec {
	return geom.Vec{X: f[0] / Units, Y: f[1] / Units, Z: f[2] / Units}
}

func unresolvedAt(f *[3]float64, reason string) *Unresolved {
	return &Unresolved{At: inMM(f), Reason: reason}
}
