package proof

import (
	"context"
	"math"

	"feint/internal/geom"
	"feint/internal/mechanism"

	"gonum.org/v1/gonum/spatial/r3"
)

// slack is how much less than the clearance needed is accepted, mm. It covers
// the rounding of this package (1e-9 for parts of a metre) and lets surfaces
// that are drawn to touch pass; it is a ten-thousandth of the finest clearance
// reported.
const slack = 1e-6

// sweep is one travel's run for one pair: a moves, b rests, both in the frame of
// the travel.
type sweep struct {
	a, b  *body
	kind  mechanism.Kind
	pitch float64 // mm per radian, helix only
	need  float64 // clearance needed; a negative one is the depth allowed

	ctx   context.Context
	steps int // intervals looked at
	most  int // of them; 0: as many as it takes
	buf   []couple
	depth *depth // nil where need is not negative
}

// couple is a node of a and a node of b.
type couple struct{ a, b int32 }

// fault is where a sweep fails: the value of the travel and the clearance there.
type fault struct {
	at        float64
	clearance float64 // an upper bound
	open      bool    // not shown to be a fault, only not shown to be none
}

// passed is the distance, mm, that faces must have which are apart back to back,
// as if they had passed through each other. Faces that touch are let be within
// slack; were that all, two that lie square on each other could be pushed through,
// touching at one moment and apart, on the wrong side, ever after. With twice the
// slack, and the depth allowed, asked of the wrong side there is a depth on the way
// that neither side allows.
func (s *sweep) passed() float64 { return 2*slack + max(0, -s.need) }

// run shows that the clearance holds at every value in v; nil if it does.
func (s *sweep) run(v span) (*fault, error) {
	if len(s.a.nodes) == 0 || len(s.b.nodes) == 0 {
		return nil, nil
	}
	return s.divide(v, []couple{{0, 0}})
}

// divide shows it for the couples given and halves v for those that remain.
func (s *sweep) divide(v span, list []couple) (*fault, error) {
	s.steps++
	if err := s.ctx.Err(); err != nil {
		return nil, err
	}
	if s.most > 0 && s.steps > s.most {
		return &fault{at: v.mid(), clearance: s.need, open: true}, nil
	}
	at := s.still(v)
	base := len(s.buf)
	defer func() { s.buf = s.buf[:base] }()
	if f := s.sift(v, &at, list); f != nil {
		return f, nil
	}
	if len(s.buf) == base {
		if s.depth != nil {
			return s.depth.apart(s, v), nil
		}
		return nil, nil
	}
	rest := s.buf[base:]
	if s.depth != nil {
		if done, f := s.depth.holds(s, v, rest); done {
			return f, nil
		}
	}
	if s.reach(v) < slack/4 {
		return &fault{at: v.mid(), clearance: s.need, open: true}, nil
	}
	if f, err := s.divide(span{v.lo, v.mid()}, rest); f != nil || err != nil {
		return f, err
	}
	return s.divide(span{v.mid(), v.hi}, rest)
}

// sift leaves on buf the couples, or parts of them, that are not shown to keep
// clear over all of v. A couple of nodes is divided where their size stands in
// the way, and kept whole where the motion does. If two triangles are too near at
// the middle of v that is a fault.
func (s *sweep) sift(v span, at *still, list []couple) *fault {
	reach := s.reach(v)
	stack := append([]couple(nil), list...)
	for len(stack) > 0 {
		c := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		x, y := &s.a.nodes[c.a], &s.b.nodes[c.b]
		if s.boxesClear(x, y, v) {
			continue
		}
		if x.right == 0 && y.right == 0 {
			clear, d := s.trianglesClear(x.first, y.first, at)
			if clear {
				continue
			}
			if d < s.need-slack && s.need >= 0 {
				return &fault{at: v.mid(), clearance: d}
			}
			s.buf = append(s.buf, c)
			continue
		}
		clear, which := s.planesClear(x, y, at)
		switch {
		case clear:
		case which == divideA && x.right != 0:
			stack = append(stack, couple{c.a + 1, c.b}, couple{x.right, c.b})
		case which == divideB && y.right != 0:
			stack = append(stack, couple{c.a, c.b + 1}, couple{c.a, y.right})
		case reach > motionToSize*max(x.size, y.size):
			s.buf = append(s.buf, c)
		case y.right == 0 || (x.right != 0 && x.size > y.size):
			stack = append(stack, couple{c.a + 1, c.b}, couple{x.right, c.b})
		default:
			stack = append(stack, couple{c.a, c.b + 1}, couple{c.a, y.right})
		}
	}
	return nil
}

// motionToSize is the motion, to the size of the larger node, from which on a
// couple is kept until the interval is smaller.
const motionToSize = 1

// advice tells which node of a couple to divide.
type advice uint8

const (
	divideNone advice = iota
	divideA
	divideB
)

// planesClear tells whether a plane on which one node's triangles lie keeps the
// other node clear over the interval. If it would but for the other's size,
// that one should be divided: so a small part passes along a wall of any length
// in one step.
func (s *sweep) planesClear(x, y *node, c *still) (clear bool, which advice) {
	need := max(s.need, 0) - slack/2
	if n := y.plane.n; n != (geom.Vec{}) {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, q := range x.corners() {
			q = c.g.Apply(q)
			lo, hi = min(lo, s.least(n, q, c)), max(hi, s.least(n, q, c))
		}
		if lo-y.plane.far >= need {
			return true, divideNone
		}
		if hi-y.plane.far > need {
			which = divideA
		}
	}
	if x.plane.n != (geom.Vec{}) {
		n := r3.Scale(-1, c.g.Turn(x.plane.n))
		loss := 0.0
		for _, q := range x.corners() {
			q = c.g.Apply(q)
			loss = max(loss, r3.Dot(n, q)-s.least(n, q, c))
		}
		// how x's far side stands along n, less what the motion takes
		at := r3.Dot(n, c.g.T) - x.plane.far - loss
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, q := range y.corners() {
			lo, hi = min(lo, r3.Dot(n, q)), max(hi, r3.Dot(n, q))
		}
		if at-hi >= need {
			return true, divideNone
		}
		if at-lo > need && which == divideNone {
			which = divideB
		}
	}
	return false, which
}

// reach bounds how far any point of a moves between the middle of v and its ends.
func (s *sweep) reach(v span) float64 {
	h := (v.hi - v.lo) / 2
	switch s.kind {
	case mechanism.Slide:
		return h
	case mechanism.Turn:
		return h * s.a.nodes[0].r.hi
	default:
		return h * math.Hypot(s.a.nodes[0].r.hi, s.pitch)
	}
}

// boxesClear tells whether two nodes keep the clearance over all of v, and are
// apart. In radius, angle and height the distance of two points is at least
// sqrt(dr^2 + 4 r1 r2 sin^2(g/2) + dz^2), g their angle (law of cosines).
func (s *sweep) boxesClear(x, y *node, v span) bool {
	z := x.z
	switch s.kind {
	case mechanism.Slide:
		z.lo, z.hi = z.lo+v.lo, z.hi+v.hi
	case mechanism.Helix:
		d := span{s.pitch * v.lo, s.pitch * v.hi}
		z.lo, z.hi = z.lo+min(d.lo, d.hi), z.hi+max(d.lo, d.hi)
	case mechanism.Turn:
	}
	need2 := max(s.need, s.passed()) * max(s.need, s.passed())
	dz, dr := z.gap(y.z), x.r.gap(y.r)
	d2 := dz*dz + dr*dr
	if d2 >= need2 {
		return true
	}
	turn := x.turn
	if s.kind == mechanism.Slide {
		dx, dy := x.x.gap(y.x), x.y.gap(y.y)
		if dx*dx+dy*dy+dz*dz >= need2 {
			return true
		}
	} else {
		turn.lo, turn.hi = turn.lo+v.lo, turn.hi+v.hi
	}
	g := math.Abs(wrap(turn.mid()-y.turn.mid())) - (turn.hi-turn.lo+y.turn.hi-y.turn.lo)/2 - boxError
	if g <= 0 {
		return false
	}
	sin := math.Sin(min(g, math.Pi) / 2)
	d2 += 4 * x.r.lo * y.r.lo * sin * sin
	return d2 >= need2
}

// still is the motion at the middle of an interval, with what the rest of the
// interval adds: half of it, and 1 - cos of that.
type still struct {
	g       geom.Motion
	h       float64
	sin     float64 // bound of |sin| over the half
	sagitta float64
}

func (s *sweep) still(v span) still {
	c := still{h: (v.hi - v.lo) / 2}
	t := mechanism.Travel{Kind: s.kind, Axis: geom.Line{Dir: geom.Vec{Z: 1}}, Lead: s.pitch * 2 * math.Pi}
	c.g = t.Motion(v.mid())
	if s.kind == mechanism.Slide {
		return c
	}
	c.sin, c.sagitta = 1, 1
	if c.h < math.Pi/2 {
		c.sin = math.Sin(c.h)
	}
	if c.h < math.Pi {
		c.sagitta = 1 - math.Cos(c.h)
	} else {
		c.sagitta = 2
	}
	return c
}

// least is a lower bound of n . p over the interval, p being where the point q
// stands in its middle. With w = n . (z x q): a turn by phi gives
// n.q - (1-cos phi) nxy.qxy + w sin phi; a helix adds pitch nz phi, where the
// part w phi is taken together with it and |sin phi - phi| <= |phi|^3/6.
func (s *sweep) least(n, q geom.Vec, c *still) float64 {
	d := r3.Dot(n, q)
	if s.kind == mechanism.Slide {
		return d - math.Abs(n.Z)*c.h
	}
	w := n.Y*q.X - n.X*q.Y
	d -= max(0, n.X*q.X+n.Y*q.Y) * c.sagitta
	if s.kind == mechanism.Turn {
		return d - math.Abs(w)*c.sin
	}
	return d - math.Abs(w+s.pitch*n.Z)*c.h - math.Abs(w)*c.h*c.h*c.h/6
}

// parted is the gap along the unit vector n between triangle a (as it stands in
// the middle of the interval, on the side of n) and triangle b, at least so
// large over the whole interval.
func (s *sweep) parted(n geom.Vec, a, b *geom.Triangle, c *still) float64 {
	return min(s.least(n, a[0], c), s.least(n, a[1], c), s.least(n, a[2], c)) -
		max(r3.Dot(n, b[0]), r3.Dot(n, b[1]), r3.Dot(n, b[2]))
}

// trianglesClear tells whether triangle i of a keeps the clearance of triangle
// j of b over the interval; if not, d is their signed gap in its middle.
func (s *sweep) trianglesClear(i, j int32, c *still) (clear bool, d float64) {
	t, u := &s.a.tri[i], &s.b.tri[j]
	a := geom.Triangle{c.g.Apply(t[0]), c.g.Apply(t[1]), c.g.Apply(t[2])}
	need := max(s.need, 0) - slack/2
	nb, na := s.b.normal[j], c.g.Turn(s.a.normal[i])
	if s.parted(nb, &a, u, c) >= need && nb != (geom.Vec{}) {
		return true, 0
	}
	if s.parted(r3.Scale(-1, na), &a, u, c) >= need && na != (geom.Vec{}) {
		return true, 0
	}
	d, p, q := a.Distance(u)
	if d > slack {
		n := r3.Scale(1/d, r3.Sub(p, q))
		if behind(n, na, nb) {
			need = max(need, s.passed())
			if d < s.passed() {
				return false, -d
			}
		}
		return s.parted(n, &a, u, c) >= need, d
	}
	d = math.Inf(-1)
	for _, n := range partings(&a, u) {
		if !behind(n, na, nb) {
			clear = clear || s.parted(n, &a, u, c) >= need
			d = max(d, s.parted(n, &a, u, &still{}))
		}
	}
	return clear, d
}

// behind tells whether n, which leads from the triangle with the normal nb to that
// with na, leads from the back of the one to the back of the other, the two facing
// each other.
func behind(n, na, nb geom.Vec) bool {
	return r3.Dot(na, nb) < -flatness && r3.Dot(n, nb) < 0 && r3.Dot(n, na) > 0
}

// partings lists the directions of which one parts two triangles that do not
// cross: their normals, the products of their sides, and, for triangles in one
// plane, the normals of the sides in it (separating axis theorem).
func partings(a, b *geom.Triangle) []geom.Vec {
	out := make([]geom.Vec, 0, 34)
	add := func(v geom.Vec) {
		if l := r3.Norm(v); l > 1e-9 {
			out = append(out, r3.Scale(1/l, v), r3.Scale(-1/l, v))
		}
	}
	na, nb := a.Normal(), b.Normal()
	add(na)
	add(nb)
	for i := range a {
		e := r3.Sub(a[(i+1)%3], a[i])
		f := r3.Sub(b[(i+1)%3], b[i])
		add(r3.Cross(e, na))
		add(r3.Cross(f, nb))
		for j := range b {
			add(r3.Cross(e, r3.Sub(b[(j+1)%3], b[j])))
		}
	}
	return out
}
