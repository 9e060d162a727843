package geom

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Vec is a point or a direction, mm.
type Vec = r3.Vec

// Line is an oriented line: a point on it and a unit direction.
type Line struct {
	Point Vec
	Dir   Vec
}

// Motion is a proper rigid motion x -> R x + T. R is stored by rows.
type Motion struct {
	R [3]Vec
	T Vec
}

// Identity is the motion that moves nothing.
func Identity() Motion {
	return Motion{R: [3]Vec{{X: 1}, {Y: 1}, {Z: 1}}}
}

// Translation moves every point by t, mm.
func Translation(t Vec) Motion {
	m := Identity()
	m.T = t
	return m
}

// Rotation turns by angle radians about the line l, right-handed about l.Dir,
// which must be a unit vector (Rodrigues' formula).
func Rotation(l Line, angle float64) Motion {
	s, c := math.Sincos(angle)
	k, v := l.Dir, 1-c
	m := Motion{R: [3]Vec{
		{X: c + k.X*k.X*v, Y: k.X*k.Y*v - k.Z*s, Z: k.X*k.Z*v + k.Y*s},
		{X: k.Y*k.X*v + k.Z*s, Y: c + k.Y*k.Y*v, Z: k.Y*k.Z*v - k.X*s},
		{X: k.Z*k.X*v - k.Y*s, Y: k.Z*k.Y*v + k.X*s, Z: c + k.Z*k.Z*v},
	}}
	m.T = r3.Sub(l.Point, m.Turn(l.Point))
	return m
}

// Screw turns by angle radians about l while advancing lead mm a full turn.
func Screw(l Line, angle, lead float64) Motion {
	m := Rotation(l, angle)
	m.T = r3.Add(m.T, r3.Scale(lead*angle/(2*math.Pi), l.Dir))
	return m
}

// Turn applies only the rotation of m, as for directions.
func (m *Motion) Turn(v Vec) Vec {
	return Vec{X: r3.Dot(m.R[0], v), Y: r3.Dot(m.R[1], v), Z: r3.Dot(m.R[2], v)}
}

// Apply moves the point p.
func (m *Motion) Apply(p Vec) Vec {
	return Vec{
		X: m.R[0].X*p.X + m.R[0].Y*p.Y + m.R[0].Z*p.Z + m.T.X,
		Y: m.R[1].X*p.X + m.R[1].Y*p.Y + m.R[1].Z*p.Z + m.T.Y,
		Z: m.R[2].X*p.X + m.R[2].Y*p.Y + m.R[2].Z*p.Z + m.T.Z,
	}
}

// Then is the motion "m, then n".
func (m Motion) Then(n Motion) Motion {
	var o Motion
	col := [3]Vec{
		{X: m.R[0].X, Y: m.R[1].X, Z: m.R[2].X},
		{X: m.R[0].Y, Y: m.R[1].Y, Z: m.R[2].Y},
		{X: m.R[0].Z, Y: m.R[1].Z, Z: m.R[2].Z},
	}
	for i := range o.R {
		o.R[i] = Vec{X: r3.Dot(n.R[i], col[0]), Y: r3.Dot(n.R[i], col[1]), Z: r3.Dot(n.R[i], col[2])}
	}
	o.T = n.Apply(m.T)
	return o
}

// Inverse undoes m.
func (m Motion) Inverse() Motion {
	o := Motion{R: [3]Vec{
		{X: m.R[0].X, Y: m.R[1].X, Z: m.R[2].X},
		{X: m.R[0].Y, Y: m.R[1].Y, Z: m.R[2].Y},
		{X: m.R[0].Z, Y: m.R[1].Z, Z: m.R[2].Z},
	}}
	o.T = r3.Scale(-1, o.Turn(m.T))
	return o
}

// Box is an axis-aligned box; it is empty while Lo exceeds Hi anywhere.
type Box struct {
	Lo, Hi Vec
}

// EmptyBox holds no point; extending it by a point gives that point.
func EmptyBox() Box {
	i := math.Inf(1)
	return Box{Lo: Vec{X: i, Y: i, Z: i}, Hi: Vec{X: -i, Y: -i, Z: -i}}
}

// Add is the smallest box that holds b and p.
func (b Box) Add(p Vec) Box {
	return Box{
		Lo: Vec{X: min(b.Lo.X, p.X), Y: min(b.Lo.Y, p.Y), Z: min(b.Lo.Z, p.Z)},
		Hi: Vec{X: max(b.Hi.X, p.X), Y: max(b.Hi.Y, p.Y), Z: max(b.Hi.Z, p.Z)},
	}
}

// Union is the smallest box that holds b and c.
func (b Box) Union(c Box) Box { return b.Add(c.Lo).Add(c.Hi) }

// Distance is the distance between two boxes, 0 where they meet.
func (b Box) Distance(c Box) float64 {
	dx := max(0, c.Lo.X-b.Hi.X, b.Lo.X-c.Hi.X)
	dy := max(0, c.Lo.Y-b.Hi.Y, b.Lo.Y-c.Hi.Y)
	dz := max(0, c.Lo.Z-b.Hi.Z, b.Lo.Z-c.Hi.Z)
	return math.Sqrt(dx*dx + dy*dy + dz*dz)
}
