package clearance

import (
	"errors"
	"math"
	"sync"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
)

// builder puts meshes together; equal points become one vertex.
type builder struct {
	m  mesh.Mesh
	at map[[3]int64]int32
}

func newBuilder() *builder { return &builder{at: map[[3]int64]int32{}} }

func (b *builder) vertex(p geom.Vec) int32 {
	k := [3]int64{int64(math.Round(p.X * 1e7)), int64(math.Round(p.Y * 1e7)), int64(math.Round(p.Z * 1e7))}
	i, ok := b.at[k]
	if !ok {
		i = int32(len(b.m.V))
		b.at[k] = i
		b.m.V = append(b.m.V, p)
	}
	return i
}

func (b *builder) tri(p, q, r geom.Vec) {
	t := [3]int32{b.vertex(p), b.vertex(q), b.vertex(r)}
	if t[0] != t[1] && t[1] != t[2] && t[0] != t[2] {
		b.m.T = append(b.m.T, t)
	}
}

func (b *builder) quad(p, q, r, s geom.Vec) {
	b.tri(p, q, r)
	b.tri(p, r, s)
}

// join appends the shells of other meshes to the first.
func join(ms ...*mesh.Mesh) *mesh.Mesh {
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

func v(x, y, z float64) geom.Vec { return geom.Vec{X: x, Y: y, Z: z} }

// block is an axis-aligned box.
func block(x0, x1, y0, y1, z0, z1 float64) *mesh.Mesh {
	b := newBuilder()
	p := func(i, j, k int) geom.Vec {
		return v([]float64{x0, x1}[i], []float64{y0, y1}[j], []float64{z0, z1}[k])
	}
	b.quad(p(0, 0, 0), p(0, 1, 0), p(1, 1, 0), p(1, 0, 0))
	b.quad(p(0, 0, 1), p(1, 0, 1), p(1, 1, 1), p(0, 1, 1))
	b.quad(p(0, 0, 0), p(1, 0, 0), p(1, 0, 1), p(0, 0, 1))
	b.quad(p(0, 1, 0), p(0, 1, 1), p(1, 1, 1), p(1, 1, 0))
	b.quad(p(0, 0, 0), p(0, 0, 1), p(0, 1, 1), p(0, 1, 0))
	b.quad(p(1, 0, 0), p(1, 1, 0), p(1, 1, 1), p(1, 0, 1))
	return &b.m
}

// prism extrudes a convex polygon (counter-clockwise in x, y) from z0 to z1.
func prism(poly [][2]float64, z0, z1 float64) *mesh.Mesh {
	b := newBuilder()
	n := len(poly)
	p := func(i int, z float64) geom.Vec { return v(poly[i%n][0], poly[i%n][1], z) }
	for i := range poly {
		b.quad(p(i, z0), p(i+1, z0), p(i+1, z1), p(i, z1))
		if i > 0 && i < n-1 {
			b.tri(p(0, z1), p(i, z1), p(i+1, z1))
			b.tri(p(0, z0), p(i+1, z0), p(i, z0))
		}
	}
	return &b.m
}

// ngon is a regular polygon of circumradius r, its first corner at angle a.
func ngon(n int, r, a float64) [][2]float64 {
	var o [][2]float64
	for i := range n {
		s, c := math.Sincos(a + 2*math.Pi*float64(i)/float64(n))
		o = append(o, [2]float64{r * c, r * s})
	}
	return o
}

// tube is the prism over an n-gon of circumradius ro with a coaxial hole of
// circumradius ri.
func tube(n int, ri, ro, z0, z1 float64) *mesh.Mesh {
	b := newBuilder()
	p := func(r float64, i int, z float64) geom.Vec {
		s, c := math.Sincos(2 * math.Pi * float64(i%n) / float64(n))
		return v(r*c, r*s, z)
	}
	for i := range n {
		b.quad(p(ro, i, z0), p(ro, i+1, z0), p(ro, i+1, z1), p(ro, i, z1))
		b.quad(p(ri, i, z0), p(ri, i, z1), p(ri, i+1, z1), p(ri, i+1, z0))
		b.quad(p(ri, i, z1), p(ro, i, z1), p(ro, i+1, z1), p(ri, i+1, z1))
		b.quad(p(ri, i, z0), p(ri, i+1, z0), p(ro, i+1, z0), p(ro, i, z0))
	}
	return &b.m
}

// slide and fullTurn are travels for pairing.
func slide(dir geom.Vec, lo, hi float64) mechanism.Travel {
	return mechanism.Travel{Kind: mechanism.Slide, Axis: geom.Line{Dir: dir}, Lo: lo, Hi: hi}
}

func fullTurn(l geom.Line) mechanism.Travel {
	return mechanism.Travel{Kind: mechanism.Turn, Axis: l, Lo: 0, Hi: 2 * math.Pi, Full: true}
}

var zAxis = geom.Line{Dir: geom.Vec{Z: 1}}

// pairing is a mechanism of a frame (part 0) and two parts that it carries, 1 and
// 2, with the given travels.
func pairing(of1, of2 []mechanism.Travel) *mechanism.Mechanism {
	m := &mechanism.Mechanism{Parts: []mechanism.Part{
		{Name: "frame", Frame: true, Carrier: -1}, {Name: "one", Carrier: 0}, {Name: "two", Carrier: 0},
	}}
	for p, ts := range [][]mechanism.Travel{nil, of1, of2} {
		for _, t := range ts {
			t.Part = p
			m.Parts[p].Travels = append(m.Parts[p].Travels, len(m.Travels))
			m.Travels = append(m.Travels, t)
		}
	}
	return m
}

// mapOf is the map of part 1, of mesh a, relative to part 2, of mesh b.
func mapOf(t testing.TB, mech *mechanism.Mechanism, a, b *mesh.Mesh) *Map {
	t.Helper()
	var x, y *Body
	var errX, errY error
	var wg sync.WaitGroup
	wg.Go(func() { x, errX = NewBody(a) })
	y, errY = NewBody(b)
	wg.Wait()
	if err := errors.Join(errX, errY); err != nil {
		t.Fatal(err)
	}
	m, err := New(mech, 1, 2, x, y)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func body(t testing.TB, m *mesh.Mesh) *Body {
	t.Helper()
	b, err := NewBody(m)
	if err != nil {
		t.Fatal(err)
	}
	return b
}
