package proof_test

import (
	"math"
	"os"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/meshfile"
)

var (
	xAxis = geom.Line{Dir: geom.Vec{X: 1}}
	yAxis = geom.Line{Dir: geom.Vec{Y: 1}}
	zAxis = geom.Line{Dir: geom.Vec{Z: 1}}
)

// readSTL reads a mesh, or skips nothing: the file must be there.
func readSTL(t testing.TB, path string) *mesh.Mesh {
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	f, err := meshfile.Read(path, data, meshfile.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	return f.Objects[0].Mesh
}

// latchRod is the mechanism of testdata/parts/latch-rod. Its parts were made by
// another modeller; its exact answers stand beside the files.
func latchRod(t testing.TB) (*mechanism.Mechanism, []*mesh.Tree) {
	m := &mechanism.Mechanism{
		Parts: []mechanism.Part{
			{Name: "frame", Frame: true, Carrier: -1},
			{Name: "slider", Travels: []int{0}},
			{Name: "gate", Travels: []int{1}},
			{Name: "rod", Travels: []int{2}},
		},
		Travels: []mechanism.Travel{
			{Name: "slide", Part: 1, Axis: xAxis, Lo: 0, Hi: 20},
			{Name: "slide", Part: 2, Axis: zAxis, Lo: 0, Hi: 12},
			{Name: "slide", Part: 3, Axis: yAxis, Lo: 0, Hi: 30},
		},
		Start: []float64{0, 0, 0},
		Goal:  mechanism.Region{Bounds: []mechanism.Bound{{Travel: 2, Lo: 26, Hi: math.Inf(1)}}},
	}
	var trees []*mesh.Tree
	for _, p := range m.Parts {
		trees = append(trees, mesh.NewTree(readSTL(t, "../../testdata/parts/latch-rod/"+p.Name+".stl")))
	}
	return m, trees
}

// two is a mechanism of a frame and one part with the travels given.
func two(travels ...mechanism.Travel) *mechanism.Mechanism {
	m := &mechanism.Mechanism{
		Parts: []mechanism.Part{{Name: "frame", Frame: true, Carrier: -1}, {Name: "part"}},
	}
	for i, t := range travels {
		t.Part = 1
		m.Travels = append(m.Travels, t)
		m.Parts[1].Travels = append(m.Parts[1].Travels, i)
		m.Start = append(m.Start, 0)
	}
	return m
}

// block is the box from lo to hi.
func block(lo, hi geom.Vec) *mesh.Mesh {
	m := &mesh.Mesh{}
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

// tube is a prism of n sides about z from z0 to z1 with the apothem r1; with
// r0 > 0 a hole of apothem r0.
func tube(r0, r1, z0, z1 float64, n int) *mesh.Mesh {
	m := &mesh.Mesh{}
	ring := func(r, z float64) (first int32) {
		first = int32(len(m.V))
		for i := range n {
			s, c := math.Sincos(2 * math.Pi * (float64(i) + 0.5) / float64(n))
			r := r / math.Cos(math.Pi/float64(n))
			m.V = append(m.V, geom.Vec{X: r * c, Y: r * s, Z: z})
		}
		return first
	}
	quads := func(a, b int32) { // a to b, outside to the right of a's direction
		for i := range int32(n) {
			j := (i + 1) % int32(n)
			m.T = append(m.T, [3]int32{a + i, a + j, b + j}, [3]int32{a + i, b + j, b + i})
		}
	}
	ob, ot := ring(r1, z0), ring(r1, z1)
	quads(ob, ot)
	if r0 > 0 {
		ib, it := ring(r0, z0), ring(r0, z1)
		quads(it, ib)
		quads(ot, it)
		quads(ib, ob)
		return m
	}
	for i := int32(1); i+1 < int32(n); i++ {
		m.T = append(m.T, [3]int32{ob, ob + i + 1, ob + i}, [3]int32{ot, ot + i, ot + i + 1})
	}
	return m
}

func together(ms ...*mesh.Mesh) *mesh.Mesh {
	o := &mesh.Mesh{}
	for _, m := range ms {
		n := int32(len(o.V))
		o.V = append(o.V, m.V...)
		for _, t := range m.T {
			o.T = append(o.T, [3]int32{t[0] + n, t[1] + n, t[2] + n})
		}
	}
	return o
}

func trees(ms ...*mesh.Mesh) (out []*mesh.Tree) {
	for _, m := range ms {
		out = append(out, mesh.NewTree(m))
	}
	return out
}
