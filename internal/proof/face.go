package proof

import (
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// face is a plane piece of a body's surface: triangles joined by sides, all of
// them within flatError of one plane.
type face struct {
	n      geom.Vec
	far    float64       // n . p on the plane
	border [][2]geom.Vec // sides with no other triangle of the face beyond
}

// flatError is how far the corners of a face may be off its plane, mm: that of
// coordinates in single precision up to 128 mm, 2^-17, and a little.
const flatError = 1e-5

// faceOf is the face of triangle i.
func (b *body) faceOf(i int32) *face {
	b.once.Do(b.join)
	return b.faces[b.face[i]]
}

// gather makes the faces, each from the first of its triangles; b.beside must
// be there.
func (b *body) gather() {
	b.face = make([]int32, len(b.tri))
	for i := range b.face {
		b.face[i] = -1
	}
	for i := range b.tri {
		if b.face[i] >= 0 {
			continue
		}
		id := int32(len(b.faces))
		f := &face{n: b.normal[i], far: r3.Dot(b.normal[i], b.tri[i][0])}
		b.face[i] = id
		members := []int32{int32(i)}
		for k := 0; k < len(members); k++ {
			for _, j := range b.beside[members[k]] {
				if b.face[j] < 0 && f.holds(&b.tri[j]) && r3.Dot(f.n, b.normal[j]) > 0 {
					b.face[j] = id
					members = append(members, j)
				}
			}
		}
		b.faces = append(b.faces, f)
		b.outline(f, id, members)
	}
}

func (f *face) holds(t *geom.Triangle) bool {
	for _, p := range t {
		if math.Abs(r3.Dot(f.n, p)-f.far) > flatError {
			return false
		}
	}
	return true
}

// outline lists the sides of the members that no other member has.
func (b *body) outline(f *face, id int32, members []int32) {
	for _, i := range members {
		for k := range 3 {
			p, q := b.tri[i][k], b.tri[i][(k+1)%3]
			shared := false
			for _, j := range b.beside[i] {
				shared = shared || (b.face[j] == id && hasSide(&b.tri[j], q, p))
			}
			if !shared {
				f.border = append(f.border, [2]geom.Vec{p, q})
			}
		}
	}
}

func hasSide(t *geom.Triangle, p, q geom.Vec) bool {
	return (t[0] == p && t[1] == q) || (t[1] == p && t[2] == q) || (t[2] == p && t[0] == q)
}

// covers looks whether all points of the hull of ps, and all within margin of it,
// lie over the face, one of them (near) being known to. If not, it gives a side of
// the border that is in the way.
func (f *face) covers(ps []geom.Vec, near geom.Vec, margin float64) (ok bool, side [2]geom.Vec) {
	x := r3.Unit(r3.Cross(geom.LeastAxis(f.n), f.n))
	y := r3.Cross(f.n, x)
	on := func(p geom.Vec) [2]float64 { return [2]float64{r3.Dot(x, p), r3.Dot(y, p)} }
	c := on(near)
	var buf [16][2]float64
	hull, size := buf[:0], 0.0
	for _, p := range ps {
		h := on(p)
		hull = append(hull, h)
		size = max(size, math.Hypot(h[0]-c[0], h[1]-c[1]))
	}
	for _, s := range f.border {
		a, b := on(s[0]), on(s[1])
		if segmentFrom(c, a, b) <= size+margin && !clearOf(a, b, hull, margin) {
			return false, s
		}
	}
	return true, side
}

// segmentFrom is the distance of the segment ab from c.
func segmentFrom(c, a, b [2]float64) float64 {
	dx, dy := b[0]-a[0], b[1]-a[1]
	t := 0.0
	if l := dx*dx + dy*dy; l > 0 {
		t = min(1, max(0, ((c[0]-a[0])*dx+(c[1]-a[1])*dy)/l))
	}
	return math.Hypot(a[0]+t*dx-c[0], a[1]+t*dy-c[1])
}

// clearOf tells whether some line parts the segment ab from the hull by more than
// margin: one square to the segment or to the line through two of the points.
func clearOf(a, b [2]float64, hull [][2]float64, margin float64) bool {
	parts := func(p, q [2]float64) bool {
		nx, ny := q[1]-p[1], p[0]-q[0]
		l := math.Hypot(nx, ny)
		if l == 0 {
			return false
		}
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, h := range hull {
			d := (nx*h[0] + ny*h[1]) / l
			lo, hi = min(lo, d), max(hi, d)
		}
		da, db := (nx*a[0]+ny*a[1])/l, (nx*b[0]+ny*b[1])/l
		return min(da, db) > hi+margin || max(da, db) < lo-margin
	}
	if parts(a, b) {
		return true
	}
	for i := range hull {
		for j := range i {
			if parts(hull[i], hull[j]) {
				return true
			}
		}
	}
	return false
}
