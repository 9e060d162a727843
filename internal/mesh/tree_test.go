package mesh

import (
	"math"
	"math/rand/v2"
	"testing"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// boxMesh is the block from lo to hi, 12 triangles facing out.
func boxMesh(lo, hi geom.Vec) *Mesh {
	m := &Mesh{}
	for i := range 8 {
		v := lo
		if i&1 != 0 {
			v.X = hi.X
		}
		if i&2 != 0 {
			v.Y = hi.Y
		}
		if i&4 != 0 {
			v.Z = hi.Z
		}
		m.V = append(m.V, v)
	}
	for _, q := range [][4]int32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		m.T = append(m.T, [3]int32{q[0], q[1], q[2]}, [3]int32{q[0], q[2], q[3]})
	}
	return m
}

// ballMesh is an octahedron divided n times, its vertices on the sphere of
// radius r about c.
func ballMesh(c geom.Vec, r float64, n int) *Mesh {
	x, y, z := geom.Vec{X: 1}, geom.Vec{Y: 1}, geom.Vec{Z: 1}
	neg := func(v geom.Vec) geom.Vec { return r3.Scale(-1, v) }
	tris := []geom.Triangle{
		{x, y, z},
		{y, neg(x), z},
		{neg(x), neg(y), z},
		{neg(y), x, z},
		{y, x, neg(z)},
		{neg(x), y, neg(z)},
		{neg(y), neg(x), neg(z)},
		{x, neg(y), neg(z)},
	}
	for range n {
		var finer []geom.Triangle
		for i := range tris {
			t := tris[i]
			a, b, c := mean(t[0], t[1]), mean(t[1], t[2]), mean(t[2], t[0])
			finer = append(finer, geom.Triangle{t[0], a, c}, geom.Triangle{a, t[1], b}, geom.Triangle{c, b, t[2]}, geom.Triangle{a, b, c})
		}
		tris = finer
	}
	m := &Mesh{}
	at := map[geom.Vec]int32{}
	for _, t := range tris {
		var ids [3]int32
		for k, v := range t {
			v = r3.Add(c, r3.Scale(r, r3.Unit(v)))
			id, ok := at[v]
			if !ok {
				id = int32(len(m.V))
				at[v], m.V = id, append(m.V, v)
			}
			ids[k] = id
		}
		m.T = append(m.T, ids)
	}
	return m
}

func mean(vs ...geom.Vec) geom.Vec {
	sum := geom.Vec{}
	for _, v := range vs {
		sum = r3.Add(sum, v)
	}
	return r3.Scale(1/float64(len(vs)), sum)
}

func joined(ms ...*Mesh) *Mesh {
	o := &Mesh{}
	for _, m := range ms {
		n := int32(len(o.V))
		o.V = append(o.V, m.V...)
		for _, t := range m.T {
			o.T = append(o.T, [3]int32{t[0] + n, t[1] + n, t[2] + n})
		}
	}
	return o
}

func inverted(m *Mesh) *Mesh {
	o := &Mesh{V: m.V}
	for _, t := range m.T {
		o.T = append(o.T, [3]int32{t[0], t[2], t[1]})
	}
	return o
}

func randomVec(r *rand.Rand, size float64) geom.Vec {
	return geom.Vec{X: size * (2*r.Float64() - 1), Y: size * (2*r.Float64() - 1), Z: size * (2*r.Float64() - 1)}
}

func randomMotion(r *rand.Rand, reach float64) geom.Motion {
	g := geom.Rotation(geom.Line{Dir: r3.Unit(randomVec(r, 1))}, 2*math.Pi*r.Float64())
	g.T = randomVec(r, reach)
	return g
}

// boxSigned is the closed form of the signed distance to a block.
func boxSigned(lo, hi, p geom.Vec) float64 {
	x, y, z := max(lo.X-p.X, p.X-hi.X), max(lo.Y-p.Y, p.Y-hi.Y), max(lo.Z-p.Z, p.Z-hi.Z)
	if m := max(x, y, z); m <= 0 {
		return m
	}
	return math.Sqrt(max(0, x)*max(0, x) + max(0, y)*max(0, y) + max(0, z)*max(0, z))
}

// Closed form: the block.
func TestSignedBlock(t *testing.T) {
	lo, hi := geom.Vec{X: -3, Y: -2, Z: -1}, geom.Vec{X: 4, Y: 5, Z: 6}
	tree := NewTree(boxMesh(lo, hi))
	r := rand.New(rand.NewPCG(1, 2))
	for range 3000 {
		p := randomVec(r, 9)
		d, tri, near := tree.Signed(p)
		if want := boxSigned(lo, hi, p); math.Abs(d-want) > 1e-12 {
			t.Fatalf("at %v: %g, want %g", p, d, want)
		}
		if tri < 0 || math.Abs(r3.Norm(r3.Sub(p, near))-math.Abs(d)) > 1e-12 || math.Abs(boxSigned(lo, hi, near)) > 1e-12 {
			t.Fatalf("at %v: nearest point %v is not at distance %g on the surface", p, near, d)
		}
	}
	// on the planes and edges of the block, where rays graze
	for _, p := range []geom.Vec{{}, {X: -3}, {X: 4, Y: 5}, {X: 9, Y: 5, Z: 6}, {X: 0.5, Y: 1.5, Z: 2.5}, {X: -3, Y: -2, Z: -1}} {
		if d, _, _ := tree.Signed(p); math.Abs(d-boxSigned(lo, hi, p)) > 1e-12 {
			t.Errorf("at %v: %g, want %g", p, d, boxSigned(lo, hi, p))
		}
	}
}

// Closed form: a ball, within the sagitta of its facets.
func TestSignedBall(t *testing.T) {
	const radius, times = 10, 5
	c := geom.Vec{X: 1, Y: 2, Z: 3}
	m := ballMesh(c, radius, times)
	sagitta := 0.0
	for i := range m.T {
		tri := m.Triangle(i)
		sagitta = max(sagitta, radius-r3.Norm(r3.Sub(mean(tri[:]...), c)))
	}
	tree := NewTree(m)
	r := rand.New(rand.NewPCG(3, 4))
	for range 2000 {
		p := randomVec(r, 16)
		want := r3.Norm(r3.Sub(p, c)) - radius
		if d, _, _ := tree.Signed(p); d < want-1e-12 || d > want+1.2*sagitta {
			t.Fatalf("at %v: %g, want %g to %g", p, d, want, want+1.2*sagitta)
		}
	}
}

// Closed form: two blocks that overlap are one solid, whose boundary leaves out
// what lies within; likewise blocks that share a face, equal blocks, blocks that
// share an edge, and a hollow.
func TestSignedShells(t *testing.T) {
	long, cross := [2]geom.Vec{{X: -10, Y: -2, Z: -2}, {X: 10, Y: 2, Z: 2}}, [2]geom.Vec{{X: -3, Y: -2, Z: -9}, {X: 3, Y: 2, Z: 9}}
	box := func(b [2]geom.Vec) *Mesh { return boxMesh(b[0], b[1]) }
	r := rand.New(rand.NewPCG(5, 6))
	// The cross of two bars with flush sides: inside, the distance to the
	// figure in the x-z plane, or to the sides y = +-2.
	plus := func(p geom.Vec) float64 {
		ax, az := math.Abs(p.X), math.Abs(p.Z)
		var d float64
		switch in := (ax < 10 && az < 2) || (ax < 3 && az < 9); {
		case !in:
			return min(boxSigned(long[0], long[1], p), boxSigned(cross[0], cross[1], p))
		case ax >= 3:
			d = min(10-ax, 2-az)
		case az >= 2:
			d = min(9-az, 3-ax)
		default:
			d = min(math.Hypot(3-ax, 2-az), 10-ax, 9-az)
		}
		if math.Abs(p.Y) > 2 {
			return math.Abs(p.Y) - 2
		}
		return -min(d, 2-math.Abs(p.Y))
	}
	slab := [2]geom.Vec{{X: -5, Y: -5, Z: 0}, {X: 5, Y: 5, Z: 5}}
	under := [2]geom.Vec{{X: -5, Y: -5, Z: -5}, {X: 5, Y: 5, Z: 0}}
	whole := func(p geom.Vec) float64 { return boxSigned(under[0], slab[1], p) }
	inner := [2]geom.Vec{{X: -3, Y: -2, Z: 1}, {X: 1, Y: 2, Z: 4}}
	shapes := []struct {
		name string
		mesh *Mesh
		want func(geom.Vec) float64
	}{
		{"cross", joined(box(long), box(cross)), plus},
		{"shared face", joined(box(slab), box(under)), whole},
		{"twice the same", joined(box(slab), box(slab)), func(p geom.Vec) float64 { return boxSigned(slab[0], slab[1], p) }},
		{"one within", joined(box(slab), box(inner)), func(p geom.Vec) float64 { return boxSigned(slab[0], slab[1], p) }},
		{"hollow", joined(box(slab), inverted(box(inner))), func(p geom.Vec) float64 {
			return max(boxSigned(slab[0], slab[1], p), -boxSigned(inner[0], inner[1], p))
		}},
	}
	for _, s := range shapes {
		tree := NewTree(s.mesh)
		for range 1500 {
			p := randomVec(r, 11)
			d, tri, near := tree.Signed(p)
			if want := s.want(p); math.Abs(d-want) > 2*touching {
				t.Fatalf("%s at %v: %g, want %g (triangle %d, %v)", s.name, p, d, want, tri, near)
			}
		}
	}
}

// Closed form: moving mesh and point alike changes nothing; a ray that grazes is
// tried again. Points on a grid make rays meet edges as often as can be.
func TestInsideGrid(t *testing.T) {
	m := joined(boxMesh(geom.Vec{}, geom.Vec{X: 2, Y: 2, Z: 2}), boxMesh(geom.Vec{X: 1, Y: 1, Z: 1}, geom.Vec{X: 3, Y: 3, Z: 3}))
	tree := NewTree(m)
	for x := -0.5; x < 4; x += 0.5 {
		for y := -0.5; y < 4; y += 0.5 {
			for z := -0.5; z < 4; z += 0.5 {
				p := geom.Vec{X: x, Y: y, Z: z}
				a := boxSigned(geom.Vec{}, geom.Vec{X: 2, Y: 2, Z: 2}, p)
				b := boxSigned(geom.Vec{X: 1, Y: 1, Z: 1}, geom.Vec{X: 3, Y: 3, Z: 3}, p)
				if min(a, b) == 0 {
					continue
				}
				if got := tree.Inside(p); got != (min(a, b) < 0) {
					t.Errorf("inside at %v: %v", p, got)
				}
				if w := tree.winding(p); a != 0 && b != 0 && math.Round(w) != b2f(a < 0)+b2f(b < 0) {
					t.Errorf("winding at %v: %g", p, w)
				}
			}
		}
	}
}

func b2f(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// Brute force over all pairs of triangles, on random poses near and far.
func TestDistanceBruteForce(t *testing.T) {
	a, b := ballMesh(geom.Vec{}, 5, 2), joined(boxMesh(geom.Vec{X: -4, Y: -1, Z: -1}, geom.Vec{X: 4, Y: 1, Z: 1}), boxMesh(geom.Vec{X: 3, Y: -3, Z: -3}, geom.Vec{X: 5, Y: 3, Z: 3}))
	ta, tb := NewTree(a), NewTree(b)
	r := rand.New(rand.NewPCG(7, 8))
	for range 60 {
		g := randomMotion(r, 9)
		want := math.Inf(1)
		moved := a.Moved(g)
		for i := range moved.T {
			x := moved.Triangle(i)
			for j := range b.T {
				y := b.Triangle(j)
				d, _, _ := x.Distance(&y)
				want = min(want, d)
			}
		}
		d, p, q := ta.Distance(tb, g, math.Inf(1))
		if math.Abs(d-want) > 1e-12 {
			t.Fatalf("motion %v: %g, want %g", g, d, want)
		}
		if math.Abs(r3.Norm(r3.Sub(p, q))-d) > 1e-12 {
			t.Fatalf("points %v %v are not %g apart", p, q, d)
		}
		if d > 0 {
			if e, _, _ := tb.Distance(ta, g.Inverse(), math.Inf(1)); math.Abs(e-d) > 1e-11 {
				t.Fatalf("the other way round: %g, want %g", e, d)
			}
			if e, _, _ := ta.Distance(tb, g, d/2); e != d/2 {
				t.Fatalf("cut at %g gives %g", d/2, e)
			}
		}
	}
}

// Closed forms: two balls with a vertex each on the line of centres; two blocks
// corner to corner, edge to edge and face to face.
func TestDistanceClosedForms(t *testing.T) {
	ball := NewTree(ballMesh(geom.Vec{}, 5, 3))
	block := NewTree(boxMesh(geom.Vec{X: -1, Y: -1, Z: -1}, geom.Vec{X: 1, Y: 1, Z: 1}))
	shift := func(x, y, z float64) geom.Motion { return geom.Translation(geom.Vec{X: x, Y: y, Z: z}) }
	turn := geom.Rotation(geom.Line{Dir: geom.Vec{Z: 1}}, math.Pi/4)
	for _, c := range []struct {
		name string
		a, b *Tree
		g    geom.Motion
		want float64
	}{
		{"balls", ball, ball, shift(0, 12, 0), 2},
		{"corner to corner", block, block, shift(3, 4, 4), 3},
		{"edge to edge", block, block, shift(0, 5, 6), 5},
		{"face to face", block, block, shift(0.3, 0.4, 2.25), 0.25},
		{"turned edge to face", block, block, turn.Then(shift(4, 0.5, 0.5)), 3 - math.Sqrt2},
		{"crossing", block, block, shift(1, 0.5, 0.5), 0},
		{"surfaces of one within the other", block, ball, shift(0, 0, 0), 5*ballInner() - math.Sqrt(3)},
	} {
		tol := 1e-12
		if c.name == "surfaces of one within the other" {
			tol = 0.2 // the facets' sagitta: only that it is the surfaces
		}
		if d, _, _ := c.a.Distance(c.b, c.g, math.Inf(1)); math.Abs(d-c.want) > tol {
			t.Errorf("%s: %g, want %g", c.name, d, c.want)
		}
	}
}

func ballInner() float64 { return 0.98 }

func TestEmptyTree(t *testing.T) {
	e, b := NewTree(&Mesh{}), NewTree(boxMesh(geom.Vec{}, geom.Vec{X: 1, Y: 1, Z: 1}))
	if d, tri, _ := e.Signed(geom.Vec{}); !math.IsInf(d, 1) || tri != -1 {
		t.Errorf("an empty tree is %g away, triangle %d", d, tri)
	}
	if d, _, _ := e.Distance(b, geom.Identity(), 7); d != 7 {
		t.Errorf("an empty tree is %g from a block, want the cut", d)
	}
	if e.Inside(geom.Vec{}) {
		t.Error("an empty tree holds a point")
	}
}

func BenchmarkSigned(b *testing.B) {
	tree := NewTree(ballMesh(geom.Vec{}, 10, 6))
	r := rand.New(rand.NewPCG(1, 1))
	for b.Loop() {
		tree.Signed(randomVec(r, 12))
	}
}

func BenchmarkDistance(b *testing.B) {
	x, y := NewTree(ballMesh(geom.Vec{}, 10, 6)), NewTree(ballMesh(geom.Vec{}, 10, 6))
	r := rand.New(rand.NewPCG(1, 1))
	for b.Loop() {
		g := randomMotion(r, 1)
		g.T = geom.Vec{X: 20.3}
		x.Distance(y, g, math.Inf(1))
	}
}

func BenchmarkNewTree(b *testing.B) {
	m := ballMesh(geom.Vec{}, 10, 6)
	for b.Loop() {
		NewTree(m)
	}
}

// Closed form: the boundary of two overlapping bars has the area of the cross,
// and the two shells have two numbers.
func TestBoundary(t *testing.T) {
	m := joined(
		boxMesh(geom.Vec{X: -10, Y: -2, Z: -2}, geom.Vec{X: 10, Y: 2, Z: 2}),
		boxMesh(geom.Vec{X: -3, Y: -1, Z: -9}, geom.Vec{X: 3, Y: 1, Z: 9}))
	tree := NewTree(m)
	// the upright bar's sides stand out of the long bar's top and bottom by 7
	long, upright := 2.0*(20*4+20*4+4*4), 2*7*(2*6+2*2)+2.0*6*2
	want := long - 2*6*2 + upright
	area := 0.0
	for _, tri := range tree.Boundary().Triangles() {
		area += r3.Norm(r3.Cross(r3.Sub(tri[1], tri[0]), r3.Sub(tri[2], tri[0]))) / 2
	}
	if math.Abs(area-want) > 1e-9 {
		t.Errorf("boundary of %g mm2, want %g", area, want)
	}
	shells := map[int]int{}
	for i := range tree.Triangles() {
		shells[tree.Shell(i)]++
		if got, want := tree.Triangles()[i], m.Triangle(tree.Index(i)); got != want {
			t.Fatalf("triangle %d is not the mesh's %d", i, tree.Index(i))
		}
	}
	if len(shells) != 2 {
		t.Errorf("shells %v, want two", shells)
	}
	single := NewTree(boxMesh(geom.Vec{}, geom.Vec{X: 1, Y: 1, Z: 1}))
	if single.Boundary() != single || single.Shell(5) != 0 {
		t.Error("one shell is its own boundary")
	}
}

// Law: the surface is within reach of a point just beyond its distance and not just
// below it, from outside and from inside.
func TestWithin(t *testing.T) {
	tree := NewTree(partSTL(t, "rod"))
	b := tree.Mesh().Bounds()
	mid := r3.Scale(0.5, r3.Add(b.Lo, b.Hi))
	for _, p := range []geom.Vec{mid, b.Lo, r3.Add(b.Hi, geom.Vec{X: 3}), {}} {
		d, _, _ := tree.Signed(p)
		if d = math.Abs(d); !tree.Within(p, d+1e-6) || tree.Within(p, d-1e-6) && d > 1e-6 {
			t.Errorf("%v: distance %g", p, d)
		}
	}
	if NewTree(&Mesh{}).Within(geom.Vec{}, 1) {
		t.Error("nothing is near")
	}
}

// Faces that bound nothing are as far from a body as they are by brute force, however
// they cross each other.
func TestFaceTree(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 7))
	near := func() geom.Vec {
		return geom.Vec{X: 8 * rng.Float64(), Y: 8 * rng.Float64(), Z: 8 * rng.Float64()}
	}
	var faces []geom.Triangle
	for range 60 {
		faces = append(faces, geom.Triangle{near(), near(), near()})
	}
	body := ballMesh(geom.Vec{X: 14, Y: 3, Z: 2}, 2, 3)
	want := math.Inf(1)
	for i := range faces {
		for k := range body.T {
			b := body.Triangle(k)
			d, _, _ := faces[i].Distance(&b)
			want = min(want, d)
		}
	}
	if got, _, _ := NewFaceTree(faces).Distance(NewTree(body), geom.Identity(), math.Inf(1)); math.Abs(got-want) > 1e-12 {
		t.Errorf("%g, want %g", got, want)
	}
	if got, _, _ := NewFaceTree(nil).Distance(NewTree(body), geom.Identity(), 3); got != 3 {
		t.Errorf("no faces: %g, want the cut", got)
	}
}
