package clearance

import (
	"math"

	"feint/internal/geom"
	"feint/internal/mechanism"

	"gonum.org/v1/gonum/spatial/r3"
)

// look is a direction n with all that sweep.low needs to bound n.x over the cell
// for points x given in the moving form's own frame: the point is never moved,
// the direction is turned back instead.
type look struct {
	way      way
	m        geom.Vec // n in the moving form's frame
	c        float64  // n.x = m.x + c at the middle pose, less what every point loses
	ht, ver  float64
	helix    bool
	n        int
	cube, nz float64
	az, at   [MaxCoords]float64  // helix: along and round a coordinate, times its half width
	g        [MaxCoords]geom.Vec // general: n.velocity(i, x) h_i = g_i.x + gc_i
	gc       [MaxCoords]float64
}

// look prepares the direction n, given in the resting form's frame.
func (s *sweep) look(n geom.Vec) (l look) {
	l.way, l.n = s.way, s.n
	switch s.way {
	case slides:
		l.m, l.c = n, r3.Dot(n, s.pose.T)
		for i := range s.n {
			l.c -= math.Abs(r3.Dot(n, s.m[i])) * s.h[i]
		}
	case coaxial:
		// s.pose.R turns about z by t: its rows hold the cosine and the sine.
		co, si := s.pose.R[0].X, s.pose.R[1].X
		l.m = geom.Vec{X: co*n.X + si*n.Y, Y: co*n.Y - si*n.X, Z: n.Z}
		l.c = n.Z * s.z
		l.ht, l.ver, l.helix = s.ht, s.ver, s.helix
		if !s.helix {
			l.c -= math.Abs(n.Z) * s.hz
			return l
		}
		l.cube, l.nz = s.cube, n.Z
		for i := range s.n {
			l.az[i], l.at[i] = n.Z*s.m[i].Z*s.h[i], s.w[i].Z*s.h[i]
		}
	case general:
		back := func(v geom.Vec) geom.Vec {
			r := &s.pose.R
			return geom.Vec{
				X: r[0].X*v.X + r[1].X*v.Y + r[2].X*v.Z,
				Y: r[0].Y*v.X + r[1].Y*v.Y + r[2].Y*v.Z,
				Z: r[0].Z*v.X + r[1].Z*v.Y + r[2].Z*v.Z,
			}
		}
		l.m, l.c = back(n), r3.Dot(n, s.pose.T)
		for i := range s.n {
			// n.(w x x + m) = (n x w).x + n.m with x = R p + T
			nw := r3.Scale(s.h[i], r3.Cross(n, s.w[i]))
			l.g[i], l.gc[i] = back(nw), r3.Dot(nw, s.pose.T)+s.h[i]*r3.Dot(n, s.m[i])
		}
	}
	return l
}

// low is a lower bound of n.x over the cell; for a general motion still without
// the part beyond the first order. See sweep.low for the argument.
func (l *look) low(x geom.Vec) float64 {
	switch l.way {
	case slides:
		return l.m.X*x.X + l.m.Y*x.Y + l.m.Z*x.Z + l.c
	case coaxial:
		a, t := l.m.X*x.X+l.m.Y*x.Y, l.m.Y*x.X-l.m.X*x.Y
		v := a + l.m.Z*x.Z + l.c
		if a > 0 {
			v -= a * l.ver
		}
		if !l.helix {
			return v - math.Abs(t)*l.ht
		}
		v -= math.Abs(t) * l.cube
		for i := range l.n {
			v -= math.Abs(l.az[i] + t*l.at[i])
		}
		return v
	default:
		v := r3.Dot(l.m, x) + l.c
		for i := range l.n {
			v -= math.Abs(r3.Dot(l.g[i], x) + l.gc[i])
		}
		return v
	}
}

// least is the least of low over the cluster nd of the moving form f.
func (l *look) least(s *sweep, f *form, nd *node) float64 {
	return l.leastOf(s, f, nd, f.points[nd.from:nd.to])
}

// leastOf is the least of low over points of the moving form f in the box of nd.
func (l *look) leastOf(s *sweep, f *form, nd *node, pts []geom.Vec) float64 {
	v := math.Inf(1)
	for i := range pts {
		v = min(v, l.low(pts[i]))
	}
	if l.way == general {
		c, r := f.sphere(nd)
		_, rest := s.reach(s.pose.Apply(c), r)
		v -= rest
	}
	return v
}

// most is the greatest n.y over the cluster nd of the resting form o.
func most(n geom.Vec, o *form, nd *node) float64 {
	return mostOf(n, o.points[nd.from:nd.to])
}

// mostOf is the greatest n.y of the points.
func mostOf(n geom.Vec, pts []geom.Vec) float64 {
	v := math.Inf(-1)
	for _, y := range pts {
		v = max(v, n.X*y.X+n.Y*y.Y+n.Z*y.Z)
	}
	return v
}

// helical tells whether a step of the chain is a helix.
func (c *chain) helical() bool {
	for i := range c.steps {
		if c.steps[i].kind == mechanism.Helix {
			return true
		}
	}
	return false
}
