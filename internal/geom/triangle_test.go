package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

func random(r *rand.Rand) Vec {
	return Vec{X: 2*r.Float64() - 1, Y: 2*r.Float64() - 1, Z: 2*r.Float64() - 1}
}

// at is the point of t with the barycentric coordinates 1-u-v, u, v.
func at(t *Triangle, u, v float64) Vec {
	return r3.Add(t[0], r3.Add(r3.Scale(u, r3.Sub(t[1], t[0])), r3.Scale(v, r3.Sub(t[2], t[0]))))
}

// sampled is the least distance of p to a fine grid of points of t, and how far
// it may lie above the true one.
func sampled(t *Triangle, p Vec) (d, err float64) {
	const n = 60
	d = math.Inf(1)
	for i := 0; i <= n; i++ {
		for j := 0; i+j <= n; j++ {
			d = min(d, r3.Norm(r3.Sub(p, at(t, float64(i)/n, float64(j)/n))))
		}
	}
	return d, max(r3.Norm(r3.Sub(t[1], t[0])), r3.Norm(r3.Sub(t[2], t[0])), r3.Norm(r3.Sub(t[1], t[2]))) / n
}

// Second way: sampling; and the feature named holds the point.
func TestClosest(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 400 {
		tri := Triangle{random(r), random(r), random(r)}
		p := r3.Scale(2, random(r))
		q, f := tri.Closest(p)
		d := r3.Norm(r3.Sub(p, q))
		if s, e := sampled(&tri, p); d > s+1e-12 || d < s-e {
			t.Fatalf("%v to %v: %g, sampled %g", p, tri, d, s)
		}
		switch f {
		case Face:
			if n := tri.Normal(); math.Abs(math.Abs(r3.Dot(n, r3.Sub(p, q)))-d) > 1e-9 {
				t.Fatalf("%v to %v: the nearest point is not below it", p, tri)
			}
		case Edge0, Edge1, Edge2:
			a, b := tri[f-Edge0], tri[(f-Edge0+1)%3]
			if x := r3.Norm(r3.Cross(r3.Unit(r3.Sub(b, a)), r3.Sub(q, a))); x > 1e-9 {
				t.Fatalf("%v to %v: not on side %d by %g", p, tri, f-Edge0, x)
			}
		case Corner0, Corner1, Corner2:
			if q != tri[f-Corner0] {
				t.Fatalf("%v to %v: not corner %d", p, tri, f-Corner0)
			}
		}
	}
}

// Closed form: a triangle without area is a segment or a point, whichever of its
// corners coincide or lie between others.
func TestClosestWithoutArea(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	segment := func(a, b, p Vec) float64 {
		ab := r3.Sub(b, a)
		s := min(1, max(0, r3.Dot(ab, r3.Sub(p, a))/r3.Norm2(ab)))
		return r3.Norm(r3.Sub(p, r3.Add(a, r3.Scale(s, ab))))
	}
	for range 2000 {
		a, b, p := random(r), random(r), r3.Scale(2, random(r))
		between := r3.Add(a, r3.Scale(r.Float64(), r3.Sub(b, a)))
		for _, tri := range []Triangle{{a, a, b}, {a, b, a}, {b, a, a}, {a, between, b}, {between, a, b}, {a, b, between}} {
			q, _ := tri.Closest(p)
			if d, want := r3.Norm(r3.Sub(p, q)), segment(a, b, p); math.IsNaN(d) || math.Abs(d-want) > 1e-9 {
				t.Fatalf("%v to %v: %g, want %g", p, tri, d, want)
			}
		}
		if q, _ := (&Triangle{a, a, a}).Closest(p); q != a {
			t.Fatalf("%v to the point %v: %v", p, a, q)
		}
	}
}

// Closed forms: skew lines, parallel and overlapping segments, end to end, a
// segment without length.
func TestClosestSegments(t *testing.T) {
	v := func(x, y, z float64) Vec { return Vec{X: x, Y: y, Z: z} }
	for _, c := range []struct {
		name       string
		a, b, c, d Vec
		want       float64
	}{
		{"skew", v(-1, 0, 0), v(1, 0, 0), v(0, -1, 2), v(0, 1, 2), 2},
		{"crossing", v(-1, 0, 0), v(1, 0, 0), v(0, -1, 0), v(0, 1, 0), 0},
		{"parallel, beside", v(0, 0, 0), v(4, 0, 0), v(1, 3, 0), v(2, 3, 0), 3},
		{"parallel, beyond", v(0, 0, 0), v(4, 0, 0), v(7, 4, 0), v(9, 4, 0), 5},
		{"antiparallel, beyond", v(0, 0, 0), v(4, 0, 0), v(9, 4, 0), v(7, 4, 0), 5},
		{"in line", v(0, 0, 0), v(1, 0, 0), v(3, 0, 0), v(4, 0, 0), 2},
		{"end to side", v(0, 0, 0), v(0, 0, 1), v(-5, 0, 3), v(5, 0, 3), 2},
		{"a point", v(1, 1, 1), v(1, 1, 1), v(0, 0, 0), v(4, 0, 0), math.Sqrt2},
		{"two points", v(1, 1, 1), v(1, 1, 1), v(1, 1, 4), v(1, 1, 4), 3},
	} {
		for _, swap := range []bool{false, true} {
			a, b, x, y := c.a, c.b, c.c, c.d
			if swap {
				a, b, x, y = c.c, c.d, c.b, c.a
			}
			p, q := ClosestSegments(a, b, x, y)
			if d := r3.Norm(r3.Sub(p, q)); math.Abs(d-c.want) > 1e-12 {
				t.Errorf("%s: %g, want %g", c.name, d, c.want)
			}
		}
	}
}

// Laws: the distance of two triangles does not depend on their order, on that of
// their corners, nor on a rigid motion of both; it is below that of sampled
// points; crossing triangles are 0 apart.
func TestTriangleDistance(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	crossed := 0
	for range 400 {
		a := Triangle{random(r), random(r), random(r)}
		off := r3.Scale(1.5, random(r))
		b := Triangle{r3.Add(off, random(r)), r3.Add(off, random(r)), r3.Add(off, random(r))}
		d, p, q := a.Distance(&b)
		if d == 0 {
			crossed++
			continue
		}
		if math.Abs(r3.Norm(r3.Sub(p, q))-d) > 1e-12 {
			t.Fatalf("points %v %v are not %g apart", p, q, d)
		}
		if x, _ := a.Closest(q); r3.Norm(r3.Sub(x, q)) < d-1e-9 {
			t.Fatalf("%v %v: a point nearer than %g", a, b, d)
		}
		m := Rotation(Line{Point: random(r), Dir: r3.Unit(random(r))}, 7*r.Float64())
		ma := Triangle{m.Apply(a[1]), m.Apply(a[2]), m.Apply(a[0])}
		mb := Triangle{m.Apply(b[2]), m.Apply(b[1]), m.Apply(b[0])}
		if e, _, _ := mb.Distance(&ma); math.Abs(e-d) > 1e-9 {
			t.Fatalf("%v %v: moved %g, before %g", a, b, e, d)
		}
		for range 50 {
			u, v := r.Float64(), r.Float64()
			if u+v > 1 {
				u, v = 1-u, 1-v
			}
			x := at(&a, u, v)
			y, _ := b.Closest(x)
			if e := r3.Norm(r3.Sub(x, y)); e < d-1e-9 {
				t.Fatalf("%v %v: %g, a sample is %g apart", a, b, d, e)
			}
		}
	}
	if crossed == 0 || crossed == 400 {
		t.Errorf("%d of 400 cross: the test tests little", crossed)
	}
}

// Closed form: the sides of one are well away where the other pierces its face.
func TestTriangleDistancePierced(t *testing.T) {
	a := Triangle{{X: -5, Y: -5}, {X: 5, Y: -5}, {Y: 7}}
	b := Triangle{{Z: -3}, {Z: 3}, {X: 1, Z: 3}}
	if d, p, _ := a.Distance(&b); d != 0 || p.Z != 0 {
		t.Errorf("pierced: %g at %v", d, p)
	}
	b = Triangle{{Z: 2}, {Z: 3}, {X: 1, Z: 3}}
	if d, _, _ := a.Distance(&b); math.Abs(d-2) > 1e-15 {
		t.Errorf("above: %g", d)
	}
}
