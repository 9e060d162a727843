package mass

import (
	"math"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Properties are those of a rigid body.
type Properties struct {
	Mass    float64  // kg
	Centre  geom.Vec // of mass, mm
	Inertia Tensor   // about the centre, kg mm2
}

// Tensor is a symmetric inertia tensor; XY and its like are the elements off the
// diagonal, that is minus the products of inertia.
type Tensor struct{ XX, YY, ZZ, XY, XZ, YZ float64 }

// perCubicMM turns g/cm3 into kg/mm3.
const perCubicMM = 1e-6

// Solid is a body filled with material of the given density, g/cm3. The mesh is
// closed and faces outwards; shells that overlap count twice. An empty mesh, or
// one without volume, has no mass and its centre at the origin.
//
// Method: every triangle spans a tetrahedron with the origin, signed; the moments
// of a tetrahedron are polynomials of its corners (A. M. Messner and G. Q. Taylor,
// "Algorithm 550: solid polyhedron measures", ACM Trans. Math. Software 6 (1980)
// 121).
func Solid(m *mesh.Mesh, density float64) Properties {
	var s moments
	at := middle(m)
	for _, t := range m.T {
		s.tetrahedron(r3.Sub(m.V[t[0]], at), r3.Sub(m.V[t[1]], at), r3.Sub(m.V[t[2]], at))
	}
	return s.properties(density*perCubicMM, at)
}

// middle is the centre of the bounds: moments taken about it lose least.
func middle(m *mesh.Mesh) geom.Vec {
	if len(m.V) == 0 {
		return geom.Vec{}
	}
	b := m.Bounds()
	return r3.Scale(0.5, r3.Add(b.Lo, b.Hi))
}

// moments are volume integrals of 1, x, x x about a point.
type moments struct {
	v  float64
	x  geom.Vec
	xx Tensor // integrals of x x, y y, ..., x y, not the inertia
}

// tetrahedron adds the one between the origin and the triangle a, b, c: with D
// six times its volume, the integral of 1 is D/6, of x D (a+b+c)/24, of x y
// D (sum of all products a_x a_y, (a+b+c)_x (a+b+c)_y)/120.
func (s *moments) tetrahedron(a, b, c geom.Vec) {
	d := r3.Dot(a, r3.Cross(b, c))
	sum := r3.Add(a, r3.Add(b, c))
	s.v += d / 6
	s.x = r3.Add(s.x, r3.Scale(d/24, sum))
	k := d / 120
	for _, p := range [4]geom.Vec{a, b, c, sum} {
		s.square(p, k)
	}
}

func (s *moments) square(p geom.Vec, k float64) {
	s.xx.XX += k * p.X * p.X
	s.xx.YY += k * p.Y * p.Y
	s.xx.ZZ += k * p.Z * p.Z
	s.xx.XY += k * p.X * p.Y
	s.xx.XZ += k * p.X * p.Z
	s.xx.YZ += k * p.Y * p.Z
}

func (s *moments) properties(density float64, at geom.Vec) Properties {
	if s.v == 0 {
		return Properties{}
	}
	c := r3.Scale(1/s.v, s.x)
	s.square(c, -s.v)
	q := s.xx
	return Properties{
		Mass:   density * s.v,
		Centre: r3.Add(c, at),
		Inertia: Tensor{
			XX: density * (q.YY + q.ZZ), YY: density * (q.XX + q.ZZ), ZZ: density * (q.XX + q.YY),
			XY: -density * q.XY, XZ: -density * q.XZ, YZ: -density * q.YZ,
		},
	}
}

// Rod is a round body of diameter d and length l, mm, about the unit vector axis.
func Rod(centre, axis geom.Vec, d, l, density float64) Properties {
	m := density * perCubicMM * math.Pi / 4 * d * d * l
	long, across := m*d*d/8, m*(d*d/16+l*l/12)
	k := long - across
	return Properties{Mass: m, Centre: centre, Inertia: Tensor{
		XX: across + k*axis.X*axis.X, YY: across + k*axis.Y*axis.Y, ZZ: across + k*axis.Z*axis.Z,
		XY: k * axis.X * axis.Y, XZ: k * axis.X * axis.Z, YZ: k * axis.Y * axis.Z,
	}}
}

// Together is the body that rigidly joins all of ps.
func Together(ps ...Properties) Properties {
	var o Properties
	for _, p := range ps {
		o.Mass += p.Mass
		o.Centre = r3.Add(o.Centre, r3.Scale(p.Mass, p.Centre))
	}
	if o.Mass == 0 {
		return Properties{}
	}
	o.Centre = r3.Scale(1/o.Mass, o.Centre)
	for _, p := range ps {
		d := r3.Sub(p.Centre, o.Centre)
		o.Inertia.add(p.Inertia, 1)
		o.Inertia.add(Tensor{
			XX: d.Y*d.Y + d.Z*d.Z, YY: d.X*d.X + d.Z*d.Z, ZZ: d.X*d.X + d.Y*d.Y,
			XY: -d.X * d.Y, XZ: -d.X * d.Z, YZ: -d.Y * d.Z,
		}, p.Mass) // Steiner, Huygens
	}
	return o
}

func (t *Tensor) add(u Tensor, k float64) {
	t.XX += k * u.XX
	t.YY += k * u.YY
	t.ZZ += k * u.ZZ
	t.XY += k * u.XY
	t.XZ += k * u.XZ
	t.YZ += k * u.YZ
}

// Times gives t v.
func (t Tensor) Times(v geom.Vec) geom.Vec {
	return geom.Vec{
		X: t.XX*v.X + t.XY*v.Y + t.XZ*v.Z,
		Y: t.XY*v.X + t.YY*v.Y + t.YZ*v.Z,
		Z: t.XZ*v.X + t.YZ*v.Y + t.ZZ*v.Z,
	}
}

// About is the moment of inertia about the line l, kg mm2.
func (p *Properties) About(l geom.Line) float64 {
	r := r3.Cross(l.Dir, r3.Sub(p.Centre, l.Point))
	return r3.Dot(l.Dir, p.Inertia.Times(l.Dir)) + p.Mass*r3.Norm2(r)
}

// Moved is the body carried by g.
func (p Properties) Moved(g geom.Motion) Properties {
	t := p.Inertia
	rows := [3]geom.Vec{{X: t.XX, Y: t.XY, Z: t.XZ}, {X: t.XY, Y: t.YY, Z: t.YZ}, {X: t.XZ, Y: t.YZ, Z: t.ZZ}}
	at := func(i, j int) float64 { // row i of R, times t, times row j of R
		u := geom.Vec{X: r3.Dot(rows[0], g.R[j]), Y: r3.Dot(rows[1], g.R[j]), Z: r3.Dot(rows[2], g.R[j])}
		return r3.Dot(g.R[i], u)
	}
	return Properties{
		Mass: p.Mass, Centre: g.Apply(p.Centre),
		Inertia: Tensor{XX: at(0, 0), YY: at(1, 1), ZZ: at(2, 2), XY: at(0, 1), XZ: at(0, 2), YZ: at(1, 2)},
	}
}
