package clearance

import (
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// hit is the nearest place of a surface to a point.
type hit struct {
	dist    float64 // without sign
	tri     int32   // -1: none within the cut
	at      geom.Vec
	feature geom.Feature
}

// key is p as the boxes of f want it.
func (f *form) key(p geom.Vec) geom.Vec {
	if !f.round {
		return p
	}
	return geom.Vec{X: hypot(p.X, p.Y), Y: math.Atan2(p.Y, p.X), Z: p.Z}
}

// nearest finds the place nearest to p in the subtree root, if it is nearer
// than cut.
func (f *form) nearest(p geom.Vec, root int32, cut float64) hit {
	h := hit{tri: -1, dist: cut}
	if root < 0 {
		return h
	}
	type open struct {
		n int32
		d float64
	}
	var room [64]open
	k := f.key(p)
	best := cut * cut
	stack := append(room[:0], open{root, f.pointGap2(k, &f.nodes[root].box)})
	for len(stack) > 0 {
		o := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if o.d >= best {
			continue
		}
		n := &f.nodes[o.n]
		if n.left < 0 {
			t := f.triangle(n.next)
			at, feature := t.Closest(p)
			d := r3.Sub(p, at)
			if s := r3.Dot(d, d); s < best {
				best = s
				h.tri, h.at, h.feature = n.next, at, feature
			}
			continue
		}
		l, r := open{n.left, f.pointGap2(k, &f.nodes[n.left].box)}, open{n.next, f.pointGap2(k, &f.nodes[n.next].box)}
		if l.d < r.d {
			l, r = r, l
		}
		stack = append(stack, l, r)
	}
	h.dist = math.Sqrt(best)
	return h
}

// behind tells whether p lies on the inner side of the surface that h is on;
// sure is false where a triangle without area spoils the pseudonormal.
func (f *form) behind(p geom.Vec, h hit) (inner, sure bool) {
	t := f.t[h.tri]
	d := r3.Sub(p, h.at)
	switch h.feature {
	case geom.Face:
		return r3.Dot(f.normal[h.tri], d) < 0, true
	case geom.Edge0, geom.Edge1, geom.Edge2:
		k := int(h.feature - geom.Edge0)
		if f.body.doubt[t[k]] || f.body.doubt[t[(k+1)%3]] {
			return false, false
		}
		return r3.Dot(f.edge[h.tri][k], d) < 0, true
	default:
		v := t[h.feature-geom.Corner0]
		return r3.Dot(f.vertex[v], d) < 0, !f.body.doubt[v]
	}
}

// winding is how often shell s encloses p: 1 within an outward shell, -1 within
// a cavity, 0 outside.
func (f *form) winding(p geom.Vec, s int32) int {
	sh := &f.body.shells[s]
	if f.roots[s] < 0 || f.pointGap2(f.key(p), &f.nodes[f.roots[s]].box) > 0 {
		return 0
	}
	h := f.nearest(p, f.roots[s], math.Inf(1))
	inner, sure := f.behind(p, h)
	if !sure {
		return f.solidAngle(p, s)
	}
	switch {
	case inner && !sh.cavity:
		return 1
	case !inner && sh.cavity:
		return -1
	}
	return 0
}

// solidAngle is the winding number by summing solid angles (A. van Oosterom and
// J. Strackee, IEEE Trans. Biomed. Eng. 30 (1983) 125); slow and robust.
func (f *form) solidAngle(p geom.Vec, s int32) int {
	sum := 0.0
	for _, i := range f.body.shells[s].tris {
		t := f.triangle(i)
		a, b, c := r3.Sub(t[0], p), r3.Sub(t[1], p), r3.Sub(t[2], p)
		la, lb, lc := norm(a), norm(b), norm(c)
		num := r3.Dot(a, r3.Cross(b, c))
		den := la*lb*lc + r3.Dot(a, b)*lc + r3.Dot(b, c)*la + r3.Dot(c, a)*lb
		sum += 2 * math.Atan2(num, den)
	}
	return int(math.Round(sum / (4 * math.Pi)))
}

// inside tells whether p lies within the union of the shells.
func (f *form) inside(p geom.Vec) bool {
	w := 0
	for s := range f.roots {
		w += f.winding(p, int32(s))
	}
	return w > 0
}

// covered tells whether a point of shell s lies within the part because of its
// other shells alone. A point on a cavity's wall has the outer shell around it,
// which the cavity cancels.
func (f *form) covered(p geom.Vec, s int32) bool {
	w := 0
	if f.body.shells[s].cavity {
		w = -1
	}
	for o := range f.roots {
		if int32(o) != s {
			w += f.winding(p, int32(o))
		}
	}
	return w > 0
}

// outside tells whether p lies outside the union of the shells for certain.
func (f *form) outside(p geom.Vec) bool {
	if f.pointGap2(f.key(p), &f.nodes[f.root].box) > 0 {
		return true
	}
	d, _ := f.signed(p)
	return d > 0
}

// signed is the distance of p to the surfaces of f, negative within the union
// of its shells, and the nearest place. With several shells the surface that
// another shell covers counts too, so the amount may be too small inside, never
// too large.
func (f *form) signed(p geom.Vec) (float64, hit) { return f.signedFrom(p, -1) }

// signedFrom is signed with a triangle that may be near, -1 for none.
func (f *form) signedFrom(p geom.Vec, hint int32) (float64, hit) {
	var h hit
	if hint >= 0 {
		t := f.triangle(hint)
		at, feature := t.Closest(p)
		h = f.nearest(p, f.root, norm(r3.Sub(p, at)))
		if h.tri < 0 {
			h.tri, h.at, h.feature = hint, at, feature
		}
	} else {
		h = f.nearest(p, f.root, math.Inf(1))
	}
	var inner, sure bool
	if len(f.roots) == 1 {
		inner, sure = f.behind(p, h)
	}
	if !sure {
		inner = f.inside(p)
	}
	if inner {
		return -h.dist, h
	}
	return h.dist, h
}
