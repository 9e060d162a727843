package export

import (
	"slices"

	"feint/internal/clearance"
	"feint/internal/motion"
)

// ground is what a place of a sheet is.
type ground uint8

const (
	groundNone ground = iota
	groundBlocked
	groundUndecided
	groundLoose // not free as drawn, but at the loose end
	groundFree  // free, but nothing reachable has the pair there
	groundReach // reachable
)

// sheetGrid is a sheet on the common grid of its cells: column by the angle, row
// by the length, both rising.
type sheetGrid struct {
	xs, ys []float64 // the grid's lines, radians and mm
	at     []ground
	onWay  []bool
	cyclic bool // the first column follows the last
}

func (g *sheetGrid) cols() int { return len(g.xs) - 1 }
func (g *sheetGrid) rows() int { return len(g.ys) - 1 }

// newSheetGrid brings the cells onto one grid; false if there is nothing to show.
func newSheetGrid(s *motion.Sheet) (*sheetGrid, bool) {
	g := &sheetGrid{cyclic: s.Coords[1].Cyclic}
	for i := range s.Cells {
		c := &s.Cells[i]
		g.ys = append(g.ys, c.Lo[0], c.Hi[0])
		g.xs = append(g.xs, c.Lo[1], c.Hi[1])
	}
	slices.Sort(g.xs)
	slices.Sort(g.ys)
	g.xs, g.ys = slices.Compact(g.xs), slices.Compact(g.ys)
	if g.cols() < 1 || g.rows() < 1 {
		return nil, false
	}
	g.at = make([]ground, g.cols()*g.rows())
	g.onWay = make([]bool, len(g.at))
	for i := range s.Cells {
		g.put(&s.Cells[i])
	}
	return g, true
}

func (g *sheetGrid) put(c *motion.SheetCell) {
	k := groundUndecided
	switch {
	case c.Reachable && c.State != clearance.Blocked:
		k = groundReach
	case c.State == clearance.Free:
		k = groundFree
	case c.Loose:
		k = groundLoose
	case c.State == clearance.Blocked:
		k = groundBlocked
	}
	x0, _ := slices.BinarySearch(g.xs, c.Lo[1])
	x1, _ := slices.BinarySearch(g.xs, c.Hi[1])
	y0, _ := slices.BinarySearch(g.ys, c.Lo[0])
	y1, _ := slices.BinarySearch(g.ys, c.Hi[0])
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			g.at[y*g.cols()+x], g.onWay[y*g.cols()+x] = k, c.OnWay
		}
	}
}

// is tells whether the place is of the kind; outside the sheet nothing is.
func (g *sheetGrid) is(x, y int, k ground) bool {
	return x >= 0 && y >= 0 && x < g.cols() && y < g.rows() && g.at[y*g.cols()+x] == k
}

// shares is how much of the sheet's area each kind takes, 0 to 1.
func (g *sheetGrid) shares() [groundReach + 1]float64 {
	var a [groundReach + 1]float64
	total := 0.0
	for i, k := range g.at {
		x, y := i%g.cols(), i/g.cols()
		s := (g.xs[x+1] - g.xs[x]) * (g.ys[y+1] - g.ys[y])
		a[k] += s
		total += s
	}
	for i := range a {
		a[i] /= total
	}
	return a
}

// outline gives the boundary of all places of a kind as closed loops of grid
// corners, the inside always on the left, without points in the middle of an edge.
func (g *sheetGrid) outline(k ground) [][][2]int {
	next := map[[2]int][][2]int{} // from a corner to the ends of the edges that leave it
	var starts [][2]int
	add := func(a, b [2]int) {
		if len(next[a]) == 0 {
			starts = append(starts, a)
		}
		next[a] = append(next[a], b)
	}
	for y := range g.rows() {
		for x := range g.cols() {
			if !g.is(x, y, k) {
				continue
			}
			if !g.is(x, y-1, k) {
				add([2]int{x, y}, [2]int{x + 1, y})
			}
			if !g.is(x+1, y, k) {
				add([2]int{x + 1, y}, [2]int{x + 1, y + 1})
			}
			if !g.is(x, y+1, k) {
				add([2]int{x + 1, y + 1}, [2]int{x, y + 1})
			}
			if !g.is(x-1, y, k) {
				add([2]int{x, y + 1}, [2]int{x, y})
			}
		}
	}
	var out [][][2]int
	for _, s := range starts {
		for len(next[s]) > 0 {
			out = append(out, follow(next, s))
		}
	}
	return out
}

// follow takes one loop out of the edges.
func follow(next map[[2]int][][2]int, s [2]int) [][2]int {
	var loop [][2]int
	p := s
	for {
		e := next[p]
		if len(e) == 0 {
			return loop // cannot be: every corner has as many edges in as out
		}
		q := e[0]
		next[p] = e[1:]
		if n := len(loop); n >= 2 && straight(loop[n-2], loop[n-1], p) {
			loop[n-1] = p
		} else {
			loop = append(loop, p)
		}
		if p = q; p == s {
			return loop
		}
	}
}

func straight(a, b, c [2]int) bool {
	return a[0] == b[0] && b[0] == c[0] || a[1] == b[1] && b[1] == c[1]
}
