package mesh

import (
	"math"
	"slices"
)

// slightest is the least edge length and height of a triangle, grid units,
// that cleaning leaves. Rounding moves a vertex by up to sqrt(3)/2 of a unit,
// so two features nearer than twice that can change places; 4 gives that with
// some room (6e-5 mm).
const slightest = 4.0

// cleaner takes edges and heights below a limit out of a closed two-manifold
// mesh: short edges are collapsed, caps (triangles low over their longest
// edge) are flipped.
type cleaner struct {
	*gridMesh
	limit []float64 // by vertex
	dead  []bool
	at    [][]int32 // triangles at each vertex, dead ones among them
}

// clean changes g in place.
func (g *gridMesh) clean(limit []float64) {
	c := cleaner{gridMesh: g, limit: limit}
	todo := make([]int32, 0, 64)
	for i := range g.t {
		if c.slight(int32(i)) {
			todo = append(todo, int32(i))
		}
	}
	if len(todo) == 0 {
		return
	}
	c.dead = make([]bool, len(g.t))
	c.incidence()
	for range 16 {
		next := c.pass(todo)
		if next == nil {
			break
		}
		todo = next
	}
	n := 0
	for i, t := range g.t {
		if !c.dead[i] {
			g.t[n], g.out[n] = t, g.out[i]
			n++
		}
	}
	g.t, g.out = g.t[:n], g.out[:n]
}

func (c *cleaner) incidence() {
	n := make([]int32, len(c.p)+1)
	for _, t := range c.t {
		for _, v := range t {
			n[v+1]++
		}
	}
	for i := range c.p {
		n[i+1] += n[i]
	}
	all := make([]int32, 3*len(c.t))
	c.at = make([][]int32, len(c.p))
	for v := range c.at {
		c.at[v] = all[n[v]:n[v]:n[v+1]]
	}
	for i, t := range c.t {
		for _, v := range t {
			c.at[v] = append(c.at[v], int32(i))
		}
	}
}

// pass tries every triangle of todo once; nil means that nothing changed.
func (c *cleaner) pass(todo []int32) []int32 {
	changed := false
	queued := map[int32]bool{}
	var next []int32
	queue := func(i int32) {
		if !c.dead[i] && !queued[i] && c.slight(i) {
			queued[i] = true
			next = append(next, i)
		}
	}
	for _, i := range todo {
		if c.dead[i] || !c.slight(i) {
			continue
		}
		around, ok := c.mend(i)
		changed = changed || ok
		for _, v := range around {
			for _, j := range c.at[v] {
				queue(j)
			}
		}
		queue(i)
	}
	if !changed {
		return nil
	}
	return next
}

// mend improves triangle i and gives the vertices around which triangles
// changed.
func (c *cleaner) mend(i int32) ([]int32, bool) {
	t := c.t[i]
	short, long := 0, 0
	var l [3]float64
	for k := range 3 {
		l[k] = c.length(t[k], t[(k+1)%3])
		if l[k] < l[short] {
			short = k
		}
		if l[k] > l[long] {
			long = k
		}
	}
	if a, b := t[short], t[(short+1)%3]; l[short] < max(c.limit[a], c.limit[b]) {
		if c.cost(b, a) > c.cost(a, b) {
			a, b = b, a
		}
		if c.collapse(a, b) {
			return []int32{a}, true
		}
		if c.collapse(b, a) {
			return []int32{b}, true
		}
	}
	if c.flipCap(i, long) {
		return t[:], true
	}
	return nil, false
}

func (c *cleaner) length(a, b int32) float64 {
	p, q := &c.p[a], &c.p[b]
	x, y, z := float64(p[0]-q[0]), float64(p[1]-q[1]), float64(p[2]-q[2])
	return math.Sqrt(x*x + y*y + z*z)
}

// normalOf is twice the area of abd, as a vector.
func (c *cleaner) normalOf(t [3]int32) [3]float64 {
	n := normal(&[3][3]int64{c.p[t[0]], c.p[t[1]], c.p[t[2]]})
	return [3]float64{float64(n[0]), float64(n[1]), float64(n[2])}
}

func norm3(a [3]float64) float64 { return math.Sqrt(dotF(a, a)) }

func dotF(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

// height is the least height of a triangle.
func (c *cleaner) height(t [3]int32) float64 {
	l := max(c.length(t[0], t[1]), c.length(t[1], t[2]), c.length(t[2], t[0]))
	if l == 0 {
		return 0
	}
	return norm3(c.normalOf(t)) / l
}

func (c *cleaner) limitOf(t [3]int32) float64 {
	return max(c.limit[t[0]], c.limit[t[1]], c.limit[t[2]])
}

// slight: an edge of at least the height bounds every edge from below.
func (c *cleaner) slight(i int32) bool {
	t := c.t[i]
	return c.height(t) < c.limitOf(t)
}

// cost is how far the sound triangles at b would be bent by moving b to a.
func (c *cleaner) cost(a, b int32) float64 {
	worst := 0.0
	for _, i := range c.at[b] {
		t := c.t[i]
		if c.dead[i] || c.height(t) < c.limitOf(t) {
			continue
		}
		n := c.normalOf(t)
		var d [3]float64
		for k := range 3 {
			d[k] = float64(c.p[a][k] - c.p[b][k])
		}
		worst = max(worst, math.Abs(dotF(n, d))/norm3(n))
	}
	return worst
}

// neighbours gives the live vertices around v, each once.
func (c *cleaner) neighbours(v int32) []int32 {
	var out []int32
	for _, i := range c.at[v] {
		if c.dead[i] {
			continue
		}
		for k, w := range c.t[i] {
			if w == v { // the next one: every neighbour follows v once
				out = append(out, c.t[i][(k+1)%3])
			}
		}
	}
	return out
}

// collapse moves b to a, if the surface stays a two-manifold and no sound
// triangle turns over.
func (c *cleaner) collapse(a, b int32) bool {
	both := 0
	na, nb := c.neighbours(a), c.neighbours(b)
	for _, v := range nb {
		for _, w := range na {
			if v == w {
				both++
			}
		}
	}
	if both != 2 {
		return false
	}
	if len(na) == 3 && len(nb) == 3 { // a whole tetrahedron, below the limit across: it goes
		for _, i := range append(slices.Clone(c.at[a]), c.at[b]...) {
			c.dead[i] = true
		}
		return true
	}
	for _, i := range c.at[b] {
		if t := c.t[i]; !c.dead[i] && !has(t, a) && !c.mayMove(i, b, a) {
			return false
		}
	}
	for _, i := range c.at[b] {
		switch t := &c.t[i]; {
		case c.dead[i]:
		case has(*t, a):
			c.dead[i] = true
		default:
			for k := range t {
				if t[k] == b {
					t[k] = a
				}
			}
			c.at[a] = append(c.at[a], i)
		}
	}
	c.at[b] = nil
	c.limit[a] = max(c.limit[a], c.limit[b])
	return true
}

func has(t [3]int32, v int32) bool { return t[0] == v || t[1] == v || t[2] == v }

// bend is the least cosine between a triangle's normal after a collapse and
// that of its plane: 26 degrees, more than any collapse within slightest can
// turn a triangle ten times as high.
const bend = 0.9

// mayMove tells whether triangle i keeps its face when its corner from becomes
// to. A triangle too slight to have a direction of its own must at least not
// turn over.
func (c *cleaner) mayMove(i, from, to int32) bool {
	if c.p[from] == c.p[to] {
		return true
	}
	u := replaced(c.t[i], from, to)
	n := c.normalOf(u)
	l := norm3(n)
	if l == 0 {
		return false
	}
	least := 0.0
	if c.height(u) >= c.limitOf(u) {
		least = bend
	}
	return dotF(c.out[i], n) > least*l
}

// flipCap turns the longest edge, from corner k, of triangle i.
func (c *cleaner) flipCap(i int32, k int) bool {
	t := c.t[i]
	a, b, p := t[k], t[(k+1)%3], t[(k+2)%3]
	j, q := c.across(a, b)
	if j < 0 || q == p || c.joined(p, q) {
		return false
	}
	t1, t2 := [3]int32{a, q, p}, [3]int32{q, b, p}
	u := c.t[j]
	if min(c.height(t1), c.height(t2)) <= min(c.height(t), c.height(u)) {
		return false
	}
	n := c.out[j]
	if dotF(c.normalOf(t1), n) <= 0 || dotF(c.normalOf(t2), n) <= 0 {
		return false
	}
	c.t[i], c.t[j] = t1, t2
	c.out[i] = n
	c.at[a] = without(c.at[a], j)
	c.at[b] = without(c.at[b], i)
	c.at[p] = append(c.at[p], j)
	c.at[q] = append(c.at[q], i)
	return true
}

// across finds the triangle beyond the edge ab and its apex.
func (c *cleaner) across(a, b int32) (int32, int32) {
	for _, j := range c.at[b] {
		if c.dead[j] {
			continue
		}
		for k, v := range c.t[j] {
			if v == b && c.t[j][(k+1)%3] == a {
				return j, c.t[j][(k+2)%3]
			}
		}
	}
	return -1, -1
}

func (c *cleaner) joined(p, q int32) bool {
	for _, i := range c.at[p] {
		if !c.dead[i] && has(c.t[i], q) {
			return true
		}
	}
	return false
}

func without(l []int32, x int32) []int32 {
	out := make([]int32, 0, len(l))
	for _, y := range l {
		if y != x {
			out = append(out, y)
		}
	}
	return out
}
