package solid

import (
	"feint/internal/geom"
	"feint/internal/mesh"
)

// builder collects triangles; equal points become one vertex, and triangles
// that have lost a corner that way are left out.
type builder struct {
	m  mesh.Mesh
	ix map[geom.Vec]int32
}

func newBuilder() *builder { return &builder{ix: map[geom.Vec]int32{}} }

func (b *builder) point(v geom.Vec) int32 {
	v.X, v.Y, v.Z = v.X+0, v.Y+0, v.Z+0 // no negative zeros
	if i, ok := b.ix[v]; ok {
		return i
	}
	i := int32(len(b.m.V))
	b.m.V = append(b.m.V, v)
	b.ix[v] = i
	return i
}

func (b *builder) triangle(p, q, r geom.Vec) {
	t := [3]int32{b.point(p), b.point(q), b.point(r)}
	if t[0] != t[1] && t[1] != t[2] && t[2] != t[0] {
		b.m.T = append(b.m.T, t)
	}
}

// quad is p q r s, divided from p to r.
func (b *builder) quad(p, q, r, s geom.Vec) {
	b.triangle(p, q, r)
	b.triangle(p, r, s)
}

// solid is the finished mesh, facing outwards.
func (b *builder) solid() *mesh.Mesh {
	m := b.m
	if m.Volume() < 0 {
		flip(&m)
	}
	return &m
}

func flip(m *mesh.Mesh) {
	for i := range m.T {
		m.T[i][1], m.T[i][2] = m.T[i][2], m.T[i][1]
	}
}

// between fills the band from the line p to the line q, both in the same
// direction, seen from outside with p below and running to the right.
func (b *builder) between(p, q []geom.Vec) {
	if len(p) == 2 && len(q) == 2 {
		b.quad(p[0], p[1], q[1], q[0])
		return
	}
	for i := 1; i < len(p); i++ {
		b.triangle(p[i-1], p[i], q[0])
	}
	for i := 1; i < len(q); i++ {
		b.triangle(p[len(p)-1], q[i], q[i-1])
	}
}

// stack joins rings of points to a closed body: rings[l][k] is loop l at level
// k, all levels of a loop with equally many points. The first and last level are
// closed by the region between loop 0 and the others, as seen along z.
func stack(rings [][][]geom.Vec) *mesh.Mesh {
	b := newBuilder()
	for _, levels := range rings {
		for k := 1; k < len(levels); k++ {
			b.belt(levels[k-1], levels[k])
		}
	}
	b.cap(rings, 0, true)
	b.cap(rings, -1, false)
	return b.solid()
}

// belt joins two rings of equally many points.
func (b *builder) belt(lo, hi []geom.Vec) {
	n := len(lo)
	for i := range lo {
		j := (i + 1) % n
		b.quad(lo[i], lo[j], hi[j], hi[i])
	}
}

// cap closes level k (-1 the last) of the rings.
func (b *builder) cap(rings [][][]geom.Vec, k int, down bool) {
	var loops [][]point
	var at []geom.Vec
	for _, levels := range rings {
		ring := levels[(k+len(levels))%len(levels)]
		var l []point
		for i, v := range ring {
			if i > 0 && v == ring[i-1] || i == len(ring)-1 && v == ring[0] {
				continue
			}
			l = append(l, point{v.X, v.Y})
			at = append(at, v)
		}
		loops = append(loops, l)
	}
	for _, t := range triangulate(loops) {
		if down {
			t[1], t[2] = t[2], t[1]
		}
		b.triangle(at[t[0]], at[t[1]], at[t[2]])
	}
}

// merge puts closed meshes into one, each a shell of its own; they may overlap.
func merge(ms []*mesh.Mesh) *mesh.Mesh {
	var o mesh.Mesh
	for _, m := range ms {
		n := int32(len(o.V))
		o.V = append(o.V, m.V...)
		for _, t := range m.T {
			o.T = append(o.T, [3]int32{t[0] + n, t[1] + n, t[2] + n})
		}
	}
	return &o
}
