package printable

import (
	"math"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// laid is a part as it lies on the plate, its corner at the origin.
type laid struct {
	m      *mesh.Mesh
	back   geom.Motion // to the part as drawn
	normal []geom.Vec
	area   []float64
	beside [][3]int32 // the triangle across the edge from corner k; -1 for none
	size   geom.Vec
}

// touching is how near to the plate a face counts as lying on it, mm: a tenth of
// a thin layer.
const touching = 0.02

// lay turns a part by up and puts it on the plate. beside may be nil, and then is
// found anew.
func lay(m *mesh.Mesh, up geom.Motion, beside [][3]int32) *laid {
	turn := geom.Motion{R: up.R}
	turned := m.Moved(turn)
	lo := turned.Bounds().Lo
	shift := geom.Translation(r3.Scale(-1, lo))
	l := &laid{m: turned.Moved(shift), back: turn.Then(shift).Inverse(), beside: beside}
	if l.beside == nil {
		l.beside = neighbours(m)
	}
	l.size = l.m.Bounds().Hi
	l.normal, l.area = make([]geom.Vec, len(m.T)), make([]float64, len(m.T))
	for i := range m.T {
		t := l.m.Triangle(i)
		c := r3.Cross(r3.Sub(t[1], t[0]), r3.Sub(t[2], t[0]))
		if n := r3.Norm(c); n > 0 {
			l.normal[i], l.area[i] = r3.Scale(1/n, c), n/2
		}
	}
	return l
}

// neighbours lists the triangles across the edges of each; an edge that not
// exactly two triangles share has none.
func neighbours(m *mesh.Mesh) [][3]int32 {
	type side struct {
		tri, edge int32
		n         int
	}
	first := map[[2]int32]side{}
	out := make([][3]int32, len(m.T))
	for i, t := range m.T {
		for k := range 3 {
			a, b := t[k], t[(k+1)%3]
			key := [2]int32{min(a, b), max(a, b)}
			out[i][k] = -1
			s := first[key]
			s.n++
			switch s.n {
			case 1:
				s.tri, s.edge = int32(i), int32(k)
			case 2:
				out[i][k], out[s.tri][s.edge] = s.tri, int32(i)
			default: // not a two-manifold here: nobody is a neighbour
				out[i][k] = -1
				out[s.tri][s.edge] = -1
			}
			first[key] = s
		}
	}
	return out
}

// lowest and highest corner of a triangle.
func (l *laid) lowest(i int) float64 {
	t := l.m.T[i]
	return min(l.m.V[t[0]].Z, l.m.V[t[1]].Z, l.m.V[t[2]].Z)
}

func (l *laid) highest(i int) float64 {
	t := l.m.T[i]
	return max(l.m.V[t[0]].Z, l.m.V[t[1]].Z, l.m.V[t[2]].Z)
}

// contact is the area on the plate.
func (l *laid) contact() float64 {
	a := 0.0
	for i := range l.m.T {
		if l.normal[i].Z < -0.99 && l.highest(i) < touching {
			a += l.area[i]
		}
	}
	return a
}

// stands tells whether the middle of mass lies over the hull of what touches the
// plate.
func (l *laid) stands() bool {
	var foot []flat
	for _, v := range l.m.V {
		if v.Z < touching {
			foot = append(foot, flat{v.X, v.Y})
		}
	}
	hull := hull2(foot)
	c := centre(l.m)
	return len(hull) > 2 && within(flat{c.X, c.Y}, hull)
}

// centre is the middle of mass (divergence theorem).
func centre(m *mesh.Mesh) geom.Vec {
	var c geom.Vec
	v := 0.0
	for i := range m.T {
		t := m.Triangle(i)
		d := r3.Dot(t[0], r3.Cross(t[1], t[2]))
		v += d
		c = r3.Add(c, r3.Scale(d/4, r3.Add(t[0], r3.Add(t[1], t[2]))))
	}
	if v == 0 {
		return c
	}
	return r3.Scale(1/v, c)
}

// steepness of a face: 0 upright, pi/2 a ceiling, negative where it looks up.
func steepness(n geom.Vec) float64 { return math.Asin(min(1, max(-1, -n.Z))) }

// fits tells whether the part fits on the bed, as it lies or turned by a quarter,
// and else by how much it is too large.
func (l *laid) fits(bed [3]float64) (over float64, ok bool) {
	straight := max(l.size.X-bed[0], l.size.Y-bed[1])
	turned := max(l.size.Y-bed[0], l.size.X-bed[1])
	over = max(min(straight, turned), l.size.Z-bed[2])
	return max(0, over), over <= 0
}
