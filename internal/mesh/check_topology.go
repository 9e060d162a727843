package mesh

import (
	"slices"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// fault is an edge at which the triangles do not fit.
type fault struct {
	a, b  int32
	kind  DefectKind
	harm  bool
	parts []int32
}

// eachEdge calls the function eachEdge for a mesh, leaving out the edges from a vertex to
// itself that triangles without area can have.
func (m *Mesh) eachEdge(fn func(a, b int32, h []halfEdge)) {
	eachEdge(len(m.V), len(m.T), func(i int) [3]int32 { return m.T[i] }, func(a, b int32, h []halfEdge) {
		if a != b {
			fn(a, b, h)
		}
	})
}

// balanced tells whether as many triangles run one way as the other.
func balanced(h []halfEdge) bool {
	n := 0
	for _, e := range h {
		if e.forward {
			n++
		} else {
			n--
		}
	}
	return n == 0
}

// topology finds holes, flipped neighbours, edges and vertices that are not
// manifold, and triangles given twice. Edges that hang together make one
// defect.
func (c *checker) topology() {
	var faults []fault
	corner := newForest(3 * len(c.m.T))
	crowded := make([]bool, len(c.m.V)) // at the end of a faulty edge
	c.m.eachEdge(func(a, b int32, h []halfEdge) {
		f := fault{a: a, b: b, harm: true}
		switch {
		case len(h) == 1:
			f.kind = Hole
		case len(h) == 2 && !balanced(h):
			f.kind = Flipped
		case len(h) > 2:
			f.kind, f.harm = NonManifoldEdge, !balanced(h)
		}
		for _, e := range h[1:] {
			c.joinCorners(corner, h[0].part, e.part, a, b)
		}
		if len(h) != 2 || !balanced(h) {
			crowded[a], crowded[b] = true, true
			for _, e := range h {
				f.parts = append(f.parts, e.part)
			}
			faults = append(faults, f)
		}
	})
	c.groupFaults(faults)
	c.umbrellas(corner, crowded)
	c.duplicates()
}

func (c *checker) joinCorners(corner forest, i, j, a, b int32) {
	for _, v := range [2]int32{a, b} {
		p, q := slices.Index(c.m.T[i][:], v), slices.Index(c.m.T[j][:], v)
		corner.join(3*i+int32(p), 3*j+int32(q))
	}
}

// groupFaults makes one defect of the faulty edges of a kind that hang
// together.
func (c *checker) groupFaults(faults []fault) {
	type end struct {
		v    int32
		kind DefectKind
		harm bool
	}
	group := newForest(len(faults))
	first := map[end]int32{}
	for i, f := range faults {
		for _, v := range [2]int32{f.a, f.b} {
			e := end{v, f.kind, f.harm}
			if j, ok := first[e]; ok {
				group.join(int32(i), j)
			} else {
				first[e] = int32(i)
			}
		}
	}
	number := map[int32]int{}
	base := len(c.out)
	for i, f := range faults {
		g := group.find(int32(i))
		n, ok := number[g]
		if !ok {
			n = len(c.out)
			number[g] = n
			mid := r3.Scale(0.5, r3.Add(c.m.V[f.a], c.m.V[f.b]))
			c.out = append(c.out, Defect{Kind: f.kind, At: mid, Harmless: !f.harm})
		}
		c.out[n].Triangles = append(c.out[n].Triangles, f.parts...)
	}
	for i := base; i < len(c.out); i++ {
		c.out[i].Triangles = distinct(c.out[i].Triangles)
	}
}

// umbrellas finds vertices whose triangles fall into several fans. Vertices
// of faulty edges are named with those.
func (c *checker) umbrellas(corner forest, crowded []bool) {
	fan := make([]int32, len(c.m.V))
	named := make([]bool, len(c.m.V))
	for i, t := range c.m.T {
		for k, v := range t {
			if crowded[v] || named[v] || t[0] == t[1] || t[1] == t[2] || t[2] == t[0] {
				continue
			}
			f := corner.find(int32(3*i+k)) + 1
			if fan[v] == 0 {
				fan[v] = f
			}
			if fan[v] != f {
				named[v] = true
				c.out = append(c.out, Defect{
					Kind: NonManifoldVertex, At: c.m.V[v], Triangles: distinct([]int32{int32(i), (fan[v] - 1) / 3}), Harmless: true,
				})
			}
		}
	}
}

// duplicates finds triangles with the same three vertices.
func (c *checker) duplicates() {
	first := make(map[[3]int32]int32, len(c.m.T))
	copies := map[int32][]int32{}
	var order []int32
	for i, t := range c.m.T {
		slices.Sort(t[:])
		j, ok := first[t]
		if !ok {
			first[t] = int32(i)
			continue
		}
		if copies[j] == nil {
			copies[j] = []int32{j}
			order = append(order, j)
		}
		copies[j] = append(copies[j], int32(i))
	}
	for _, j := range order {
		if t := c.m.T[j]; t[0] != t[1] && t[1] != t[2] && t[2] != t[0] {
			c.out = append(c.out, Defect{Kind: Duplicate, At: c.m.middle(j), Triangles: copies[j]})
		}
	}
}

// Shells gives the triangles of each part of the mesh that hangs together by
// edges, each list rising, the lists by their first triangle. Every triangle
// is in exactly one.
func (m *Mesh) Shells() [][]int32 {
	f := newForest(len(m.T))
	m.eachEdge(func(_, _ int32, h []halfEdge) {
		for _, e := range h[1:] {
			f.join(h[0].part, e.part)
		}
	})
	number := make([]int, len(m.T))
	var out [][]int32
	for i := range m.T {
		c := f.find(int32(i))
		if c == int32(i) {
			number[i] = len(out)
			out = append(out, nil)
		}
		n := number[c]
		out[n] = append(out[n], int32(i))
	}
	return out
}

// part is the mesh of some triangles of m.
func (m *Mesh) part(list []int32) *Mesh {
	o := &Mesh{T: make([][3]int32, 0, len(list))}
	number := make(map[int32]int32, len(list))
	for _, i := range list {
		t := m.T[i]
		for k, v := range t {
			n, ok := number[v]
			if !ok {
				n = int32(len(o.V))
				number[v] = n
				o.V = append(o.V, m.V[v])
			}
			t[k] = n
		}
		o.T = append(o.T, t)
	}
	return o
}

// facing finds shells that face inwards without being the hollow of another,
// and shells wholly inside another that faces the same way. A shell with
// holes has no inside and is passed over.
func (c *checker) facing(shells [][]int32) {
	type solid struct {
		*Mesh
		box    geom.Box
		volume float64 // 0 for a shell that is open
		tree   *Tree
	}
	parts := make([]solid, len(shells))
	for i, s := range shells {
		m := c.m.part(s)
		parts[i] = solid{Mesh: m, box: m.Bounds()}
		if m.closed() {
			parts[i].volume = m.Volume()
		}
	}
	for i := range parts {
		p := &parts[i]
		hollow, nested := false, false
		for j := range parts {
			q := &parts[j]
			if i == j || q.volume <= 0 || !holds(q.box, p.box) {
				continue
			}
			if q.tree == nil {
				q.tree = NewTree(q.Mesh)
			}
			if q.tree.Inside(p.V[0]) {
				hollow = hollow || p.volume < 0
				nested = nested || p.volume > 0
			}
		}
		switch {
		case p.volume < 0 && !hollow:
			c.out = append(c.out, Defect{Kind: InsideOut, At: c.m.middle(shells[i][0]), Triangles: shells[i]})
		case nested:
			c.out = append(c.out, Defect{Kind: ShellOverlap, At: c.m.middle(shells[i][0]), Triangles: shells[i], Harmless: true})
		}
	}
}

// closed tells whether every edge has as many triangles one way as the other.
func (m *Mesh) closed() bool {
	ok := true
	m.eachEdge(func(_, _ int32, h []halfEdge) { ok = ok && balanced(h) })
	return ok
}

func holds(a, b geom.Box) bool {
	return a.Lo.X <= b.Lo.X && a.Lo.Y <= b.Lo.Y && a.Lo.Z <= b.Lo.Z &&
		a.Hi.X >= b.Hi.X && a.Hi.Y >= b.Hi.Y && a.Hi.Z >= b.Hi.Z
}
