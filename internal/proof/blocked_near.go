package proof

import (
	"fmt"
	"math"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// ball is a ball that the surface of a solid does not enter: all of it is on one
// side.
type ball struct {
	of     *mesh.Tree
	centre geom.Vec
	radius float64
	inside bool
}

// ballSlack is more than the error of a signed distance, mm (mesh.Tree.Signed).
const ballSlack = 1e-5

// near shows that the witness is nearer than need in the box.
func (k *blocks) near(c *Block, lo, hi []float64) error {
	mid, half := make([]float64, len(lo)), make([]float64, len(lo))
	for i := range lo {
		mid[i], half[i] = (lo[i]+hi[i])/2, (hi[i]-lo[i])/2
	}
	p, moves := k.path(c, mid, half)
	other := k.trees[k.a]
	if c.OnA {
		other = k.trees[k.b]
	}
	d, tri, _ := k.signed(other, p, k.joint(moves))
	most := 0
	for i, v := range moves {
		if v > moves[most] {
			most = i
		}
	}
	k.boxes--
	switch {
	case d >= k.need+slack:
		return fmt.Errorf("%w: the witness is %.6g mm from the other part at the coordinates %g, the need is %.6g", ErrRefused, d, mid, k.need)
	case d+k.joint(moves) < k.need+slack:
		return nil
	case k.need > 0 && k.stays(c, lo, hi, other.Mesh().Triangle(tri), moves):
		return nil
	case k.need <= 0 && d < 0 && k.staysDeep(c, lo, hi, other.Boundary(), p, moves):
		return nil
	case k.boxes <= 0:
		return fmt.Errorf("%w: whether the witness stays near enough at the coordinates %g to %g", ErrOpen, lo, hi)
	}
	left, right := append([]float64(nil), hi...), append([]float64(nil), lo...)
	left[most], right[most] = mid[most], mid[most]
	if err := k.near(c, lo, left); err != nil {
		return err
	}
	return k.near(c, right, hi)
}

// signed is the signed distance of p to the solid of t; where the distance to its
// surface alone shows p to be near enough, even when moved by as much as moves, that.
func (k *blocks) signed(t *mesh.Tree, p geom.Vec, moves float64) (d float64, tri int, near geom.Vec) {
	if k.need > 0 {
		if d, tri, near = t.Near(p, k.need); tri >= 0 && d+moves < k.need+slack {
			return d, tri, near
		}
	}
	for _, b := range k.balls {
		if t == b.of && r3.Norm(r3.Sub(p, b.centre)) < b.radius {
			if b.inside {
				d, tri, near = t.Boundary().Near(p, math.Inf(1))
				return -d, tri, near
			}
			return t.Near(p, math.Inf(1))
		}
	}
	d, tri, near = t.Signed(p)
	k.balls[k.next] = ball{of: t, centre: p, radius: math.Abs(d) - ballSlack, inside: d < 0}
	k.next = (k.next + 1) % len(k.balls)
	return d, tri, near
}

// joint bounds how far the coordinates together move a point that each alone
// moves so far: their sum; but two slides, of any directions, add up as vectors,
// and so do a slide and a turn about an axis along it, which are square to each
// other.
func (k *blocks) joint(moves []float64) float64 {
	sum, along, round := 0.0, geom.Vec{}, 0.0
	var axis geom.Vec
	slides, parallel := true, true
	for i, c := range k.coords {
		t := &k.m.Travels[c[0].Travel]
		sum += moves[i]
		slides = slides && t.Kind == mechanism.Slide
		if axis == (geom.Vec{}) {
			axis = t.Axis.Dir
		}
		parallel = parallel && t.Kind != mechanism.Helix && r3.Norm(r3.Cross(axis, t.Axis.Dir)) < boxError
		if t.Kind == mechanism.Slide {
			along = r3.Add(along, r3.Scale(moves[i], t.Axis.Dir))
		} else {
			round += moves[i]
		}
	}
	switch {
	case slides && len(moves) == 2: // the longer diagonal of their parallelogram
		other := r3.Add(along, r3.Scale(-2*moves[1], k.m.Travels[k.coords[1][0].Travel].Axis.Dir))
		return max(r3.Norm(along), r3.Norm(other))
	case parallel && len(moves) == 2:
		return math.Hypot(sum-round, round)
	default:
		return sum
	}
}

// path is where the witness stands in the frame of the other part at the middle
// of a box, and for every coordinate how far that alone can move it within the
// box. The radius about an axis is that in the middle and all that the motions
// before may add.
func (k *blocks) path(c *Block, mid, half []float64) (p geom.Vec, moves []float64) {
	chain := k.chains[1]
	if c.OnA {
		chain = k.chains[0]
	}
	p, moves = c.Point, make([]float64, len(k.coords))
	before := 0.0
	for _, j := range chain {
		i, ok := k.first[j.Travel]
		if !ok {
			continue // it stands at zero
		}
		t := &k.m.Travels[j.Travel]
		speed := 1.0
		if t.Kind != mechanism.Slide {
			speed = r3.Norm(r3.Cross(t.Axis.Dir, r3.Sub(p, t.Axis.Point))) + before
		}
		if t.Kind == mechanism.Helix {
			speed = math.Hypot(speed, t.Lead/(2*math.Pi))
		}
		moves[i] = speed * half[i] * (1 + boxError)
		before += moves[i]
		g := t.Motion(float64(j.Sign*k.coords[i][0].Sign) * mid[i])
		p = g.Apply(p)
	}
	return p, moves
}

// stays tells whether the witness stays nearer than need to the triangle f
// because it does at all corners of the box: the distance to a triangle is
// convex, and the places of the witness are within the hull of those at the
// corners, but for the sagitta of its arcs. Seen along one coordinate, an arc of
// half angle h and half length l is off its chord by no more than l h/2; taking
// the coordinates one after the other, these add up.
func (k *blocks) stays(c *Block, lo, hi []float64, f geom.Triangle, moves []float64) bool {
	ps, off := k.corners(c, lo, hi, moves)
	for _, p := range ps {
		if q, _ := f.Closest(p); r3.Norm(r3.Sub(p, q))+off >= k.need+slack {
			return false
		}
	}
	return true
}

// staysDeep tells whether the witness, at p in the middle of the box and within the
// solid, stays deeper than an overlap. Of each triangle that it could come so near to,
// all lies beyond the plane square to the direction from its nearest point to p; the
// distance to that plane is linear, and so least at a corner of the box, but for the
// sagitta. What stays off all the surface stays within.
func (k *blocks) staysDeep(c *Block, lo, hi []float64, skin *mesh.Tree, p geom.Vec, moves []float64) bool {
	ps, off := k.corners(c, lo, hi, moves)
	depth := off - k.need
	for _, i := range skin.Around(p, depth+k.joint(moves)) {
		q, _ := skin.Triangles()[i].Closest(p)
		u := r3.Sub(p, q)
		far := r3.Norm(u)
		if far <= ballSlack {
			return false
		}
		for _, x := range ps {
			if r3.Dot(r3.Sub(x, q), u)/far-ballSlack <= depth {
				return false
			}
		}
	}
	return true
}

// corners is where the witness stands at the corners of the box, and how far off the
// hull of these it may be within the box, mm.
func (k *blocks) corners(c *Block, lo, hi, moves []float64) (ps []geom.Vec, off float64) {
	off = slack / 2
	for i, s := range k.coords {
		if k.m.Travels[s[0].Travel].Kind != mechanism.Slide {
			off += moves[i] * (hi[i] - lo[i]) / 4
		}
	}
	zero := make([]float64, len(lo))
	for corner := range 1 << len(lo) {
		x := append([]float64(nil), lo...)
		for i := range x {
			if corner>>i&1 != 0 {
				x[i] = hi[i]
			}
		}
		p, _ := k.path(c, x, zero)
		ps = append(ps, p)
	}
	return ps, off
}
