package mesh

import "math"

// Units is the number of grid units in a mm. Coordinates of the grid are
// exact in float32 up to 256 mm.
const Units = 1 << 16

// Reach is the largest coordinate, mm, that the integer arithmetic holds.
const Reach = 1 << 13

// f64err bounds the relative error of the float image of a point: quotient
// errs by 2^-50, doubled to cover the rounding of what is computed from it.
const f64err = 0x1p-49

// small is an integer below 2^256 at rest.
type small struct {
	w   [4]uint64
	n   uint8
	neg bool
}

func (s *small) num(z *num) {
	copy(z.w[:4], s.w[:])
	z.n, z.neg = int(s.n), s.neg
}

func (s *small) set(z *num) {
	if z.n > 4 {
		panic("mesh: integer beyond its derived bound")
	}
	s.w = [4]uint64{}
	copy(s.w[:], z.w[:z.n])
	s.n, s.neg = uint8(z.n), z.neg
}

// homogeneous is a rational point x/w, w > 0, in grid units.
type homogeneous struct {
	x [3]small
	w small
}

// point is a point of the arrangement: its float image, exact where h is nil,
// and else its rational coordinates.
type point struct {
	f [3]float64
	h *homogeneous
}

func gridPoint(p [3]int64) point {
	return point{f: [3]float64{float64(p[0]), float64(p[1]), float64(p[2])}}
}

// rationalPoint takes numerators and a weight that is not zero.
func rationalPoint(x *[3]num, w *num) point {
	h := &homogeneous{}
	if w.neg {
		w.neg = false
		for k := range x {
			x[k].neg = x[k].n > 0 && !x[k].neg
		}
	}
	p := point{h: h}
	h.w.set(w)
	for k := range x {
		h.x[k].set(&x[k])
		p.f[k] = quotient(&x[k], w)
	}
	return p
}

func (p *point) coord(k int, z *num) {
	if p.h == nil {
		z.setInt(int64(p.f[k]))
		return
	}
	p.h.x[k].num(z)
}

func (p *point) weight(z *num) {
	if p.h == nil {
		z.setInt(1)
		return
	}
	p.h.w.num(z)
}

func signOf(x float64) int {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}

// compare gives the sign of a's coordinate k less b's.
func (p *point) compare(q *point, k int) int {
	a, b := p.f[k], q.f[k]
	if d := a - b; math.Abs(d) > f64err*(math.Abs(a)+math.Abs(b)) || (p.h == nil && q.h == nil) {
		return signOf(d)
	}
	var x, y, w, l, r num
	p.coord(k, &x)
	q.weight(&w)
	l.mul(&x, &w)
	q.coord(k, &y)
	p.weight(&w)
	r.mul(&y, &w)
	l.sub(&l, &r)
	return l.sign()
}

func (p *point) equal(q *point) bool {
	return p.compare(q, 0) == 0 && p.compare(q, 1) == 0 && p.compare(q, 2) == 0
}

// plane is n.x = d with primitive integer n; i, j are the axes that remain
// when drop is left out, in the order that keeps a turn about n positive.
type plane struct {
	n          [3]int64
	d          i128
	p0         [3]int64
	nf         [3]float64
	drop, i, j int
}

// newPlane is the plane through p0 with normal n, which must be primitive.
func newPlane(n, p0 [3]int64) plane {
	pl := plane{n: n, p0: p0, d: dot128(n, p0)}
	for k := range n {
		pl.nf[k] = float64(n[k])
		if math.Abs(pl.nf[k]) > math.Abs(pl.nf[pl.drop]) {
			pl.drop = k
		}
	}
	pl.i, pl.j = (pl.drop+1)%3, (pl.drop+2)%3
	if n[pl.drop] < 0 {
		pl.i, pl.j = pl.j, pl.i
	}
	return pl
}

// height is n.(q-p0) of a grid point: exact, below 2^93.
func (pl *plane) height(q [3]int64) i128 {
	return dot128(pl.n, [3]int64{q[0] - pl.p0[0], q[1] - pl.p0[1], q[2] - pl.p0[2]})
}

// side tells on which side of the plane p lies: 1 where n points.
func (pl *plane) side(p *point) int {
	s, m := 0.0, 0.0
	for k := range 3 {
		b := float64(pl.p0[k])
		s += pl.nf[k] * (p.f[k] - b)
		m += math.Abs(pl.nf[k]) * (math.Abs(p.f[k]) + math.Abs(b))
	}
	if math.Abs(s) > m*f64err {
		return signOf(s)
	}
	if p.h == nil {
		return pl.height([3]int64{int64(p.f[0]), int64(p.f[1]), int64(p.f[2])}).sign()
	}
	var sum, a, b, t num
	a.set128(pl.d)
	p.weight(&b)
	sum.mul(&a, &b)
	sum.neg = sum.n > 0 && !sum.neg
	for k := range 3 {
		a.setInt(pl.n[k])
		p.coord(k, &b)
		t.mul(&a, &b)
		sum.add(&sum, &t)
	}
	return sum.sign()
}

// orient is the sign of the turn a, b, c seen against the plane's normal, of
// three points taken as lying in it (only their projections count).
func (pl *plane) orient(a, b, c *point) int {
	i, j := pl.i, pl.j
	x1, y1 := b.f[i]-a.f[i], b.f[j]-a.f[j]
	x2, y2 := c.f[i]-a.f[i], c.f[j]-a.f[j]
	p, q := x1*y2, y1*x2
	d := p - q
	size := max(math.Abs(a.f[i]), math.Abs(b.f[i]), math.Abs(c.f[i]), math.Abs(a.f[j]), math.Abs(b.f[j]), math.Abs(c.f[j]))
	// each difference errs by at most e, each product by e times the other
	// factors plus e*e, and by its own rounding.
	e := 2 * f64err * size
	if math.Abs(d) > 2*e*(math.Abs(x1)+math.Abs(y1)+math.Abs(x2)+math.Abs(y2)+2*e)+f64err*(math.Abs(p)+math.Abs(q)) {
		return signOf(d)
	}
	if a.h == nil && b.h == nil && c.h == nil {
		u := int64(x1)*int64(y2) - int64(y1)*int64(x2) // each factor below 2^31
		return signInt(u)
	}
	return orientExact(i, j, a, b, c)
}

func signInt(u int64) int {
	switch {
	case u > 0:
		return 1
	case u < 0:
		return -1
	}
	return 0
}

// orientExact is the sign of det(a, b, c) of the rows (x, y, w).
func orientExact(i, j int, a, b, c *point) int {
	var m [3][3]num
	for r, p := range [3]*point{a, b, c} {
		p.coord(i, &m[r][0])
		p.coord(j, &m[r][1])
		p.weight(&m[r][2])
	}
	var sum, l, r, t num
	for k := range 3 {
		u, v := (k+1)%3, (k+2)%3
		l.mul(&m[1][u], &m[2][v])
		r.mul(&m[1][v], &m[2][u])
		l.sub(&l, &r)
		t.mul(&m[0][k], &l)
		sum.add(&sum, &t)
	}
	return sum.sign()
}

// meetPlanes is the common point of three planes; ok is false where they have none
// or more than one.
func meetPlanes(p, q, r *plane) (point, bool) {
	pl := [3]*plane{p, q, r}
	var c [3][3]num // c[k] = n(k+1) x n(k+2)
	for k := range 3 {
		v := cross128(pl[(k+1)%3].n, pl[(k+2)%3].n)
		for l := range 3 {
			c[k][l].set128(v[l])
		}
	}
	var w, a, t num
	for l := range 3 {
		a.setInt(p.n[l])
		t.mul(&a, &c[0][l])
		w.add(&w, &t)
	}
	if w.n == 0 {
		return point{}, false
	}
	var x [3]num
	for k := range 3 {
		a.set128(pl[k].d)
		for l := range 3 {
			t.mul(&a, &c[k][l])
			x[l].add(&x[l], &t)
		}
	}
	return rationalPoint(&x, &w), true
}

// cross128 is exact: each component below 2^123.
func cross128(a, b [3]int64) [3]i128 {
	var o [3]i128
	for k := range 3 {
		i, j := (k+1)%3, (k+2)%3
		o[k] = mul64(a[i], b[j]).sub(mul64(a[j], b[i]))
	}
	return o
}
