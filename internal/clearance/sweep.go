package clearance

import (
	"math"

	"feint/internal/geom"
	"feint/internal/mechanism"

	"gonum.org/v1/gonum/spatial/r3"
)

// sweep is the motion of one body relative to the other over a cell: the pose at
// the middle of the cell and bounds of how points leave it from there. A point x,
// given where the middle pose puts it, moves to first order by the sum of
// e_i (w_i x x + m_i), |e_i| <= h_i, one twist a coordinate.
type sweep struct {
	way   way
	n     int
	pose  geom.Motion
	h     [MaxCoords]float64
	w, m  [MaxCoords]geom.Vec
	turns [MaxCoords]bool
	order [MaxCoords]int8 // of the coordinates, innermost first

	// Coaxial pairs: the whole motion along and round, the middle of both, and
	// of the angle its sine (the largest), 1 - cos and a third-order term.
	z, t, hz, ht float64
	ver, cube    float64
	helix        bool
}

// set makes s the sweep of the chain c over the cell with the middle q and the
// half widths h.
func (s *sweep) set(c *chain, q, h []float64) {
	s.way, s.n = c.way, len(c.coords)
	s.z, s.t, s.hz, s.ht = 0, 0, 0, 0
	copy(s.h[:], h)
	outer := geom.Identity() // of the steps outside the present one
	for i := len(c.steps) - 1; i >= 0; i-- {
		st := &c.steps[i]
		w, m := st.twist()
		k := st.coord
		s.order[i] = int8(k)
		s.w[k] = outer.Turn(w)
		s.m[k] = r3.Sub(outer.Turn(m), r3.Cross(s.w[k], outer.T))
		s.turns[k] = st.kind != mechanism.Slide
		if c.way == coaxial {
			s.z += m.Z * q[k]
			s.t += w.Z * q[k]
			s.hz += math.Abs(m.Z) * h[k]
			s.ht += math.Abs(w.Z) * h[k]
			continue // the steps commute
		}
		outer = st.motion(q[k]).Then(outer)
	}
	if c.way != coaxial {
		s.pose = outer
		return
	}
	s.pose = geom.Rotation(geom.Line{Dir: geom.Vec{Z: 1}}, s.t)
	s.pose.T.Z = s.z
	s.ver, s.cube, s.helix = 2, 0, c.helical()
	if s.ht < math.Pi {
		s.ver = 1 - math.Cos(s.ht)
	}
	if s.helix {
		s.cube = s.ht * s.ht * s.ht / 6
	}
}

// twist of the step at value 0, for a coordinate rising by 1: angular and linear
// velocity at the origin.
func (s *step) twist() (w, m geom.Vec) {
	if s.kind == mechanism.Slide {
		return geom.Vec{}, r3.Scale(s.sign, s.axis.Dir)
	}
	w = r3.Scale(s.sign, s.axis.Dir)
	m = r3.Scale(-1, r3.Cross(w, s.axis.Point))
	if s.kind == mechanism.Helix {
		m = r3.Add(m, r3.Scale(s.lead/(2*math.Pi), w))
	}
	return w, m
}

// velocity of the point x by coordinate i at the middle of the cell.
func (s *sweep) velocity(i int, x geom.Vec) geom.Vec {
	return r3.Add(r3.Cross(s.w[i], x), s.m[i])
}

// low is a lower bound of n.x over the cell, for a point x at the middle pose.
//
// Coaxial: n.x(q) = const + nz z + X cos t + T sin t with X = nxy.xxy and
// T = n.(k x x). The linear part loses sum |nz az_i + T at_i| h_i, the cosine at
// most X (1 - cos ht) and only for X > 0; |sin t| <= |t|, but where one
// coordinate enters both z and t (a helix) the sine must be kept linear, at the
// cost of T t^3/6.
func (s *sweep) low(n, x geom.Vec) float64 {
	switch s.way {
	case slides:
		l := r3.Dot(n, x)
		for i := range s.n {
			l -= math.Abs(r3.Dot(n, s.m[i])) * s.h[i]
		}
		return l
	case coaxial:
		a, t := n.X*x.X+n.Y*x.Y, n.Y*x.X-n.X*x.Y
		l := a + n.Z*x.Z - math.Abs(t)*s.cube
		for i := range s.n {
			l -= math.Abs(n.Z*s.m[i].Z+t*s.w[i].Z) * s.h[i]
		}
		if a > 0 {
			l -= a * s.ver
		}
		return l
	default:
		l := r3.Dot(n, x)
		for i := range s.n {
			l -= math.Abs(r3.Dot(n, s.velocity(i, x))) * s.h[i]
		}
		_, rest := s.reach(x, 0)
		return l - rest
	}
}

// reach bounds the displacement, from the middle pose, of every point within r
// of x (r at most the distance to anything rigidly joined to x), and the part of
// it beyond the first order.
//
// General: |d_i x| depends on the steps inside i only, which move the point by
// at most the sum of their own h_k S_k, so S_i = |v_i| + |w_i| sum h_k S_k bounds
// it in the cell. A second derivative by an inner step i and an outer turn j is
// w_j x d_i x, at most S_i. Taylor's formula then bounds the rest by half the
// sum of h_i h_j S_min(i,j).
func (s *sweep) reach(x geom.Vec, r float64) (all, rest float64) {
	switch s.way {
	case slides:
		for i := range s.n {
			all += s.h[i]
		}
		return min(all, s.straight()), 0
	case coaxial:
		rho := hypot(x.X, x.Y) + r
		return hypot(s.hz, rho*min(s.ht, 2)), rho * s.ht * s.ht / 2
	default:
		for _, i := range s.order[:s.n] {
			v := norm(s.velocity(int(i), x))
			if s.turns[i] {
				rest += s.h[i] * all // by inner steps and this turn
				v += r + all
			}
			all += s.h[i] * v
			if s.turns[i] {
				rest += s.h[i] * s.h[i] * v / 2
			}
		}
		return all, rest
	}
}

// straight is the longest displacement of a translation over the cell.
func (s *sweep) straight() float64 {
	var ext [3]float64
	for i := range s.n {
		ext[0] += math.Abs(s.m[i].X) * s.h[i]
		ext[1] += math.Abs(s.m[i].Y) * s.h[i]
		ext[2] += math.Abs(s.m[i].Z) * s.h[i]
	}
	return math.Sqrt(ext[0]*ext[0] + ext[1]*ext[1] + ext[2]*ext[2])
}

// corners lists points whose convex hull, widened by rest, holds every place
// that the point x takes in the cell.
func (s *sweep) corners(x geom.Vec, out *[1 << MaxCoords]geom.Vec) (n int, rest float64) {
	out[0], n = x, 1
	for i := range s.n {
		if s.h[i] == 0 {
			continue
		}
		d := r3.Scale(s.h[i], s.velocity(i, x))
		for k := range n {
			out[n+k] = r3.Sub(out[k], d)
			out[k] = r3.Add(out[k], d)
		}
		n *= 2
	}
	if s.way != slides {
		_, rest = s.reach(x, 0)
	}
	return n, rest
}

// rest makes s a sweep over the middle pose alone.
func (s *sweep) rest() {
	s.h = [MaxCoords]float64{}
	s.hz, s.ht, s.ver, s.cube = 0, 0, 0, 0
}
