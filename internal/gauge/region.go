package gauge

import (
	"math"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// frame is where and how a gauge is cut out: x across the walls, y along the
// third direction, z along the way in which the plug goes in.
type frame struct {
	at      geom.Vec
	x, y, z geom.Vec
}

// prism is a right prism over a convex polygon, counter-clockwise in x and y of
// the frame, from z = lo to hi.
func (f *frame) prism(poly [][2]float64, lo, hi float64) *mesh.Mesh {
	n := int32(len(poly))
	m := &mesh.Mesh{}
	for _, h := range [2]float64{lo, hi} {
		for _, p := range poly {
			v := r3.Add(f.at, r3.Add(r3.Scale(p[0], f.x), r3.Add(r3.Scale(p[1], f.y), r3.Scale(h, f.z))))
			m.V = append(m.V, v)
		}
	}
	for i := range n {
		j := (i + 1) % n
		m.T = append(m.T, [3]int32{i, j, n + j}, [3]int32{i, n + j, n + i})
		if i > 0 && j > 0 {
			m.T = append(m.T, [3]int32{0, j, i}, [3]int32{n, n + i, n + j})
		}
	}
	return m
}

// box is a prism over a rectangle.
func (f *frame) box(x0, x1, y0, y1, z0, z1 float64) *mesh.Mesh {
	return f.prism([][2]float64{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}, z0, z1)
}

// round is a prism over a regular polygon whose sides lie r from the axis.
func (f *frame) round(r, z0, z1 float64) *mesh.Mesh {
	const n = 24
	var poly [][2]float64
	for i := range n {
		s, c := math.Sincos(2 * math.Pi * (float64(i) + 0.5) / n)
		k := r / math.Cos(math.Pi/n)
		poly = append(poly, [2]float64{k * c, k * s})
	}
	return f.prism(poly, z0, z1)
}

// common is what two solids share.
func common(a, b *mesh.Mesh, o mesh.Options) (*mesh.Mesh, error) {
	return mesh.Arrange([]*mesh.Mesh{a, b}, func(in []bool) bool { return in[0] && in[1] }, o)
}

// joined is the union of solids.
func joined(ms []*mesh.Mesh, o mesh.Options) (*mesh.Mesh, error) {
	return mesh.Arrange(ms, func(in []bool) bool {
		for _, x := range in {
			if x {
				return true
			}
		}
		return false
	}, o)
}

// largest is the largest body of m with its hollows, and how much of the volume
// all others have. Bodies hang together by edges.
func largest(m *mesh.Mesh) (*mesh.Mesh, float64) {
	shells := m.Shells()
	if len(shells) < 2 {
		return m, 0
	}
	best, most, rest := 0, math.Inf(-1), 0.0
	parts := make([]*mesh.Mesh, len(shells))
	for i, s := range shells {
		parts[i] = partOf(m, s)
		v := parts[i].Volume()
		rest += max(0, v)
		if v > most {
			best, most = i, v
		}
	}
	out := parts[best]
	tree := mesh.NewTree(out)
	for i, p := range parts { // hollows inside it stay
		if i != best && p.Volume() < 0 && tree.Inside(p.V[0]) {
			out = merged(out, p)
		}
	}
	return out, (rest - most) / rest
}

func partOf(m *mesh.Mesh, tris []int32) *mesh.Mesh {
	o := &mesh.Mesh{}
	at := map[int32]int32{}
	for _, i := range tris {
		var t [3]int32
		for k, v := range m.T[i] {
			n, ok := at[v]
			if !ok {
				n = int32(len(o.V))
				at[v] = n
				o.V = append(o.V, m.V[v])
			}
			t[k] = n
		}
		o.T = append(o.T, t)
	}
	return o
}

func merged(a, b *mesh.Mesh) *mesh.Mesh {
	o := &mesh.Mesh{V: append([]geom.Vec(nil), a.V...), T: append([][3]int32(nil), a.T...)}
	n := int32(len(a.V))
	o.V = append(o.V, b.V...)
	for _, t := range b.T {
		o.T = append(o.T, [3]int32{t[0] + n, t[1] + n, t[2] + n})
	}
	return o
}

// harm names the first defect of m that leaves doubt about what is inside.
func harm(m *mesh.Mesh) string {
	if len(m.T) == 0 {
		return "nothing is left"
	}
	for _, d := range mesh.Check(m) {
		if !d.Harmless {
			return d.String()
		}
	}
	return ""
}
