package play

import (
	"math"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
)

// block is a box mesh.
func block(x0, x1, y0, y1, z0, z1 float64) *mesh.Mesh {
	m := &mesh.Mesh{}
	for i := range 8 {
		p := geom.Vec{X: x0, Y: y0, Z: z0}
		if i&1 > 0 {
			p.X = x1
		}
		if i&2 > 0 {
			p.Y = y1
		}
		if i&4 > 0 {
			p.Z = z1
		}
		m.V = append(m.V, p)
	}
	for _, q := range [][4]int32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		m.T = append(m.T, [3]int32{q[0], q[1], q[2]}, [3]int32{q[0], q[2], q[3]})
	}
	return m
}

func joined(ms ...*mesh.Mesh) *mesh.Mesh {
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

// measured is the play of parts by their meshes.
func measured(m *mechanism.Mechanism, meshes []*mesh.Mesh) []Play {
	trees := make([]*mesh.Tree, len(meshes))
	for i, k := range meshes {
		if k != nil {
			trees[i] = mesh.NewTree(k)
		}
	}
	return Measure(m, trees)
}

// channel is a square tube of the given half width inside, walls 5 thick,
// between x = -half and half.
func channel(inner, half float64) *mesh.Mesh {
	o := inner + 5
	return joined(
		block(-half, half, -o, -inner, -o, o), block(-half, half, inner, o, -o, o),
		block(-half, half, -inner, inner, -o, -inner), block(-half, half, -inner, inner, inner, o))
}

// slider is a bar of half width 4 and half length long in a channel.
func slider() *mechanism.Mechanism {
	return &mechanism.Mechanism{
		Parts: []mechanism.Part{
			{Name: "case", Frame: true, Carrier: -1},
			{Name: "bar", Carrier: 0, Travels: []int{0}},
		},
		Travels: []mechanism.Travel{{Name: "slide", Part: 1, Axis: geom.Line{Dir: geom.Vec{X: 1}}, Lo: -5, Hi: 5}},
		Start:   []float64{0},
	}
}

// A bar with gap s on every side of a square channel goes s towards a wall and
// s sqrt(2) into a corner, and, as long as its guide L, tips by the angle a at
// which its diagonal fills the channel: with h the half height, L the length,
// L sin a + 2 h cos a = 2 (h + s). Closed form.
func TestBarInChannel(t *testing.T) {
	const h, s, half = 4.0, 0.25, 20.0
	p := measured(slider(), []*mesh.Mesh{channel(h+s, 100), block(-half, half, -h, h, -h, h)})
	if len(p) != 1 || p[0].Part != 1 || p[0].Unguided || p[0].Immovable {
		t.Fatalf("%+v", p)
	}
	if want := s * math.Sqrt2; math.Abs(p[0].Sideways-want) > 2*Touch {
		t.Errorf("sideways %.4f, want %.4f", p[0].Sideways, want)
	}
	lo, hi := 0.0, 0.1
	for range 60 {
		if a := (lo + hi) / 2; 2*half*math.Sin(a)+2*h*math.Cos(a) < 2*(h+s) {
			lo = a
		} else {
			hi = a
		}
	}
	// the roll about its own length is larger: a square in a square turns until
	// h (cos a + sin a) = h + s.
	roll := math.Asin((h+s)/(h*math.Sqrt2)) - math.Pi/4
	if want := max(lo, roll); math.Abs(p[0].Tip-want) > 2e-3 {
		t.Errorf("tip %.5f, want %.5f (pitch %.5f, roll %.5f)", p[0].Tip, want, lo, roll)
	}
}

// Growth of the gap by d grows every push by d: doubling the gap must show.
func TestWiderGapMorePlay(t *testing.T) {
	last := 0.0
	for _, s := range []float64{0.1, 0.2, 0.3, 0.5} {
		p := measured(slider(), []*mesh.Mesh{channel(4+s, 100), block(-20, 20, -4, 4, -4, 4)})
		if p[0].Sideways <= last || p[0].Most() < p[0].Sideways {
			t.Errorf("gap %g: %+v", s, p[0])
		}
		last = p[0].Sideways
	}
}

func TestOverlapIsNotMeasured(t *testing.T) {
	p := measured(slider(), []*mesh.Mesh{channel(3.9, 100), block(-20, 20, -4, 4, -4, 4)})
	if !p[0].Immovable {
		t.Errorf("%+v", p[0])
	}
}

// A bar beside its carrier but not held by it leans on the other parts.
func TestGuidedByOthers(t *testing.T) {
	m := slider()
	m.Parts = append(m.Parts, mechanism.Part{Name: "rail", Carrier: 0})
	p := measured(m, []*mesh.Mesh{block(-5, 5, 90, 100, 0, 1), block(-20, 20, -4, 4, -4, 4), channel(4.3, 100)})
	if p[0].Unguided || len(p[0].Guides) != 2 || math.Abs(p[0].Sideways-0.3*math.Sqrt2) > 2*Touch {
		t.Errorf("%+v", p[0])
	}
}
