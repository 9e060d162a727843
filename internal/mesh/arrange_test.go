package mesh

import (
	"math"
	"testing"

	"feint/internal/geom"
)

func arranged(t testing.TB, name string, inside func([]bool) bool, solids ...*Mesh) *Mesh {
	t.Helper()
	m, err := Arrange(solids, inside, Options{})
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	sound(t, name, m)
	return m
}

// closedForm is a result whose volume follows from the shapes.
type closedForm struct {
	name   string
	inside func([]bool) bool
	solids []*Mesh
	volume float64
	tol    float64 // relative; not exact where circles are facetted
}

func closedForms() []closedForm {
	lying := rod(3, 0, 10).Moved(geom.Rotation(axisY(), math.Pi/2)).Moved(geom.Translation(geom.Vec{Z: 8}))
	return []closedForm{
		{"overlapping blocks", any1, []*Mesh{block(0, 0, 0, 2, 2, 2), block(1, 1, 1, 3, 3, 3)}, 15, 1e-9},
		{"common block", all1, []*Mesh{block(0, 0, 0, 2, 2, 2), block(1, 1, 1, 3, 3, 3)}, 1, 1e-9},
		{"cut block", firstOnly, []*Mesh{block(0, 0, 0, 2, 2, 2), block(1, 1, 1, 3, 3, 3)}, 7, 1e-9},
		{"bored block", firstOnly, []*Mesh{block(-5, -5, 0, 5, 5, 10), rod(3, -1, 11)}, 1000 - math.Pi*90, 1e-6},
		{"coplanar", any1, []*Mesh{block(0, 0, 0, 10, 10, 5), block(4, 2, 5, 14, 12, 9), block(0, 0, 5, 4, 10, 9)}, 1060, 1e-9},
		{"edge contact", any1, []*Mesh{block(0, 0, 0, 5, 5, 5), block(5, 5, 0, 10, 10, 5)}, 250, 1e-9},
		{"tangent on plane", any1, []*Mesh{block(-5, -5, 0, 15, 5, 5), lying}, 1000 + math.Pi*90, 1e-5},
		{"steinmetz", all1, []*Mesh{rod(4, -8, 8), rod(4, -8, 8).Moved(geom.Rotation(axisY(), math.Pi/2))}, 16. / 3 * 64, 2e-3},
		{"wall 0.1", firstOnly, []*Mesh{rod(8, 0, 10), rod(7.9, 0.1, 11)}, math.Pi * (640 - 7.9*7.9*9.9), 1e-5},
		{"nothing", all1, []*Mesh{block(0, 0, 0, 1, 1, 1), block(2, 0, 0, 3, 1, 1)}, 0, 0},
		{"hollow", firstOnly, []*Mesh{block(0, 0, 0, 9, 9, 9), block(3, 3, 3, 6, 6, 6)}, 729 - 27, 1e-9},
		{"same twice", any1, []*Mesh{block(0, 0, 0, 2, 2, 2), block(0, 0, 0, 2, 2, 2)}, 8, 1e-9},
		{"face contact", any1, []*Mesh{block(0, 0, 0, 2, 2, 2), block(2, 0, 0, 4, 2, 2)}, 16, 1e-9},
	}
}

// TestClosedForms checks volumes against closed forms.
func TestClosedForms(t *testing.T) {
	for _, c := range closedForms() {
		m := arranged(t, c.name, c.inside, c.solids...)
		near(t, c.name, m.Volume(), c.volume, c.tol)
	}
}

// TestFlatTriangles: a solid closed by a triangle without area is taken, alone
// and where another solid meets the seam.
func TestFlatTriangles(t *testing.T) {
	m := slivered(block(0, 0, 0, 2, 2, 2))
	near(t, "alone", arranged(t, "alone", any1, m).Volume(), 8, 1e-12)
	other := block(-1, 0.5, 1.5, 3, 1.5, 3)
	near(t, "with another", arranged(t, "with another", any1, m, other).Volume(), 8+6-1, 1e-12)
	near(t, "cut", arranged(t, "cut", firstOnly, m, other).Volume(), 7, 1e-12)
}

// TestSharedEdgeInAFace: a wedge that begins at an edge within the flat top of
// a block, given by the block's own points there. Volumes by prisms.
func TestSharedEdgeInAFace(t *testing.T) {
	v := func(x, y, z float64) geom.Vec { return geom.Vec{X: x, Y: y, Z: z} }
	long := &Mesh{
		V: []geom.Vec{v(0, 0, 0), v(0, 1, 0), v(2, 1, 0), v(2, 0, 0), v(0, 0, 3), v(2, 0, 3), v(2, 1, 3), v(0, 1, 3), v(7, 1, 0), v(7, 0, 0), v(7, 0, 3), v(7, 1, 3)},
		T: [][3]int32{
			{0, 1, 2},
			{0, 2, 3},
			{4, 5, 6},
			{4, 6, 7},
			{3, 2, 8},
			{3, 8, 9},
			{5, 10, 11},
			{5, 11, 6},
			{0, 4, 7},
			{0, 7, 1},
			{10, 9, 8},
			{10, 8, 11},
			{0, 3, 5},
			{0, 5, 4},
			{3, 9, 10},
			{3, 10, 5},
			{1, 7, 6},
			{1, 6, 2},
			{2, 6, 11},
			{2, 11, 8},
		},
	}
	wedge := &Mesh{
		V: []geom.Vec{v(2, 0, 0), v(2, 1, 0), v(7, 1, 0), v(7, 0, 0), v(2, 0, 3), v(7, 0, 5), v(7, 1, 5), v(2, 1, 3)},
		T: [][3]int32{{0, 1, 2}, {0, 2, 3}, {4, 5, 6}, {4, 6, 7}, {0, 4, 7}, {0, 7, 1}, {5, 3, 2}, {5, 2, 6}, {0, 3, 5}, {0, 5, 4}, {1, 7, 6}, {1, 6, 2}},
	}
	near(t, "joined", arranged(t, "joined", any1, long, wedge).Volume(), 7*3+5*2.0/2, 1e-12)
	near(t, "cut", arranged(t, "cut", firstOnly, long, wedge).Volume(), 2*3, 1e-12)
}

// TestOnePointOneNumber: a point keeps its number where the float images of
// two ways to it fall on different sides of a border of the table's cells.
func TestOnePointOneNumber(t *testing.T) {
	at := func(scale int64, f float64) *point {
		var x [3]num
		var w num
		x[0].setInt(scale)
		w.setInt(128 * scale)
		p := rationalPoint(&x, &w) // 1/128 is the border between two cells
		p.f[0] = f
		return &p
	}
	table := newPointTable(2)
	a := table.id(at(3, math.Nextafter(1.0/128, 0)))
	b := table.id(at(5, math.Nextafter(1.0/128, 1)))
	c := table.id(at(7, 1.0/128))
	if a != b || b != c {
		t.Errorf("numbers %d, %d, %d for one point", a, b, c)
	}
	q := gridPoint([3]int64{0, 0, 0})
	if table.id(&q) == a {
		t.Error("two points have one number")
	}
}

// TestCleanKeepsTheManifold: a short edge whose ends have a third neighbour in
// common must not be collapsed; a whole tetrahedron below the limit goes.
func TestCleanKeepsTheManifold(t *testing.T) {
	pit := func(wide int64) *gridMesh {
		g := &gridMesh{ // tetrahedron a b x d with a pit c in the face a b x
			p: [][3]int64{{0, 0, 0}, {2, 0, 0}, {0, wide, 0}, {0, 0, wide}, {1, wide / 3, 9}},
			t: [][3]int32{{0, 2, 4}, {2, 1, 4}, {1, 0, 4}, {0, 1, 3}, {1, 2, 3}, {2, 0, 3}},
		}
		for _, tr := range g.t {
			n := normal(&[3][3]int64{g.p[tr[0]], g.p[tr[1]], g.p[tr[2]]})
			v := [3]float64{float64(n[0]), float64(n[1]), float64(n[2])}
			l := norm3(v)
			g.out = append(g.out, [3]float64{v[0] / l, v[1] / l, v[2] / l})
		}
		return g
	}
	g := pit(9000)
	g.clean([]float64{4, 4, 4, 4, 4})
	for _, d := range Check(g.mesh()) {
		if d.Kind != SelfCrossing && d.Kind != InsideOut {
			t.Errorf("after cleaning: %v", d)
		}
	}
	c := cleaner{gridMesh: pit(9000), limit: make([]float64, 5), dead: make([]bool, 6)}
	c.incidence()
	if c.collapse(0, 1) || c.collapse(1, 0) {
		t.Error("an edge with three common neighbours was collapsed")
	}
	tiny := &gridMesh{
		p:   [][3]int64{{0, 0, 0}, {2, 0, 0}, {0, 2, 0}, {0, 0, 2}},
		t:   [][3]int32{{0, 2, 1}, {0, 1, 3}, {1, 2, 3}, {2, 0, 3}},
		out: make([][3]float64, 4),
	}
	tiny.clean([]float64{4, 4, 4, 4})
	if len(tiny.t) != 0 {
		t.Errorf("%d triangles are left of a speck", len(tiny.t))
	}
}
