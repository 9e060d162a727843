package mesh

import (
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// Sweep is a motion that grows with t from nothing: a push by Push mm per unit of t, or
// a turn about the line through Centre by the length of Spin, in radians per unit of t,
// right-handed about it. One of the two is zero.
type Sweep struct {
	Push, Spin, Centre geom.Vec
}

// At is the motion at t.
func (s *Sweep) At(t float64) geom.Motion {
	w := r3.Norm(s.Spin)
	if w == 0 {
		return geom.Translation(r3.Scale(t, s.Push))
	}
	return geom.Rotation(geom.Line{Point: s.Centre, Dir: r3.Scale(1/w, s.Spin)}, w*t)
}

// In is the same motion told in a frame into which g leads.
func (s *Sweep) In(g geom.Motion) Sweep {
	return Sweep{Push: g.Turn(s.Push), Spin: g.Turn(s.Spin), Centre: g.Apply(s.Centre)}
}

// Velocity is how fast the point p sets out, mm per unit of t. What it goes along a
// unit vector n by t is n.Velocity(p) t, but for the bend of its path: no more than
// half of bend times t^2.
func (s *Sweep) Velocity(p geom.Vec) (v geom.Vec, bend float64) {
	round := r3.Cross(s.Spin, r3.Sub(p, s.Centre))
	return r3.Add(s.Push, round), r3.Norm(s.Spin) * r3.Norm(round)
}

// Arrival is the least t at which something that sets out at a speed, mm per unit of t,
// and may bend its path by bend t^2/2, can have gone far, mm; +Inf if it never can.
func Arrival(far, speed, bend float64) float64 {
	switch {
	case far <= 0:
		return 0
	case bend == 0 && speed <= 0:
		return math.Inf(1)
	case bend == 0:
		return far / speed
	}
	root := math.Sqrt(speed*speed + 2*bend*far)
	if speed > 0 {
		return 2 * far / (speed + root)
	}
	return (root - speed) / bend
}

// SweepPairs calls do with the pairs of a triangle a of t, moved by g into the frame of
// u, and a triangle b of u that a sweep of t, told in the frame of u, may bring together
// before the time end; do answers with the end that is left, and so does SweepPairs. Some
// that do not meet may come too. The triangles hold only until do returns.
func (t *Tree) SweepPairs(u *Tree, g geom.Motion, w Sweep, end float64, do func(a, b *geom.Triangle, end float64) float64) float64 {
	if len(t.nodes) == 0 || len(u.nodes) == 0 {
		return end
	}
	spin := r3.Norm(w.Spin)
	s := sweeping{search: newSearch(t, u, g), w: w, spin: spin, absSpin: absVec(w.Spin), end: end, do: do}
	visit(&s, 0, 0, s.bound(0, 0))
	return s.end
}

// sweepTie is the share by which one time must be sooner than another to count as
// sooner: faces that lie flat to each other meet in thousands of places at once.
const sweepTie = 1e-6

// sweepSlack is more than a gap of boxes is rounded by, mm.
const sweepSlack = 1e-9

// sweeping is one question for what a sweep meets.
type sweeping struct {
	*search
	w       Sweep
	spin    float64
	absSpin geom.Vec
	end     float64
	do      func(a, b *geom.Triangle, end float64) float64
}

// over tells whether a time is no sooner than the end.
func (s *sweeping) over(t float64) bool { return t*(1+sweepTie) >= s.end }

// bound is a lower bound of the time at which node a of t meets node b of u: their
// boxes must, along every axis of u and of t.
func (s *sweeping) bound(a, b int32) float64 {
	x, y := &s.t.nodes[a], &s.u.nodes[b]
	c := s.g.Apply(x.centre)
	d := r3.Sub(c, y.centre)
	half := geom.Vec{X: r3.Dot(s.absRow[0], x.half), Y: r3.Dot(s.absRow[1], x.half), Z: r3.Dot(s.absRow[2], x.half)}
	v, bend := s.w.Velocity(c)
	var wide geom.Vec // by how much the speeds in the box differ from that of its middle
	if s.spin > 0 {
		wide = geom.Vec{
			X: s.absSpin.Y*half.Z + s.absSpin.Z*half.Y,
			Y: s.absSpin.Z*half.X + s.absSpin.X*half.Z,
			Z: s.absSpin.X*half.Y + s.absSpin.Y*half.X,
		}
		bend += s.spin * r3.Norm(wide)
	}
	soonest := 0.0
	along := func(d, v, room, wide float64) {
		if d < 0 {
			d, v = -d, -v
		}
		if far := d - room - sweepSlack; far > 0 {
			soonest = max(soonest, Arrival(far, wide-v, bend))
		}
	}
	along(d.X, v.X, half.X+y.half.X, wide.X)
	along(d.Y, v.Y, half.Y+y.half.Y, wide.Y)
	along(d.Z, v.Z, half.Z+y.half.Z, wide.Z)
	if s.over(soonest) {
		return soonest
	}
	for i, xh := range [3]float64{x.half.X, x.half.Y, x.half.Z} {
		n := s.col[i]
		along(r3.Dot(n, d), r3.Dot(n, v), xh+r3.Dot(s.absCol[i], y.half), r3.Dot(s.absCol[i], wide))
	}
	return soonest
}

// leaves goes over the triangles of two leaves.
func (s *sweeping) leaves(x, y *treeNode) {
	for i := x.first; i < x.first+x.count; i++ {
		tri := &s.t.tri[i]
		s.moved = geom.Triangle{s.g.Apply(tri[0]), s.g.Apply(tri[1]), s.g.Apply(tri[2])}
		normal := s.g.Turn(s.t.norm[i])
		var v [3]geom.Vec
		bend := 0.0
		for k, p := range s.moved {
			var b float64
			v[k], b = s.w.Velocity(p)
			bend = max(bend, b)
		}
		for j := y.first; j < y.first+y.count; j++ {
			u := &s.u.tri[j]
			if !s.over(s.across(s.u.norm[j], u, &v, bend)) && !s.over(s.across(normal, u, &v, bend)) {
				s.end = s.do(&s.moved, u, s.end)
			}
		}
	}
}

// across is a lower bound of the time at which the moved triangle, whose corners set
// out with the velocities v, meets u, by their extents along the unit vector n.
func (s *sweeping) across(n geom.Vec, u *geom.Triangle, v *[3]geom.Vec, bend float64) float64 {
	a, b, c := r3.Dot(n, s.moved[0]), r3.Dot(n, s.moved[1]), r3.Dot(n, s.moved[2])
	p, q, r := r3.Dot(n, u[0]), r3.Dot(n, u[1]), r3.Dot(n, u[2])
	far, side := min(a, b, c)-max(p, q, r), -1.0
	if f := min(p, q, r) - max(a, b, c); f > far {
		far, side = f, 1
	}
	if far -= sweepSlack; far <= 0 {
		return 0
	}
	speed := max(side*r3.Dot(n, v[0]), side*r3.Dot(n, v[1]), side*r3.Dot(n, v[2]))
	return Arrival(far, speed, bend)
}
