package mesh

import (
	"math"
	"runtime"
	"sync"
	"sync/atomic"
)

// parallel runs fn(0..n-1) on the given number of workers; fn must write only
// what belongs to its i.
func parallel(n, workers int, fn func(i int)) {
	workers = min(workers, n)
	if workers <= 1 {
		for i := range n {
			fn(i)
		}
		return
	}
	var next atomic.Int64
	var wg sync.WaitGroup
	for range workers {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				fn(i)
			}
		})
	}
	wg.Wait()
}

// count is the number of workers that o asks for.
func (o Options) count() int {
	if o.Workers > 0 {
		return o.Workers
	}
	return runtime.GOMAXPROCS(0)
}

// end is an end of the piece that two faces have in common: a known point
// (id >= 0) or a new one.
type end struct {
	id int32
	p  point
}

// crossing is what two faces of different planes have in common.
type common struct {
	t, u int32
	a, b end // equal ends: a single point
	one  bool
}

// stopped tells whether the work is to end.
func (a *arrangement) stopped() bool {
	select {
	case <-a.stop:
		return true
	default:
		return false
	}
}

// crossAll finds what all faces have in common and hands it to the sheets.
func (a *arrangement) crossAll() error {
	var pairs [][2]int32
	a.tree.pairs(func(i, j int32) {
		if len(pairs) > mostPairs {
			return
		}
		t, u := &a.faces[i], &a.faces[j]
		if t.solid == u.solid && !a.crosses[t.solid] {
			return
		}
		if t.plane == u.plane {
			a.sheets[t.plane].hit = true
			return
		}
		pairs = append(pairs, [2]int32{min(i, j), max(i, j)})
	})
	const chunk = 256
	if len(pairs) > mostPairs {
		return &TooMuch{mostPairs}
	}
	found := make([][]common, (len(pairs)+chunk-1)/chunk)
	var crossed atomic.Int64
	parallel(len(found), a.workers, func(c int) {
		if a.stopped() || crossed.Load() > mostCrossed {
			return
		}
		defer func() { crossed.Add(int64(len(found[c]))) }()
		for _, p := range pairs[c*chunk : min(len(pairs), (c+1)*chunk)] {
			if x, ok := a.cross(p[0], p[1]); ok {
				found[c] = append(found[c], x)
			}
		}
	})
	if a.stopped() {
		return ErrStopped
	}
	if crossed.Load() > mostCrossed {
		return &TooMuch{mostCrossed}
	}
	for _, list := range found {
		for i := range list {
			a.record(&list[i])
		}
	}
	return nil
}

func (a *arrangement) record(x *common) {
	for _, e := range []*end{&x.a, &x.b} {
		if e.id < 0 && !(x.one && e == &x.b) {
			e.id = a.pts.id(&e.p)
		}
	}
	g, h := a.faces[x.t].plane, a.faces[x.u].plane
	for _, w := range [2][2]int32{{g, h}, {h, g}} {
		s := &a.sheets[w[0]]
		s.hit = true
		if x.one || x.a.id == x.b.id {
			s.pts = append(s.pts, x.a.id)
		} else {
			s.segs = append(s.segs, segment{x.a.id, x.b.id, w[1]})
		}
	}
}

// shared counts the corners that two faces have in common.
func shared(t, u *face) int {
	n := 0
	for _, v := range t.v {
		for _, w := range u.v {
			if v == w {
				n++
			}
		}
	}
	return n
}

// cross gives what faces i and j, of different planes, have in common beyond
// a shared corner or a shared edge.
func (a *arrangement) cross(i, j int32) (common, bool) {
	t, u := &a.faces[i], &a.faces[j]
	pt, pu := &a.planes[t.plane], &a.planes[u.plane]
	hu, ok := heights(pt, u)
	if !ok {
		return common{}, false
	}
	ht, ok := heights(pu, t)
	if !ok {
		return common{}, false
	}
	n := shared(t, u)
	if n >= 2 {
		return common{}, false
	}
	k := steepest(cross128(pt.n, pu.n)) // exact: the planes may be almost parallel
	lo, hi := chord(u, &hu, k)
	lo2, hi2 := chord(t, &ht, k)
	if lo.compare(&lo2, k) < 0 {
		lo = lo2
	}
	if hi.compare(&hi2, k) > 0 {
		hi = hi2
	}
	c := lo.compare(&hi, k)
	if c > 0 || c == 0 && n == 1 {
		return common{}, false
	}
	x := common{t: i, u: j, a: lo.end(), one: c == 0}
	if c < 0 {
		x.b = hi.end()
	} else if lo.id < 0 && hi.id >= 0 {
		x.a = hi.end()
	}
	return x, true
}

// heights are the corners' exact heights over pl; ok is false where all lie
// strictly on one side.
func heights(pl *plane, f *face) (h [3]i128, ok bool) {
	var s [3]int
	for k := range 3 {
		h[k] = pl.height(f.p[k])
		s[k] = h[k].sign()
	}
	return h, s[0] != s[1] || s[1] != s[2] || s[0] == 0
}

func cross3(a, b *[3]float64) [3]float64 {
	return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}

func widestOf(v [3]float64) int {
	k := 0
	for j := 1; j < 3; j++ {
		if math.Abs(v[j]) > math.Abs(v[k]) {
			k = j
		}
	}
	return k
}

// steepest is the axis of the greatest component.
func steepest(v [3]i128) int {
	return widestOf([3]float64{v[0].float(), v[1].float(), v[2].float()})
}

// candidate is a point where a face's rim meets a plane: a corner (id >= 0) or
// the point between p and q where the height, hp at p and hq at q, is zero.
type candidate struct {
	id     int32
	p, q   *[3]int64
	hp, hq i128
	x      float64 // coordinate k, within err
	err    float64
}

// chord gives the ends, by coordinate k, of the part of f that lies in the
// plane over which its corners' heights are h.
func chord(f *face, h *[3]i128, k int) (lo, hi candidate) {
	n := 0
	add := func(c candidate) {
		switch {
		case n == 0:
			lo, hi = c, c
		case c.compare(&lo, k) < 0:
			lo = c
		case c.compare(&hi, k) > 0:
			hi = c
		}
		n++
	}
	for i := range 3 {
		j := (i + 1) % 3
		if h[i].sign() == 0 {
			add(candidate{id: f.v[i], p: &f.p[i], x: float64(f.p[i][k])})
		}
		if h[i].sign()*h[j].sign() < 0 {
			a, b := i, j
			if f.v[a] > f.v[b] { // the same point whichever face asks
				a, b = b, a
			}
			c := candidate{id: -1, p: &f.p[a], q: &f.p[b], hp: h[a], hq: h[b]}
			p, q := float64(c.p[k]), float64(c.q[k])
			r := c.hp.float()
			c.x = p + (q-p)*(r/(r-c.hq.float()))
			// five roundings of at most 2^-52, each of a value below |p|+|q|
			c.err = (math.Abs(p) + math.Abs(q)) * 0x1p-49
			add(c)
		}
	}
	return lo, hi
}

// compare gives the sign of the difference of the two coordinates k.
func (c *candidate) compare(d *candidate, k int) int {
	if x := c.x - d.x; math.Abs(x) > c.err+d.err || (c.id >= 0 && d.id >= 0) {
		return signOf(x)
	}
	var x, y, v, w, l, r num
	c.coord(k, &x, &v)
	d.coord(k, &y, &w)
	l.mul(&x, &w)
	r.mul(&y, &v)
	l.sub(&l, &r)
	return l.sign()
}

// coord gives coordinate k as x/w with w > 0: x = p hq - q hp, w = hq - hp.
func (c *candidate) coord(k int, x, w *num) {
	if c.id >= 0 {
		x.setInt(c.p[k])
		w.setInt(1)
		return
	}
	w.set128(c.hq.sub(c.hp))
	var a, b, t num
	a.setInt(c.p[k])
	b.set128(c.hq)
	x.mul(&a, &b)
	a.setInt(c.q[k])
	b.set128(c.hp)
	t.mul(&a, &b)
	x.sub(x, &t)
	if w.neg {
		w.neg = false
		x.neg = x.n > 0 && !x.neg
	}
}

func (c *candidate) end() end {
	if c.id >= 0 {
		return end{id: c.id}
	}
	var x [3]num
	var w num
	for k := range x {
		c.coord(k, &x[k], &w)
	}
	return end{id: -1, p: rationalPoint(&x, &w)}
}
