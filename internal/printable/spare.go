package printable

import (
	"math"
	"sort"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// finestCell is the least side of the cells in which spare plastic is
	// counted, mm; a part has mostCells of them at most.
	finestCell = 0.8
	mostCells  = 40000
	// leastSpare is the mass from which a pocket is worth drawing, g.
	leastSpare = 0.3
)

// core is a grid of cells over a laid part; deep tells those whose middle has at
// least Keep of plastic all round.
type core struct {
	cell       float64
	nx, ny, nz int
	deep       []bool
}

func (c *core) at(x, y, z int) bool {
	return x >= 0 && y >= 0 && z >= 0 && x < c.nx && y < c.ny && z < c.nz && c.deep[(z*c.ny+y)*c.nx+x]
}

func (c *core) middle(x, y, z int) geom.Vec {
	return geom.Vec{X: (float64(x) + 0.5) * c.cell, Y: (float64(y) + 0.5) * c.cell, Z: (float64(z) + 0.5) * c.cell}
}

func newCore(t *mesh.Tree, l *laid, keep float64, workers int) *core {
	c := &core{cell: max(finestCell, math.Cbrt(l.size.X*l.size.Y*l.size.Z/mostCells))}
	n := func(v float64) int { return max(1, int(math.Ceil(v/c.cell-1e-9))) }
	c.nx, c.ny, c.nz = n(l.size.X), n(l.size.Y), n(l.size.Z)
	c.deep = make([]bool, c.nx*c.ny*c.nz)
	run(c.nz, workers, func(z int) {
		for y := range c.ny {
			clear, in := false, false // of the cell before
			for x := range c.nx {
				p := l.back.Apply(c.middle(x, y, z))
				_, tri, _ := t.Near(p, keep)
				switch {
				case tri >= 0:
					clear, in = false, false
				case !clear || c.cell >= keep: // else no face lies between the two
					clear, in = true, t.Inside(p)
				}
				c.deep[(z*c.ny+y)*c.nx+x] = in
			}
		}
	})
	return c
}

// column is a straight pocket of one cell's plan: plastic from level lo to level
// hi above the plate, mm.
type column struct{ lo, hi float64 }

// spares finds pockets that could be left out: straight down from above, or
// straight up from below where the roof can be bridged. They stay Keep away from
// every other face and do not open in a face on which something slides. What a
// pocket saves is its infill, less the walls that go round it; the skin moves
// from the face to the pocket's end.
func spares(p *Piece, t *mesh.Tree, l *laid, s *Settings, workers int) []Spare {
	c := newCore(t, l, s.Keep, workers)
	var out []Spare
	for _, above := range [2]bool{true, false} {
		cols := c.columns(t, l, s.Keep, above)
		c.bar(cols, p.Slides, l, s.Keep, above)
		for _, pocket := range c.pockets(cols) {
			if k := c.saving(cols, pocket, above, p, s, l); k.Grams >= leastSpare && k.Minutes >= 0 {
				out = append(out, k)
			}
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Grams > out[j].Grams })
	return apart(out, c.cell)
}

// columns finds, for every cell of the plan, the run of deep cells that begins
// Keep below the top face (or above the bottom face), extended to that face.
func (c *core) columns(t *mesh.Tree, l *laid, keep float64, above bool) []column {
	cols := make([]column, c.nx*c.ny)
	for y := range c.ny {
		for x := range c.nx {
			from, to, step := 0, c.nz, 1
			if above {
				from, to, step = c.nz-1, -1, -1
			}
			z := from
			for z != to && !c.at(x, y, z) {
				z += step
			}
			if z == to {
				continue
			}
			end := z
			for end != to && c.at(x, y, end) {
				end += step
			}
			first := c.middle(x, y, z)
			// the face must lie straight beyond: outside after Keep and a cell more
			out := first
			out.Z -= float64(step) * (keep + 1.5*c.cell)
			if t.Inside(l.back.Apply(out)) {
				continue
			}
			depth := math.Abs(float64(end-z))*c.cell + keep
			edge := first.Z - float64(step)*(keep+c.cell/2)
			cols[y*c.nx+x] = column{min(edge, edge+float64(step)*depth), max(edge, edge+float64(step)*depth)}
		}
	}
	return cols
}

// bar takes out the columns that would open in a sliding face.
func (c *core) bar(cols []column, slides []Slide, l *laid, keep float64, above bool) {
	fwd := l.back.Inverse()
	for i := range slides {
		n := fwd.Turn(slides[i].Normal)
		if (above && n.Z < 0.3) || (!above && n.Z > -0.3) {
			continue
		}
		p := fwd.Apply(slides[i].At)
		r := int(math.Ceil((keep + reachOfSlide) / c.cell))
		cx, cy := int(p.X/c.cell), int(p.Y/c.cell)
		for y := max(0, cy-r); y <= min(c.ny-1, cy+r); y++ {
			for x := max(0, cx-r); x <= min(c.nx-1, cx+r); x++ {
				k := &cols[y*c.nx+x]
				face := k.lo
				if above {
					face = k.hi
				}
				if math.Abs(face-p.Z) < keep+c.cell {
					*k = column{}
				}
			}
		}
	}
}

// pockets groups columns that touch each other.
func (c *core) pockets(cols []column) [][]int {
	seen := make([]bool, len(cols))
	var out [][]int
	for i := range cols {
		if seen[i] || cols[i].hi <= cols[i].lo {
			continue
		}
		seen[i] = true
		group := []int{i}
		for k := 0; k < len(group); k++ {
			for _, j := range c.around(group[k]) {
				if j >= 0 && !seen[j] && min(cols[j].hi, cols[group[k]].hi) > max(cols[j].lo, cols[group[k]].lo) {
					seen[j] = true
					group = append(group, j)
				}
			}
		}
		out = append(out, group)
	}
	return out
}

// around lists the four neighbours of a cell of the plan, -1 beyond the edge.
func (c *core) around(i int) [4]int {
	x, y := i%c.nx, i/c.nx
	out := [4]int{-1, -1, -1, -1}
	for k, d := range [4][2]int{{-1, 0}, {1, 0}, {0, -1}, {0, 1}} {
		if u, v := x+d[0], y+d[1]; u >= 0 && v >= 0 && u < c.nx && v < c.ny {
			out[k] = v*c.nx + u
		}
	}
	return out
}

// saving is what a pocket saves. The sides of cells stand in for the pocket's
// walls: they are never shorter than smooth ones, so that the saving is never
// overstated.
func (c *core) saving(cols []column, pocket []int, above bool, p *Piece, s *Settings, l *laid) Spare {
	var volume, sides, plan, rim float64
	var mid geom.Vec
	for _, i := range pocket {
		k := cols[i]
		h := k.hi - k.lo
		volume += h * c.cell * c.cell
		plan += c.cell * c.cell
		at := c.middle(i%c.nx, i/c.nx, 0)
		at.Z = (k.lo + k.hi) / 2
		mid = r3.Add(mid, r3.Scale(h*c.cell*c.cell, at))
		for _, j := range c.around(i) {
			shared := 0.0
			if j >= 0 {
				shared = max(0, min(cols[j].hi, k.hi)-max(cols[j].lo, k.lo))
			}
			sides += (h - shared) * c.cell
			if shared == 0 {
				rim += c.cell
			}
		}
	}
	k := Spare{Open: "from above", Volume: volume, At: l.back.Apply(r3.Scale(1/volume, mid))}
	if !above {
		k.Open = "from below"
		if 2*plan/rim > s.BridgeSpan {
			return Spare{} // its roof would need a support
		}
	}
	walls := sides * float64(s.Walls) * s.Line * (1 - s.Infill)
	infill := volume * s.Infill
	k.Grams = (infill - walls) * s.density(p.Density) / 1000
	a := s.Line * s.Layer
	k.Minutes = (infill/s.speed(s.FillSpeed, s.Layer) - walls/s.speed(s.WallSpeed, s.Layer)) / a / 60
	if s.Pace.Factor > 0 {
		k.Minutes *= s.Pace.Factor
	}
	return k
}

// apart leaves out pockets that share their place with a better one.
func apart(all []Spare, cell float64) []Spare {
	var out []Spare
	for _, k := range all {
		free := true
		for _, o := range out {
			// pockets from above and from below through the same core have
			// middles within Keep of each other
			if r3.Norm(r3.Sub(o.At, k.At)) < 4*cell+3 {
				free = false
			}
		}
		if free {
			out = append(out, k)
		}
	}
	return out
}
