package mesh

import "math"

// root is a cell whose winding numbers are known.
type root struct {
	cell    int32
	winding []int32
}

// pickRoots finds for every piece of the complex that hangs together by edges
// the winding numbers of one of its cells, by a ray along an axis. The ray is
// exact: it starts on a region at a point of a grid finer than the solids'.
func (c *cells) pickRoots() ([]root, error) {
	whole := newForest(len(c.side))
	for r := range int32(len(c.regions)) {
		whole.join(c.front(r), c.back(r))
	}
	type best struct {
		part [3]int32 // the largest triangles of the piece
		size [3]float64
	}
	pieces := map[int32]*best{}
	var order []int32
	for i := range c.parts {
		p := whole.find(c.front(c.parts[i].region))
		b := pieces[p]
		if b == nil {
			b = &best{part: [3]int32{-1, -1, -1}}
			pieces[p] = b
			order = append(order, p)
		}
		part, size := int32(i), c.roomIn(int32(i))
		for k := range b.part {
			if size > b.size[k] {
				b.part[k], part = part, b.part[k]
				b.size[k], size = size, b.size[k]
			}
		}
	}
	roots := make([]root, len(order))
	for n, p := range order {
		ok := false
		for _, i := range pieces[p].part {
			if i >= 0 && !ok {
				roots[n], ok = c.cast(i)
			}
		}
		if !ok {
			v := c.parts[max(0, pieces[p].part[0])].v[0]
			return nil, unresolvedAt(&c.pts.pts[v].f, "a piece is too small to tell inside from outside")
		}
	}
	return roots, nil
}

// roomIn is a measure of the room around the middle of a triangle, in the
// projection along which its ray runs.
func (c *cells) roomIn(i int32) float64 {
	pl := &c.planes[c.regions[c.parts[i].region].plane]
	v := c.parts[i].v
	var x, y [3]float64
	for k := range 3 {
		x[k], y[k] = c.pts.pts[v[k]].f[pl.i], c.pts.pts[v[k]].f[pl.j]
	}
	around := 0.0
	for k := range 3 {
		around += math.Hypot(x[k]-x[(k+1)%3], y[k]-y[(k+1)%3])
	}
	return ((x[1]-x[0])*(y[2]-y[0]) - (y[1]-y[0])*(x[2]-x[0])) / around
}

// fine divides the grid for the starts of rays.
const fine = 1 << 16

// cast sends a ray from the middle of triangle i, or from near it where that
// ray would run through an edge, in the direction of the axis that its plane
// drops.
func (c *cells) cast(i int32) (root, bool) {
	v := c.parts[i].v
	p := [3]*point{&c.pts.pts[v[0]], &c.pts.pts[v[1]], &c.pts.pts[v[2]]}
	pl := &c.planes[c.regions[c.parts[i].region].plane]
	for try := range 12 {
		// weights that lead to different points and stay well inside
		a := 1.0/3 + float64(try%4)*0.0379 - float64(try/4)*0.0527
		b := 1.0/3 - float64(try%3)*0.0613 + float64(try/3)*0.0211
		x := math.Round(fine * (a*p[0].f[pl.i] + b*p[1].f[pl.i] + (1-a-b)*p[2].f[pl.i]))
		y := math.Round(fine * (a*p[0].f[pl.j] + b*p[1].f[pl.j] + (1-a-b)*p[2].f[pl.j]))
		start := pl.lift(int64(x), int64(y))
		inside := true
		for k := range 3 {
			inside = inside && pl.orient(p[k], p[(k+1)%3], &start) > 0
		}
		if !inside {
			continue
		}
		if w, ok := c.shoot(pl, &start, int64(x), int64(y)); ok {
			side := 2 * c.parts[i].region
			if pl.n[pl.drop] < 0 {
				side++ // the ray leaves on the back
			}
			return root{c.side.find(side), w}, true
		}
	}
	return root{}, false
}

// lift is the point of the plane over x, y, which are in units of the fine
// grid: its numerator is below 2^(45+62) and its weight below 2^(61+16).
func (pl *plane) lift(x, y int64) point {
	var c [3]num
	var w, a, b, t num
	// n_k z = d - n_i x - n_j y
	a.setInt(fine)
	b.set128(pl.d)
	c[pl.drop].mul(&a, &b)
	for _, q := range [2]struct {
		axis int
		at   int64
	}{{pl.i, x}, {pl.j, y}} {
		a.setInt(q.at)
		b.setInt(pl.n[q.axis])
		t.mul(&a, &b)
		c[pl.drop].sub(&c[pl.drop], &t)
		b.setInt(pl.n[pl.drop])
		c[q.axis].mul(&a, &b)
	}
	a.setInt(fine)
	b.setInt(pl.n[pl.drop])
	w.mul(&a, &b)
	return rationalPoint(&c, &w)
}

// shoot adds up the faces above start along pl's dropped axis; ok is false
// where the ray meets an edge.
func (c *cells) shoot(pl *plane, start *point, x, y int64) (winding []int32, ok bool) {
	winding, ok = make([]int32, c.solids), true
	i, j, k := pl.i, pl.j, pl.drop
	var q bounds
	for n := range 3 {
		q.lo[n], q.hi[n] = start.f[n]-slack, start.f[n]+slack
	}
	q.hi[k] = math.Inf(1)
	c.tree.touching(&q, func(n int32) {
		f := &c.faces[n]
		o := &c.planes[f.plane]
		if o.n[k] == 0 {
			ok = ok && !edgeOn(f, i, j, x, y)
			return
		}
		turn := int32(0)
		for e := range 3 {
			s := int32(turnAt(&f.p[e], &f.p[(e+1)%3], i, j, x, y))
			if s == 0 {
				ok = ok && !inSpan(f, i, j, x, y)
				return
			}
			if e > 0 && s != turn {
				return
			}
			turn = s
		}
		// above: the start lies on the side of the face that faces down
		if s := o.side(start); s != 0 && (s > 0) == (o.n[k] < 0) {
			up := int32(1)
			if (o.n[k] < 0) == (f.turn > 0) {
				up = -1
			}
			winding[f.solid] += up
		}
	})
	return winding, ok
}

// turnAt is the sign of the turn p, q, (x, y): factors below 2^31 and 2^47.
func turnAt(p, q *[3]int64, i, j int, x, y int64) int {
	return mul64(q[i]-p[i], y-p[j]*fine).sub(mul64(q[j]-p[j], x-p[i]*fine)).sign()
}

// inSpan tells whether x, y lies in the box of the projected face.
func inSpan(f *face, i, j int, x, y int64) bool {
	a := min(f.p[0][i], f.p[1][i], f.p[2][i]) * fine
	b := max(f.p[0][i], f.p[1][i], f.p[2][i]) * fine
	c := min(f.p[0][j], f.p[1][j], f.p[2][j]) * fine
	d := max(f.p[0][j], f.p[1][j], f.p[2][j]) * fine
	return x >= a && x <= b && y >= c && y <= d
}

// edgeOn tells whether a face seen edge-on may hold the ray.
func edgeOn(f *face, i, j int, x, y int64) bool {
	for e := range 3 {
		if turnAt(&f.p[e], &f.p[(e+1)%3], i, j, x, y) != 0 {
			return false
		}
	}
	return inSpan(f, i, j, x, y)
}
