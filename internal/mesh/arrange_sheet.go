package mesh

import (
	"math"
	"slices"
)

// jump is by how much the winding number of a solid grows from one side to
// the other: across a face from the front to the back, across an edge of a
// sheet from its right to its left.
type jump struct {
	solid, by int32
}

// region is a connected part of a sheet that nothing crosses: all of it has the
// same solids in front of it and behind it.
type region struct {
	plane int32
	jumps []jump // by solid, none zero, never empty
}

// cut is an arranged sheet: its triangles by local point, the region of each,
// and the points that only this sheet has found.
type cut struct {
	ids     []int32 // global number of local point i, -1 for a new one
	at      []*point
	tris    [][3]int32
	in      []int32 // region of each triangle, index into regions
	regions [][]jump
	err     error
}

// line is a segment on its way through a sheet.
type line struct {
	a, b  int32 // local ends
	other int32 // the other plane's number, -1 for a rim
	wall  *plane
	jumps []jump // across a rim, from b-a's right to its left
	on    []int32
	lo    [2]float64
	hi    [2]float64
	along int // axis in which the ends differ
}

// cutter arranges one sheet.
type cutter struct {
	*arrangement
	pl    *plane
	local map[int32]int32
	table *pointTable // made when the first new point is found
	lines []line
	cut
}

// cutSheet arranges a sheet that something touches.
func (a *arrangement) cutSheet(plane int32) *cut {
	s := &a.sheets[plane]
	c := &cutter{arrangement: a, pl: &a.planes[plane], local: make(map[int32]int32, 2*len(s.segs)+8)}
	c.addRims(s.faces)
	for _, g := range s.segs {
		c.addLine(line{a: c.point(g.a), b: c.point(g.b), other: g.other, wall: &a.planes[g.other]})
	}
	for _, p := range s.pts {
		c.point(p)
	}
	c.crossLines()
	ends, jumps := c.split()
	t, err := triangulate(c.pl, c.at, ends)
	if err != nil {
		c.err = unresolvedAt(&c.at[0].f, err.Error())
		return &c.cut
	}
	c.flood(t, jumps)
	return &c.cut
}

// point gives the local number of a global point.
func (c *cutter) point(id int32) int32 {
	l, ok := c.local[id]
	if !ok {
		l = int32(len(c.ids))
		c.local[id] = l
		c.ids = append(c.ids, id)
		c.at = append(c.at, &c.pts.pts[id])
	}
	return l
}

// created gives the local number of a point computed in this sheet.
func (c *cutter) created(p *point) int32 {
	if c.table == nil {
		c.table = newPointTable(2 * len(c.at))
		for _, q := range c.at {
			c.table.id(q)
		}
	}
	l := c.table.id(p)
	if int(l) == len(c.ids) {
		c.ids = append(c.ids, -1)
		c.at = append(c.at, p)
	}
	return l
}

// addRims finds the edges at which the cover of a solid by the sheet's faces
// changes, and those at which faces of other planes end on the sheet.
func (c *cutter) addRims(faces []int32) {
	type edge struct{ a, b, solid, by int32 }
	edges := make([]edge, 0, 3*len(faces))
	for _, i := range faces {
		f := &c.faces[i]
		for k := range 3 {
			a, b, by := f.v[k], f.v[(k+1)%3], int32(1) // a counter-turning face has -1 on its right
			if a > b {
				a, b, by = b, a, -1
			}
			edges = append(edges, edge{a, b, f.solid, by})
		}
	}
	slices.SortFunc(edges, func(x, y edge) int {
		if x.a != y.a {
			return int(x.a - y.a)
		}
		if x.b != y.b {
			return int(x.b - y.b)
		}
		return int(x.solid - y.solid)
	})
	for i := 0; i < len(edges); {
		e := edges[i]
		var jumps []jump
		for ; i < len(edges) && edges[i].a == e.a && edges[i].b == e.b; i++ {
			jumps = addJump(jumps, jump{edges[i].solid, edges[i].by})
		}
		if len(jumps) > 0 || c.ridges[[2]int32{e.a, e.b}] {
			l := line{a: c.point(e.a), b: c.point(e.b), other: -1, jumps: jumps}
			l.wall = c.wall(l.a, l.b)
			c.addLine(l)
		}
	}
}

// addJump adds j to a list that is sorted by solid and holds no zero. The list
// is not changed.
func addJump(list []jump, j jump) []jump {
	out := make([]jump, 0, len(list)+1)
	done := false
	for _, l := range list {
		if !done && j.solid <= l.solid {
			done = true
			if j.solid == l.solid {
				l.by += j.by
				if l.by != 0 {
					out = append(out, l)
				}
				continue
			}
			out = append(out, j)
		}
		out = append(out, l)
	}
	if !done {
		out = append(out, j)
	}
	return out
}

// wall is the plane through the grid points a and b that stands on the sheet
// along the axis which its projection drops: its numbers are small.
func (c *cutter) wall(a, b int32) *plane {
	p, q := c.at[a].f, c.at[b].f
	var n, p0 [3]int64
	i, j := c.pl.i, c.pl.j
	n[i], n[j] = int64(p[j]-q[j]), int64(q[i]-p[i])
	for k := range 3 {
		p0[k] = int64(p[k])
	}
	w := newPlane(n, p0)
	return &w
}

// slack widens the boxes of lines by more than the error of a float image.
const slack = 1e-3

func (c *cutter) addLine(l line) {
	p, q := &c.at[l.a].f, &c.at[l.b].f
	for n, k := range [2]int{c.pl.i, c.pl.j} {
		l.lo[n] = min(p[k], q[k]) - slack
		l.hi[n] = max(p[k], q[k]) + slack
	}
	l.along = c.pl.i
	if math.Abs(p[c.pl.j]-q[c.pl.j]) > math.Abs(p[c.pl.i]-q[c.pl.i]) {
		l.along = c.pl.j
	}
	if c.at[l.a].compare(c.at[l.b], l.along) == 0 { // a line shorter than the error of its float image
		l.along = c.pl.i + c.pl.j - l.along
	}
	c.lines = append(c.lines, l)
}

// crossLines notes on every line the points at which others cross or touch it.
func (c *cutter) crossLines() {
	lines := c.lines
	slices.SortStableFunc(lines, func(x, y line) int { return signOf(x.lo[0] - y.lo[0]) })
	for x := range lines {
		for y := x + 1; y < len(lines) && lines[y].lo[0] <= lines[x].hi[0]; y++ {
			if lines[y].lo[1] <= lines[x].hi[1] && lines[x].lo[1] <= lines[y].hi[1] {
				c.crossTwo(&lines[x], &lines[y])
			}
		}
	}
	for _, g := range c.touches() {
		f := &c.at[g].f
		for x := range lines {
			l := &lines[x]
			u, v := f[c.pl.i], f[c.pl.j]
			if u >= l.lo[0] && u <= l.hi[0] && v >= l.lo[1] && v <= l.hi[1] && c.sideOf(l, g) == 0 {
				c.put(l, g)
			}
		}
	}
}

// touches are the points that are no line's end.
func (c *cutter) touches() []int32 {
	end := make([]bool, len(c.at))
	for i := range c.lines {
		end[c.lines[i].a], end[c.lines[i].b] = true, true
	}
	var out []int32
	for p, e := range end {
		if !e && c.ids[p] >= 0 {
			out = append(out, int32(p))
		}
	}
	return out
}

// sideOf tells on which side of the line l the point p lies.
func (c *cutter) sideOf(l *line, p int32) int {
	if p == l.a || p == l.b {
		return 0
	}
	return l.wall.side(c.at[p])
}

func (c *cutter) crossTwo(x, y *line) {
	var o [4]int
	if x.other < 0 || x.other != y.other {
		o[0], o[1] = c.sideOf(x, y.a), c.sideOf(x, y.b)
		if o[0]*o[1] > 0 {
			return
		}
		o[2], o[3] = c.sideOf(y, x.a), c.sideOf(y, x.b)
		if o[2]*o[3] > 0 {
			return
		}
	}
	if o[0]*o[1] < 0 && o[2]*o[3] < 0 {
		if p, ok := meetPlanes(c.pl, x.wall, y.wall); ok {
			l := c.created(&p)
			x.on, y.on = append(x.on, l), append(y.on, l)
		}
		return
	}
	for k, p := range [4]int32{y.a, y.b, x.a, x.b} {
		l := x
		if k > 1 {
			l = y
		}
		if o[k] == 0 {
			c.put(l, p)
		}
	}
}

// put notes p, which lies on the endless line through l, if it lies between
// the ends.
func (c *cutter) put(l *line, p int32) {
	if p == l.a || p == l.b {
		return
	}
	a, b, q := c.at[l.a], c.at[l.b], c.at[p]
	if a.compare(q, l.along)*q.compare(b, l.along) > 0 {
		l.on = append(l.on, p)
	}
}

// split cuts the lines at the points on them into edges, each given once with
// the jumps of all lines that run along it.
func (c *cutter) split() (ends [][2]int32, jumps [][]jump) {
	type piece struct {
		a, b int32
		line int32
		by   int32
	}
	var all []piece
	for i := range c.lines {
		l := &c.lines[i]
		on := append(append([]int32{l.a}, l.on...), l.b)
		up := int(c.at[l.a].compare(c.at[l.b], l.along))
		slices.SortFunc(on, func(p, q int32) int {
			return -up * c.at[p].compare(c.at[q], l.along)
		})
		for k := 1; k < len(on); k++ {
			switch p, q := on[k-1], on[k]; {
			case p < q:
				all = append(all, piece{p, q, int32(i), 1})
			case p > q:
				all = append(all, piece{q, p, int32(i), -1})
			}
		}
	}
	slices.SortFunc(all, func(x, y piece) int {
		if x.a != y.a {
			return int(x.a - y.a)
		}
		if x.b != y.b {
			return int(x.b - y.b)
		}
		return int(x.line - y.line)
	})
	for i := 0; i < len(all); {
		e := all[i]
		var js []jump
		for ; i < len(all) && all[i].a == e.a && all[i].b == e.b; i++ {
			for _, j := range c.lines[all[i].line].jumps {
				js = addJump(js, jump{j.solid, j.by * all[i].by})
			}
		}
		ends = append(ends, [2]int32{e.a, e.b})
		jumps = append(jumps, js)
	}
	return ends, jumps
}

// flood walks the triangulation from outside, where nothing covers the sheet,
// and adds up the jumps of the edges that it crosses.
func (c *cutter) flood(t *triangulation, jumps [][]jump) {
	n := len(t.tri)
	of := make([]int32, n)
	for i := range of {
		of[i] = -1
	}
	var cover [][]jump
	fill := func(start int32, js []jump) []int32 {
		r := int32(len(cover))
		cover = append(cover, js)
		of[start] = r
		stack := []int32{start}
		var border []int32 // triangle*3 + corner of the edges crossed next
		for len(stack) > 0 {
			u := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			for k, v := range t.nb[u] {
				switch {
				case v < 0:
				case t.fix[u][k] != 0:
					border = append(border, u*3+int32(k))
				case of[v] < 0:
					of[v] = r
					stack = append(stack, v)
				}
			}
		}
		return border
	}
	todo := fill(t.at[0], nil)
	for len(todo) > 0 {
		h := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		u, k := h/3, h%3
		v := t.nb[u][k]
		if of[v] >= 0 {
			continue
		}
		js := cover[of[u]]
		forward := t.tri[u][(k+1)%3] < t.tri[u][(k+2)%3] // u lies left of the edge as stored
		for _, j := range jumps[t.fix[u][k]-1] {
			if forward {
				j.by = -j.by
			}
			js = addJump(js, j)
		}
		todo = append(todo, fill(v, js)...)
	}
	c.keep(t, of, cover)
}

// keep takes over the triangles that a solid covers.
func (c *cutter) keep(t *triangulation, of []int32, cover [][]jump) {
	number := make([]int32, len(cover))
	for r, js := range cover {
		number[r] = -1
		if len(js) > 0 {
			number[r] = int32(len(c.regions))
			c.regions = append(c.regions, js)
		}
	}
	for u, r := range of {
		if number[r] >= 0 {
			v := t.tri[u]
			c.tris = append(c.tris, [3]int32{v[0] - 4, v[1] - 4, v[2] - 4})
			c.in = append(c.in, number[r])
		}
	}
}
