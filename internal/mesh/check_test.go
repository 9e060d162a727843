package mesh

import (
	"math"
	"slices"
	"strings"
	"testing"

	"feint/internal/geom"
)

func kinds(ds []Defect) []DefectKind {
	var out []DefectKind
	for _, d := range ds {
		out = append(out, d.Kind)
	}
	return out
}

// welded joins vertices at the same place, as a reader of STL does.
func weldedMesh(m *Mesh) *Mesh {
	f := make([][3]float64, len(m.V))
	for i, v := range m.V {
		f[i] = [3]float64{v.X, v.Y, v.Z}
	}
	same := samePlaces(f)
	o := &Mesh{V: m.V}
	for _, t := range m.T {
		o.T = append(o.T, [3]int32{same[t[0]], same[t[1]], same[t[2]]})
	}
	return o
}

// with is a copy of m changed by f.
func with(m *Mesh, f func(*Mesh)) *Mesh {
	o := &Mesh{V: slices.Clone(m.V), T: slices.Clone(m.T)}
	f(o)
	return o
}

// slivered gives an edge of the block a middle on one side only; a triangle
// without area closes the gap.
func slivered(cube *Mesh) *Mesh {
	return with(cube, func(m *Mesh) {
		t := m.T[8]
		n := int32(len(m.V))
		a, b := m.V[t[0]], m.V[t[1]]
		m.V = append(m.V, geom.Vec{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2, Z: (a.Z + b.Z) / 2})
		m.T[8] = [3]int32{t[0], n, t[2]}
		m.T = append(m.T, [3]int32{n, t[1], t[2]}, [3]int32{t[0], t[1], n})
	})
}

// TestCheckNamesEveryFault breaks a block in one way after the other. What
// must be found is plain from how it was broken.
func TestCheckNamesEveryFault(t *testing.T) {
	cube := block(0, 0, 0, 2, 2, 2)
	cases := []struct {
		name  string
		m     *Mesh
		kinds []DefectKind
		text  string
		harm  bool
	}{
		{"sound", cube, nil, "", false},
		{"empty", &Mesh{}, nil, "", false},
		{"hole", with(cube, func(m *Mesh) { m.T = m.T[1:] }), []DefectKind{Hole}, "a hole bordered by 3 triangles", true},
		{
			"two holes", with(cube, func(m *Mesh) { m.T = slices.Delete(m.T[1:], 6, 7) }),
			[]DefectKind{Hole, Hole},
			"a hole bordered by 3 triangles", true,
		},
		{
			"flipped", with(cube, func(m *Mesh) { m.T[4][0], m.T[4][1] = m.T[4][1], m.T[4][0] }),
			[]DefectKind{Flipped},
			"4 triangles beside each other that face opposite ways", true,
		},
		{"inside out", inverted(cube), []DefectKind{InsideOut}, "a shell of 12 triangles faces inwards", true},
		{"not a number", with(cube, func(m *Mesh) { m.V[3].Y = math.NaN() }), []DefectKind{NotFinite}, "not a number", true},
		{"infinite", with(cube, func(m *Mesh) { m.V[3].Y = math.Inf(-1) }), []DefectKind{NotFinite}, "not a number", true},
		{"no such vertex", with(cube, func(m *Mesh) { m.T[0][0] = 99 }), []DefectKind{BadCorner}, "a vertex that does not exist", true},
		{
			"twice", with(cube, func(m *Mesh) { m.T = append(m.T, m.T[2]) }),
			[]DefectKind{Duplicate, NonManifoldEdge, SelfCrossing},
			"the same triangle 2 times", true,
		},
		{
			"no area", slivered(cube), []DefectKind{Degenerate}, "1 triangle without area", false,
		},
		{
			"shells overlap", joined(cube, block(1, 1, 1, 3, 3, 3)),
			[]DefectKind{ShellOverlap},
			"two shells overlap", false,
		},
		{"nested", joined(block(-1, -1, -1, 5, 5, 5), cube), []DefectKind{ShellOverlap}, "two shells overlap", false},
		{"hollow", joined(block(-1, -1, -1, 5, 5, 5), inverted(cube)), nil, "", false},
		{
			"edge contact", weldedMesh(joined(cube, block(2, 2, 0, 4, 4, 2))),
			[]DefectKind{NonManifoldEdge},
			"4 triangles meet at edges that should have two each, as where bodies touch along an edge", false,
		},
		{
			"vertex contact", weldedMesh(joined(cube, block(2, 2, 2, 4, 4, 4))),
			[]DefectKind{NonManifoldVertex},
			"touches itself in a single vertex near (2, 2, 2) mm", false,
		},
		{
			"crosses itself", with(cube, func(m *Mesh) { // a corner pulled through the opposite face
				for i, v := range m.V {
					if v == (geom.Vec{X: 2, Y: 2, Z: 2}) {
						m.V[i] = geom.Vec{X: 1, Y: 1, Z: -1}
					}
				}
			}), []DefectKind{SelfCrossing}, "the surface crosses itself", true,
		},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			ds := Check(c.m)
			got := slices.Compact(kinds(ds))
			if !slices.Equal(got, slices.Compact(slices.Clone(c.kinds))) {
				t.Fatalf("got %v, want %v (%v)", got, c.kinds, ds)
			}
			for _, d := range ds {
				if len(d.Triangles) == 0 {
					t.Errorf("%v names no triangle", d)
				}
			}
			if len(ds) > 0 {
				if s := ds[0].String(); !strings.Contains(s, c.text) {
					t.Errorf("says %q, want %q in it", s, c.text)
				}
				if bad := firstHarmful(ds) != nil; bad != c.harm {
					t.Errorf("harmful %v, want %v: %v", bad, c.harm, ds)
				}
			}
		})
	}
}

// TestCheckGroupsFaults: each hole is one defect, at its own place.
func TestCheckGroupsFaults(t *testing.T) {
	m := with(joined(block(0, 0, 0, 1, 1, 1), block(9, 0, 0, 10, 1, 1)), func(m *Mesh) { m.T = slices.Delete(m.T[1:], 13, 14) })
	ds := Check(m)
	if len(ds) != 2 || ds[0].At.X > 1 || ds[1].At.X < 9 {
		t.Fatalf("%v", ds)
	}
}

// TestSelfIntersections: what crosses and what only touches.
func TestSelfIntersections(t *testing.T) {
	v := func(x, y, z float64) geom.Vec { return geom.Vec{X: x, Y: y, Z: z} }
	base := []geom.Vec{v(0, 0, 0), v(4, 0, 0), v(0, 4, 0)}
	cases := []struct {
		name string
		u    [3]geom.Vec
		want bool
	}{
		{"apart", [3]geom.Vec{v(0, 0, 1), v(4, 0, 1), v(0, 4, 1)}, false},
		{"through", [3]geom.Vec{v(1, 1, -1), v(1, 1, 1), v(5, 5, 1)}, true},
		{"corner on face", [3]geom.Vec{v(1, 1, 0), v(1, 1, 1), v(2, 1, 1)}, true},
		{"corner on edge", [3]geom.Vec{v(2, 0, 0), v(2, 0, 1), v(3, 0, 1)}, true},
		{"corner on corner", [3]geom.Vec{v(4, 0, 0), v(4, 0, 1), v(5, 0, 1)}, false},
		{"edge on edge", [3]geom.Vec{v(0, 0, 0), v(4, 0, 0), v(0, 0, 4)}, false},
		{"part of an edge", [3]geom.Vec{v(0, 0, 0), v(3, 0, 0), v(0, 0, 4)}, true},
		{"edge through edge", [3]geom.Vec{v(2, 0, -1), v(2, 0, 1), v(2, -3, 0)}, true},
		{"coplanar apart", [3]geom.Vec{v(4, 4, 0), v(5, 4, 0), v(4, 5, 0)}, false},
		{"coplanar overlap", [3]geom.Vec{v(1, 1, 0), v(5, 1, 0), v(1, 5, 0)}, true},
		{"coplanar inside", [3]geom.Vec{v(1, 1, 0), v(2, 1, 0), v(1, 2, 0)}, true},
		{"folded back", [3]geom.Vec{v(0, 0, 0), v(4, 0, 0), v(1, 1, 0)}, true},
		{"flat neighbour", [3]geom.Vec{v(4, 0, 0), v(0, 0, 0), v(1, -1, 0)}, false},
		{"corner shared, edge through", [3]geom.Vec{v(0, 0, 0), v(1, 1, -1), v(1, 1, 1)}, true},
		{"corner shared, coplanar apart", [3]geom.Vec{v(0, 0, 0), v(-1, -1, 0), v(-1, 0, 0)}, false},
		{"corner shared, coplanar over", [3]geom.Vec{v(0, 0, 0), v(1, 2, 0), v(2, 1, 0)}, true},
		{"the same", [3]geom.Vec{v(0, 0, 0), v(4, 0, 0), v(0, 4, 0)}, true},
		{"a hair above", [3]geom.Vec{v(1, 1, 0x1p-1000), v(1, 1, 1), v(2, 1, 1)}, false},
		{"a hair below", [3]geom.Vec{v(1, 1, -0x1p-1000), v(1, 1, 1), v(2, 1, 1)}, true},
	}
	for _, c := range cases {
		for turn := range 6 {
			u := c.u
			if turn > 2 {
				u[0], u[1] = u[1], u[0]
			}
			u = [3]geom.Vec{u[turn%3], u[(turn+1)%3], u[(turn+2)%3]}
			m := &Mesh{V: append(slices.Clone(base), u[:]...), T: [][3]int32{{0, 1, 2}, {3, 4, 5}}}
			if got := len(m.SelfIntersections(0)) > 0; got != c.want {
				t.Errorf("%s (order %d): %v, want %v", c.name, turn, got, c.want)
			}
		}
	}
}

// TestSelfIntersectionsLimit: sorted, and no more than asked for.
func TestSelfIntersectionsLimit(t *testing.T) {
	m := joined(block(0, 0, 0, 2, 2, 2), block(1, 1, 1, 3, 3, 3))
	all := m.SelfIntersections(0)
	if len(all) != 18 { // CGAL 5.5.1 finds 18: testdata/reference/selfint/expected.txt
		t.Errorf("%d pairs, want 18", len(all))
	}
	if some := m.SelfIntersections(5); !slices.Equal(some, all[:5]) {
		t.Errorf("with a limit: %v, want the first of %v", some, all)
	}
}

func TestShells(t *testing.T) {
	m := joined(block(0, 0, 0, 1, 1, 1), block(3, 0, 0, 4, 1, 1), block(0, 0, 0, 9, 9, 9))
	s := m.Shells()
	if len(s) != 3 {
		t.Fatalf("%d shells, want 3", len(s))
	}
	for i, list := range s {
		if len(list) != 12 || list[0] != int32(12*i) || !slices.IsSorted(list) {
			t.Errorf("shell %d: %v", i, list)
		}
	}
}
