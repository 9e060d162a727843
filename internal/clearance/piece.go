package clearance

import (
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// apart is a lower bound over the cell of n.(x - y), x of the triangle p that
// moves, shifted by u, and y of the resting triangle t; where it is positive
// the two are separated by a plane in the whole cell.
func (s *sweep) apart(n geom.Vec, p, t *geom.Triangle, u geom.Vec) float64 {
	lo := min(s.low(n, p[0]), s.low(n, p[1]), s.low(n, p[2]))
	hi := max(r3.Dot(n, t[0]), r3.Dot(n, t[1]), r3.Dot(n, t[2]))
	return lo - hi + r3.Dot(n, u)
}

// mover is one of the two bodies as seen by the other: f moves by the sweep s
// against the resting form o.
type mover struct {
	s *sweep
	f *form // moves
	o *form // rests
}

// placed is triangle i of the moving body at the middle pose.
func (m *mover) placed(i int32) geom.Triangle {
	t := m.f.triangle(i)
	for k := range t {
		t[k] = m.s.pose.Apply(t[k])
	}
	return t
}

func centroid(p *geom.Triangle) geom.Vec {
	return r3.Scale(1.0/3, r3.Add(p[0], r3.Add(p[1], p[2])))
}

// outside tells whether the point lies outside o for certain.
func (m *mover) outside(x geom.Vec) bool {
	d, _ := m.o.signed(x)
	return d > 0
}

// clears tells whether p, shifted by u, stays apart from all the triangles near.
func (m *mover) clears(p *geom.Triangle, near []int32, u geom.Vec) bool {
	for _, i := range near {
		t := m.o.triangle(i)
		n := m.o.normal[i]
		if m.s.apart(n, p, &t, u) > 0 || m.s.apart(r3.Scale(-1, n), p, &t, u) > 0 {
			continue
		}
		q := *p
		for k := range q {
			q[k] = r3.Add(q[k], u)
		}
		n = q.Normal()
		if m.s.apart(n, p, &t, u) > 0 || m.s.apart(r3.Scale(-1, n), p, &t, u) > 0 {
			continue
		}
		d, x, y := q.Distance(&t)
		if d == 0 || m.s.apart(r3.Scale(1/d, r3.Sub(x, y)), p, &t, u) <= 0 {
			return false
		}
	}
	return true
}

// swept is a box of f's kind around a point over the cell, and by how much it
// is to be widened.
func (m *mover) gapTo(x geom.Vec, b *[6]float64) float64 {
	s := m.s
	if s.way == coaxial {
		k := m.o.key(x)
		q := [6]float64{k.X, k.X, k.Y, 0, k.Z, k.Z}
		return math.Sqrt(gap2(&q, b, 0, 0, s.hz, s.ht))
	}
	all, _ := s.reach(x, 0)
	return math.Sqrt(m.o.pointGap2(x, b)) - all
}

// deepFrom is deep for a point known to be depth deep at the middle pose.
func (m *mover) deepFrom(x geom.Vec, depth, limit float64) float64 {
	least := min(limit, depth)
	var room [64]int32
	stack := append(room[:0], m.o.root)
	for len(stack) > 0 && least > 0 {
		n := &m.o.nodes[stack[len(stack)-1]]
		stack = stack[:len(stack)-1]
		if m.gapTo(x, &n.box) >= least {
			continue
		}
		if n.left >= 0 {
			stack = append(stack, n.left, n.next)
			continue
		}
		t := m.o.triangle(n.next)
		y, _ := t.Closest(x)
		e := r3.Sub(x, y)
		l := math.Inf(-1)
		if d := norm(e); d > 0 {
			dir := r3.Scale(1/d, e)
			l = m.s.low(dir, x) - max(r3.Dot(dir, t[0]), r3.Dot(dir, t[1]), r3.Dot(dir, t[2]))
		}
		dir := m.o.normal[n.next]
		if r3.Dot(dir, e) < 0 {
			dir = r3.Scale(-1, dir)
		}
		l = max(l, m.s.low(dir, x)-max(r3.Dot(dir, t[0]), r3.Dot(dir, t[1]), r3.Dot(dir, t[2])))
		least = min(least, l)
	}
	return least
}
