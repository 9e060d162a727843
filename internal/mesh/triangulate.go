package mesh

import (
	"errors"
	"math"
	"slices"
)

// triangulation is a constrained triangulation of points of one plane, inside
// a rectangle around them whose corners are its points 0 to 3. Which edges it
// has is decided by exact predicates; that it is near to Delaunay's is a
// matter of good shape only and decided in floating point.
type triangulation struct {
	pl  *plane
	p   []*point
	tri [][3]int32 // corners, positive turn about the plane's normal
	nb  [][3]int32 // neighbour across the edge opposite corner k, -1 outside
	fix [][3]int32 // 1 + number of the constraint on that edge, 0 for none
	at  []int32    // some triangle at each point
	hot []int32    // edges to test: triangle*3 + corner
	end int32      // where the last search ended
}

// errConstraint says that a constraint passes through a point or another
// constraint: the caller has not split it.
var errConstraint = errors.New("a constraint passes through a point or another constraint")

// triangulate makes the triangulation of pts; constraint i is the edge
// between points ends[i]. Point n of pts is point n+4 of the result.
func triangulate(pl *plane, pts []*point, ends [][2]int32) (*triangulation, error) {
	t := &triangulation{pl: pl}
	n := len(pts)
	t.p = make([]*point, 4, n+4)
	t.tri = make([][3]int32, 0, 2*n+8)
	t.nb = make([][3]int32, 0, 2*n+8)
	t.fix = make([][3]int32, 0, 2*n+8)
	t.at = make([]int32, n+4)
	t.frame(pts)
	t.p = append(t.p, pts...)
	for _, i := range insertionOrder(pl, pts) {
		t.insert(i + 4)
	}
	for i, e := range ends {
		if err := t.constrain(e[0]+4, e[1]+4, int32(i+1)); err != nil {
			return nil, err
		}
	}
	return t, nil
}

// frame makes the rectangle, wider than the points by a quarter.
func (t *triangulation) frame(pts []*point) {
	i, j := t.pl.i, t.pl.j
	var lo, hi [2]float64
	for n, p := range pts {
		q := [2]float64{p.f[i], p.f[j]}
		for k := range 2 {
			if n == 0 {
				lo[k], hi[k] = q[k], q[k]
			}
			lo[k], hi[k] = min(lo[k], q[k]), max(hi[k], q[k])
		}
	}
	for k := range 2 {
		w := 2 + math.Ceil((hi[k]-lo[k])/4)
		lo[k], hi[k] = math.Floor(lo[k])-w, math.Ceil(hi[k])+w
	}
	for c, q := range [4][2]float64{{lo[0], lo[1]}, {hi[0], lo[1]}, {hi[0], hi[1]}, {lo[0], hi[1]}} {
		p := &point{}
		p.f[i], p.f[j] = q[0], q[1]
		t.p[c] = p
	}
	t.tri = append(t.tri, [3]int32{0, 1, 2}, [3]int32{0, 2, 3})
	t.nb = append(t.nb, [3]int32{-1, 1, -1}, [3]int32{-1, -1, 0})
	t.fix = append(t.fix, [3]int32{}, [3]int32{})
	t.at[0], t.at[1], t.at[2], t.at[3] = 0, 0, 0, 1
}

// insertionOrder runs through the points strip by strip, to and fro, so that
// each lies near the one before it.
func insertionOrder(pl *plane, pts []*point) []int32 {
	order := make([]int32, len(pts))
	for i := range order {
		order[i] = int32(i)
	}
	if len(pts) < 16 {
		return order
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range pts {
		lo, hi = min(lo, p.f[pl.i]), max(hi, p.f[pl.i])
	}
	w := (hi - lo + 1) / math.Ceil(math.Sqrt(float64(len(pts))/2))
	strip := func(i int32) int { return int((pts[i].f[pl.i] - lo) / w) }
	slices.SortFunc(order, func(x, y int32) int {
		a, b := strip(x), strip(y)
		if a != b {
			return a - b
		}
		d := signOf(pts[x].f[pl.j] - pts[y].f[pl.j])
		if d == 0 {
			return int(x - y)
		}
		if a&1 == 1 {
			return -d
		}
		return d
	})
	return order
}

func (t *triangulation) orient(a, b, c int32) int { return t.pl.orient(t.p[a], t.p[b], t.p[c]) }

// slot is the corner of u opposite its neighbour v.
func (t *triangulation) slot(u, v int32) int {
	for k, w := range t.nb[u] {
		if w == v {
			return k
		}
	}
	panic("mesh: triangulation lost a neighbour")
}

func (t *triangulation) cornerOf(u, p int32) int {
	for k, q := range t.tri[u] {
		if p == q {
			return k
		}
	}
	panic("mesh: triangulation lost a corner")
}

// set writes triangle u (or appends it) and tells its points.
func (t *triangulation) set(u int32, tri, nb, fix [3]int32) {
	if int(u) == len(t.tri) {
		t.tri, t.nb, t.fix = append(t.tri, tri), append(t.nb, nb), append(t.fix, fix)
	} else {
		t.tri[u], t.nb[u], t.fix[u] = tri, nb, fix
	}
	for _, p := range tri {
		t.at[p] = u
	}
}

// relink makes v the neighbour of u where old was.
func (t *triangulation) relink(u, old, v int32) {
	if u >= 0 {
		t.nb[u][t.slot(u, old)] = v
	}
}

// locate finds the triangle that holds p and, where p lies on an edge, the
// corner opposite that edge (else -1).
func (t *triangulation) locate(p int32) (int32, int) {
	u := t.end
	for step := 0; ; step++ {
		on, next := -1, int32(-1)
		for q := range 3 {
			k := (q + step) % 3 // changing the order keeps the walk from circling
			switch t.orient(t.tri[u][(k+1)%3], t.tri[u][(k+2)%3], p) {
			case -1:
				next = t.nb[u][k]
			case 0:
				on = k
			}
			if next >= 0 {
				break
			}
		}
		if next < 0 {
			return u, on
		}
		u = next
	}
}

func (t *triangulation) insert(p int32) {
	u, on := t.locate(p)
	if on < 0 {
		t.splitFace(u, p)
	} else {
		t.splitEdge(u, on, p)
	}
	t.end = u
	t.legalize()
}

func (t *triangulation) splitFace(u, p int32) {
	c, nb, fx := t.tri[u], t.nb[u], t.fix[u]
	n := int32(len(t.tri))
	id := [3]int32{u, n, n + 1} // id[k] has the edge opposite corner k
	for k := range 3 {
		i, j := (k+1)%3, (k+2)%3
		t.set(id[k], [3]int32{p, c[i], c[j]}, [3]int32{nb[k], id[i], id[j]}, [3]int32{fx[k], 0, 0})
		if k > 0 {
			t.relink(nb[k], u, id[k])
		}
		t.hot = append(t.hot, id[k]*3)
	}
}

func (t *triangulation) splitEdge(u int32, k int, p int32) {
	v := t.nb[u][k]
	l := t.slot(v, u)
	a, b, d, e := t.tri[u][k], t.tri[u][(k+1)%3], t.tri[u][(k+2)%3], t.tri[v][l]
	f := t.fix[u][k]
	nab, nda, fab, fda := t.nb[u][(k+2)%3], t.nb[u][(k+1)%3], t.fix[u][(k+2)%3], t.fix[u][(k+1)%3]
	// v is (e, d, b): opposite d lies b-e, opposite b lies e-d
	nbe, ned, fbe, fed := t.nb[v][(l+1)%3], t.nb[v][(l+2)%3], t.fix[v][(l+1)%3], t.fix[v][(l+2)%3]
	n := int32(len(t.tri))
	t.set(u, [3]int32{p, a, b}, [3]int32{nab, v, n}, [3]int32{fab, f, 0})
	t.set(v, [3]int32{p, b, e}, [3]int32{nbe, n + 1, u}, [3]int32{fbe, 0, f})
	t.set(n, [3]int32{p, d, a}, [3]int32{nda, u, n + 1}, [3]int32{fda, 0, f})
	t.set(n+1, [3]int32{p, e, d}, [3]int32{ned, n, v}, [3]int32{fed, f, 0})
	t.relink(nda, u, n)
	t.relink(ned, v, n+1)
	t.hot = append(t.hot, u*3, v*3, n*3, (n+1)*3)
}

// legalize flips the hot edges, and those that become hot, until none of them
// wants a flip. The limit guards against rounding in wantsFlip.
func (t *triangulation) legalize() {
	for left := 64 * (len(t.hot) + 64); len(t.hot) > 0 && left > 0; left-- {
		h := t.hot[len(t.hot)-1]
		t.hot = t.hot[:len(t.hot)-1]
		u, k := h/3, int(h%3)
		v := t.nb[u][k]
		if v < 0 || t.fix[u][k] != 0 || !t.wantsFlip(u, k) || !t.flip(u, k) {
			continue
		}
		for _, w := range [2]int32{u, v} {
			for q := range int32(3) {
				if x := t.nb[w][q]; x != u && x != v {
					t.hot = append(t.hot, w*3+q)
				}
			}
		}
	}
	t.hot = t.hot[:0]
}

// wantsFlip is Delaunay's test for the edge opposite corner k of u. Edges
// within rounding of the circle are left alone.
func (t *triangulation) wantsFlip(u int32, k int) bool {
	v := t.nb[u][k]
	e := t.p[t.tri[v][t.slot(v, u)]]
	var x, y, s [3]float64
	for q, c := range t.tri[u] {
		p := t.p[c]
		x[q], y[q] = p.f[t.pl.i]-e.f[t.pl.i], p.f[t.pl.j]-e.f[t.pl.j]
		s[q] = x[q]*x[q] + y[q]*y[q]
	}
	d := s[0]*(x[1]*y[2]-x[2]*y[1]) + s[1]*(x[2]*y[0]-x[0]*y[2]) + s[2]*(x[0]*y[1]-x[1]*y[0])
	m := max(s[0], s[1], s[2])
	return d > 1e-9*m*m
}

// flip turns the edge opposite corner k of u if its quadrilateral is strictly
// convex.
func (t *triangulation) flip(u int32, k int) bool {
	v := t.nb[u][k]
	l := t.slot(v, u)
	a, b, d, e := t.tri[u][k], t.tri[u][(k+1)%3], t.tri[u][(k+2)%3], t.tri[v][l]
	if t.orient(a, b, e) <= 0 || t.orient(a, e, d) <= 0 {
		return false
	}
	nab, nda, fab, fda := t.nb[u][(k+2)%3], t.nb[u][(k+1)%3], t.fix[u][(k+2)%3], t.fix[u][(k+1)%3]
	nbe, ned, fbe, fed := t.nb[v][(l+1)%3], t.nb[v][(l+2)%3], t.fix[v][(l+1)%3], t.fix[v][(l+2)%3]
	t.set(u, [3]int32{a, b, e}, [3]int32{nbe, v, nab}, [3]int32{fbe, 0, fab})
	t.set(v, [3]int32{a, e, d}, [3]int32{ned, nda, u}, [3]int32{fed, fda, 0})
	t.relink(nbe, v, u)
	t.relink(nda, u, v)
	return true
}
