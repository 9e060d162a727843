package mesh

import (
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// coverage tells how much of a triangle lies on the boundary of the solid.
type coverage uint8

const (
	bare    coverage = iota // all of it
	mixed                   // it meets another shell: some of it, perhaps
	covered                 // none: it lies within the solid
)

const (
	// touching is how near triangles of two shells count as meeting, and how
	// thin a piece of a triangle is left out of the boundary, mm: far above
	// rounding (1e-12 for parts of a metre), a thousandth of the finest
	// clearance reported.
	touching = 1e-6
	// lift is how far off its face the outside of a piece is asked for, mm:
	// above rounding, and small against touching, so that a sharp groove does
	// not swallow it.
	lift = 1e-7
)

// cover makes the tree of the solid's boundary where the mesh has several
// shells. Triangles that meet no other shell share the answer with their
// neighbours, so that one question is asked for each connected region; the
// others are cut where they meet.
func (t *Tree) cover(m *Mesh) {
	pairs := t.neighbours(m)
	shell := newSets(len(t.tri))
	for _, p := range pairs {
		shell.join(p[0], p[1])
	}
	several := false
	of := make([]int32, len(t.tri))
	for i := range t.tri {
		of[i] = shell.find(int32(i))
		several = several || of[i] != 0
	}
	if !several {
		return
	}
	t.shell = of
	met := map[int32][]int32{}
	t.meet(met, 0, 0)
	region := newSets(len(t.tri))
	for _, p := range pairs {
		if met[p[0]] == nil && met[p[1]] == nil {
			region.join(p[0], p[1])
		}
	}
	skin := &Tree{mesh: m}
	known := make([]coverage, len(t.tri))
	for i := range t.tri {
		if others := met[int32(i)]; others != nil {
			for _, piece := range t.cut(i, others) {
				skin.tri, skin.index = append(skin.tri, piece), append(skin.index, t.index[i])
			}
			continue
		}
		// a set is named by its least member, which comes first
		r := region.find(int32(i))
		if int(r) == i && !t.onBoundary(i, t.tri[i][:]) {
			known[i] = covered
		}
		if known[r] == bare {
			skin.tri, skin.index = append(skin.tri, t.tri[i]), append(skin.index, t.index[i])
		}
	}
	skin.grow()
	t.skin = skin
}

// neighbours lists the pairs of leaf triangles with an edge in common, by
// coordinates. An edge of more than two triangles, as where shells touch, makes
// no neighbours.
func (t *Tree) neighbours(m *Mesh) [][2]int32 {
	weld := welded(m)
	type use struct{ a, b, n int32 }
	at := make(map[[2]int32]use, 2*len(t.tri))
	var order [][2]int32
	for i, k := range t.index {
		for e := range 3 {
			v, w := weld[m.T[k][e]], weld[m.T[k][(e+1)%3]]
			key := [2]int32{min(v, w), max(v, w)}
			u := at[key]
			if u.n == 0 {
				u.a = int32(i)
				order = append(order, key)
			}
			u.b, u.n = int32(i), u.n+1
			at[key] = u
		}
	}
	var pairs [][2]int32
	for _, key := range order {
		if u := at[key]; u.n == 2 {
			pairs = append(pairs, [2]int32{u.a, u.b})
		}
	}
	return pairs
}

// meet lists in met, for the triangles below nodes a and b, which triangles of
// another shell they touch.
func (t *Tree) meet(met map[int32][]int32, a, b int32) {
	x, y := &t.nodes[a], &t.nodes[b]
	d := absVec(r3.Sub(x.centre, y.centre))
	r := r3.Add(x.half, y.half)
	if d.X > r.X+touching || d.Y > r.Y+touching || d.Z > r.Z+touching {
		return
	}
	switch {
	case x.count > 0 && y.count > 0:
		for i := x.first; i < x.first+x.count; i++ {
			for j := y.first; j < y.first+y.count; j++ {
				if (a == b && i >= j) || t.shell[i] == t.shell[j] {
					continue
				}
				if d, _, _ := t.tri[i].Distance(&t.tri[j]); d < touching {
					met[i], met[j] = append(met[i], j), append(met[j], i)
				}
			}
		}
	case a == b:
		t.meet(met, a+1, a+1)
		t.meet(met, x.right, x.right)
		t.meet(met, a+1, x.right)
	case y.count > 0 || (x.count == 0 && r3.Norm2(x.half) > r3.Norm2(y.half)):
		t.meet(met, a+1, b)
		t.meet(met, x.right, b)
	default:
		t.meet(met, a, b+1)
		t.meet(met, a, y.right)
	}
}

// cut divides triangle i where the triangles others meet it, and gives what of
// it lies on the boundary of the solid.
func (t *Tree) cut(i int, others []int32) []geom.Triangle {
	pieces := [][]geom.Vec{t.tri[i][:]}
	for _, o := range others {
		var next [][]geom.Vec
		for _, p := range pieces {
			next = append(next, splitBy(p, &t.tri[o])...)
		}
		pieces = next
	}
	var out []geom.Triangle
	for _, p := range pieces {
		if !t.onBoundary(i, p) {
			continue
		}
		for k := 2; k < len(p); k++ {
			out = append(out, geom.Triangle{p[0], p[k-1], p[k]})
		}
	}
	return out
}

// splitBy cuts the convex polygon p by the plane of o or, if it lies in that
// plane, by the sides of o. A polygon that o does not touch stays whole.
func splitBy(p []geom.Vec, o *geom.Triangle) [][]geom.Vec {
	near := false
	for k := 2; k < len(p) && !near; k++ {
		d, _, _ := (&geom.Triangle{p[0], p[k-1], p[k]}).Distance(o)
		near = d < touching
	}
	n := o.Normal()
	if !near || n == (geom.Vec{}) {
		return [][]geom.Vec{p}
	}
	if parts := splitByPlane(p, o[0], n); len(parts) > 1 || !withinPlane(p, o[0], n) {
		return parts
	}
	parts := [][]geom.Vec{p}
	for k := range o {
		var next [][]geom.Vec
		side := r3.Unit(r3.Cross(r3.Sub(o[(k+1)%3], o[k]), n))
		for _, q := range parts {
			next = append(next, splitByPlane(q, o[k], side)...)
		}
		parts = next
	}
	return parts
}

func withinPlane(p []geom.Vec, at, n geom.Vec) bool {
	for _, v := range p {
		if math.Abs(r3.Dot(n, r3.Sub(v, at))) > touching {
			return false
		}
	}
	return true
}

// splitByPlane gives the parts of p on both sides of a plane, or p itself if it
// does not reach beyond the plane by more than touching on both.
func splitByPlane(p []geom.Vec, at, n geom.Vec) [][]geom.Vec {
	h := make([]float64, len(p))
	lo, hi := 0.0, 0.0
	for i, v := range p {
		h[i] = r3.Dot(n, r3.Sub(v, at))
		lo, hi = min(lo, h[i]), max(hi, h[i])
	}
	if lo >= -touching || hi <= touching {
		return [][]geom.Vec{p}
	}
	var above, below []geom.Vec
	for i, v := range p {
		j := (i + 1) % len(p)
		if h[i] >= 0 {
			above = append(above, v)
		}
		if h[i] <= 0 {
			below = append(below, v)
		}
		if h[i]*h[j] < 0 {
			x := r3.Add(v, r3.Scale(h[i]/(h[i]-h[j]), r3.Sub(p[j], v)))
			above, below = append(above, x), append(below, x)
		}
	}
	return [][]geom.Vec{above, below}
}

// onBoundary tells whether the convex part p of leaf triangle i is on the
// boundary of the solid: whether the space just outside it is free.
func (t *Tree) onBoundary(i int, p []geom.Vec) bool {
	q := geom.Vec{}
	for _, v := range p {
		q = r3.Add(q, r3.Scale(1/float64(len(p)), v))
	}
	return !t.inside(r3.Add(q, r3.Scale(lift, t.tri[i].Normal())))
}

// welded numbers the vertices so that equal coordinates have one number.
func welded(m *Mesh) []int32 {
	first := make(map[geom.Vec]int32, len(m.V))
	w := make([]int32, len(m.V))
	for i, v := range m.V {
		k, ok := first[v]
		if !ok {
			k = int32(i)
			first[v] = k
		}
		w[i] = k
	}
	return w
}

// sets are disjoint sets with path halving.
type sets []int32

func newSets(n int) sets {
	s := make(sets, n)
	for i := range s {
		s[i] = int32(i)
	}
	return s
}

func (s sets) find(i int32) int32 {
	for s[i] != i {
		s[i] = s[s[i]]
		i = s[i]
	}
	return i
}

// join keeps the smaller number as the set's name.
func (s sets) join(a, b int32) {
	a, b = s.find(a), s.find(b)
	s[max(a, b)] = min(a, b)
}
