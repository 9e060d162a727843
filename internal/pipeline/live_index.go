package pipeline

import (
	"math"

	"feint/internal/clearance"
)

// cellIndex finds the cell of a map that holds a place. The cells tile the box of
// coordinates as the leaves of a tree of halves, in the order of that tree, and
// the index is that tree.
type cellIndex struct {
	coords []clearance.Coord
	cells  []clearance.Cell
	nodes  []cellNode
}

// cellNode is an inner node (axis >= 0) or a leaf, whose cell is left.
type cellNode struct {
	axis        int8
	at          float64
	left, right int32
}

// newCellIndex is nil for a map that knows nothing.
func newCellIndex(m *clearance.Map) *cellIndex {
	x := &cellIndex{coords: m.Coords()}
	for c := range m.Cells() {
		x.cells = append(x.cells, c)
	}
	if len(x.coords) == 0 || len(x.cells) < 2 {
		return nil
	}
	var whole halves
	if !x.build(0, int32(len(x.cells)), whole) {
		return nil
	}
	return x
}

// halves names a box: in coordinate i it is [k, k+1]/2^n of the range.
type halves struct {
	k [clearance.MaxCoords]uint64
	n [clearance.MaxCoords]int
}

// middle is where coordinate i is halved, computed as the limits of the cells are.
func (h *halves) middle(i int, c *clearance.Coord) float64 {
	return c.Lo + (c.Hi-c.Lo)*math.Ldexp(float64(2*h.k[i]+1), -h.n[i]-1)
}

// build makes the node of cells from to to; false if they do not make a tree.
func (x *cellIndex) build(from, to int32, h halves) bool {
	id := len(x.nodes)
	x.nodes = append(x.nodes, cellNode{axis: -1, left: from})
	if to-from == 1 {
		return true
	}
	for i := range x.coords {
		at := h.middle(i, &x.coords[i])
		split, ok := x.split(from, to, i, at)
		if !ok {
			continue
		}
		lo, hi := h, h
		lo.k[i], lo.n[i] = 2*h.k[i], h.n[i]+1
		hi.k[i], hi.n[i] = 2*h.k[i]+1, h.n[i]+1
		left := int32(len(x.nodes))
		if !x.build(from, split, lo) {
			return false
		}
		right := int32(len(x.nodes))
		if !x.build(split, to, hi) {
			return false
		}
		x.nodes[id] = cellNode{axis: int8(i), at: at, left: left, right: right}
		return true
	}
	return false
}

// split is the number of the first cell beyond at in coordinate i, if no cell
// lies across it and all before it lie below.
func (x *cellIndex) split(from, to int32, i int, at float64) (int32, bool) {
	k := from
	for k < to && x.cells[k].Hi[i] <= at {
		k++
	}
	for j := k; j < to; j++ {
		if x.cells[j].Lo[i] < at {
			return 0, false
		}
	}
	return k, k > from && k < to
}

// place is the coordinates of the configuration q.
func (x *cellIndex) place(q []float64) (c [clearance.MaxCoords]float64) {
	for i := range x.coords {
		for _, j := range x.coords[i].Terms {
			c[i] += float64(j.Sign) * q[j.Travel]
		}
		if x.coords[i].Cyclic {
			c[i] -= 2 * math.Pi * math.Floor(c[i]/(2*math.Pi))
		}
	}
	return c
}

// run tells how far travel t may go from q by steps of cells that are surely
// clear by need: the least change of the value, in the direction of dir (1 or
// -1), after which another cell begins; 0 where the cell at hand is not known to
// be clear.
func (x *cellIndex) run(q []float64, t int, dir, need float64) float64 {
	if x == nil {
		return 0
	}
	at := x.place(q)
	var rate [clearance.MaxCoords]float64
	for i := range x.coords {
		for _, j := range x.coords[i].Terms {
			if j.Travel == t {
				rate[i] += dir * float64(j.Sign)
			}
		}
	}
	c := x.find(at, rate)
	if !(c.Lower >= need) {
		return 0
	}
	far := math.Inf(1)
	for i := range x.coords {
		switch {
		case rate[i] > 0:
			far = min(far, (c.Hi[i]-at[i])/rate[i])
		case rate[i] < 0:
			far = min(far, (c.Lo[i]-at[i])/rate[i])
		}
	}
	return far
}

// find is the cell that holds at; on a border the one that lies in the direction of rate.
func (x *cellIndex) find(at, rate [clearance.MaxCoords]float64) *clearance.Cell {
	n := &x.nodes[0]
	for n.axis >= 0 {
		i := n.axis
		if at[i] > n.at || at[i] == n.at && rate[i] >= 0 {
			n = &x.nodes[n.right]
		} else {
			n = &x.nodes[n.left]
		}
	}
	return &x.cells[n.left]
}
