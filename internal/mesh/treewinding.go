package mesh

import (
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// rayTries is how many directions are tried before the slow, sure sum of solid
// angles. A direction fails only if the ray grazes an edge within rounding, so a
// second is rarely needed.
const rayTries = 6

// rayError bounds the rounding error of a 3x3 determinant of vectors, relative
// to the product of their lengths: at most 12 operations of 2^-53 each, and the
// differences that went into the vectors, doubled for safety.
const rayError = 32.0 / (1 << 53)

// inside tells whether the winding number about p is one or more.
func (t *Tree) inside(p geom.Vec) bool {
	if t.nodes[0].distance2(p) > 0 {
		return false
	}
	for _, dir := range t.nodes[0].outwards(p) {
		if w, ok := t.crossings(p, dir); ok {
			return w > 0
		}
	}
	// On a face the sum is half-way between its two sides: 1/2 on the
	// boundary, 3/2 on a face within another shell.
	return t.winding(p) > 0.75
}

// rayDirection is the k-th of a sequence of directions that spread over the
// sphere and follow no axis (golden-angle spiral).
func rayDirection(k int) geom.Vec {
	z := 1 - (2*float64(k)+1.2345)/(2*rayTries)
	s, c := math.Sincos(0.7391 + float64(k)*math.Pi*(3-math.Sqrt(5)))
	r := math.Sqrt(1 - z*z)
	return geom.Vec{X: r * c, Y: r * s, Z: z}
}

// outwards are the directions, first the one along which it is the shortest way
// from p out of the node's box, which meets the fewest boxes.
func (n *treeNode) outwards(p geom.Vec) [rayTries]geom.Vec {
	c := r3.Sub(n.centre, p)
	var out [rayTries]geom.Vec
	best, short := 0, math.Inf(1)
	for k := range out {
		d := rayDirection(k)
		out[k] = d
		far := min(
			(c.X+math.Copysign(n.half.X, d.X))/d.X,
			(c.Y+math.Copysign(n.half.Y, d.Y))/d.Y,
			(c.Z+math.Copysign(n.half.Z, d.Z))/d.Z,
		)
		if far < short {
			best, short = k, far
		}
	}
	out[0], out[best] = out[best], out[0]
	return out
}

// crossings counts how often the ray from p along dir leaves the shells less
// how often it enters them. ok is false if rounding could change the count.
func (t *Tree) crossings(p, dir geom.Vec) (count int, ok bool) {
	inv := geom.Vec{X: 1 / dir.X, Y: 1 / dir.Y, Z: 1 / dir.Z}
	var buf [64]int32
	stack := append(buf[:0], 0)
	for len(stack) > 0 {
		id := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		n := &t.nodes[id]
		if !n.onRay(p, inv) {
			continue
		}
		if n.count == 0 {
			stack = append(stack, id+1, n.right)
			continue
		}
		for k := n.first; k < n.first+n.count; k++ {
			c, sure := crossing(&t.tri[k], p, dir)
			if !sure {
				return 0, false
			}
			count += c
		}
	}
	return count, true
}

// onRay tells whether the ray may meet the node's box, widened for rounding.
func (n *treeNode) onRay(p, inv geom.Vec) bool {
	const wide = 1 + 1e-12
	x, y, z := n.centre.X-p.X, n.centre.Y-p.Y, n.centre.Z-p.Z
	pad := 1e-12 * (math.Abs(x) + math.Abs(y) + math.Abs(z) + n.half.X + n.half.Y + n.half.Z)
	m, h := x*inv.X, math.Abs((n.half.X*wide+pad)*inv.X)
	lo, hi := max(0, m-h), m+h
	m, h = y*inv.Y, math.Abs((n.half.Y*wide+pad)*inv.Y)
	if lo, hi = max(lo, m-h), min(hi, m+h); lo > hi {
		return false
	}
	m, h = z*inv.Z, math.Abs((n.half.Z*wide+pad)*inv.Z)
	return max(lo, m-h) <= min(hi, m+h)
}

// crossing is +1 where the ray from p along dir leaves through the face of tri,
// -1 where it enters, 0 where it passes by; sure is false within rounding.
func crossing(tri *geom.Triangle, p, dir geom.Vec) (count int, sure bool) {
	a, b, c := r3.Sub(tri[0], p), r3.Sub(tri[1], p), r3.Sub(tri[2], p)
	size := max(r3.Norm2(a), r3.Norm2(b), r3.Norm2(c))
	tol := rayError * size
	u, v, w := r3.Dot(dir, r3.Cross(b, c)), r3.Dot(dir, r3.Cross(c, a)), r3.Dot(dir, r3.Cross(a, b))
	switch {
	case (u > tol || v > tol || w > tol) && (u < -tol || v < -tol || w < -tol):
		return 0, true
	case math.Abs(u) <= tol || math.Abs(v) <= tol || math.Abs(w) <= tol:
		return 0, false
	}
	det := r3.Dot(a, r3.Cross(b, c))
	if math.Abs(det) <= tol*math.Sqrt(size) {
		return 0, false
	}
	switch {
	case det > 0 && u > 0:
		return 1, true
	case det < 0 && u < 0:
		return -1, true
	default:
		return 0, true
	}
}

// winding is the winding number of all shells about p, by the solid angles of
// the triangles (A. van Oosterom and J. Strackee, 1983). A face that holds p
// counts for nothing, the middle of its two sides.
func (t *Tree) winding(p geom.Vec) float64 {
	sum := 0.0
	for i := range t.tri {
		a, b, c := r3.Sub(t.tri[i][0], p), r3.Sub(t.tri[i][1], p), r3.Sub(t.tri[i][2], p)
		la, lb, lc := r3.Norm(a), r3.Norm(b), r3.Norm(c)
		det := r3.Dot(a, r3.Cross(b, c))
		if math.Abs(det) <= rayError*la*lb*lc {
			continue
		}
		sum += 2 * math.Atan2(det, la*lb*lc+r3.Dot(a, b)*lc+r3.Dot(b, c)*la+r3.Dot(c, a)*lb)
	}
	return sum / (4 * math.Pi)
}
