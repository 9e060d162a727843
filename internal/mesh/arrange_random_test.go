package mesh

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"feint/internal/geom"
)

// scene is a handful of random blocks and rods, and which of them are cut
// away from the others' union.
type scene struct {
	solids []*Mesh
	cut    int
}

func (s *scene) inside(in []bool) bool {
	o := false
	for i, b := range in {
		if s.cut>>i&1 == 0 {
			o = o || b
		} else {
			o = o && !b
		}
	}
	return o
}

// randomScene makes scenes of four kinds: blocks and rods on whole mm along
// the axes, turned by multiples of 15 degrees, nearly coincident, and free.
func randomScene(seed uint64, kind string) *scene {
	r := rand.New(rand.NewPCG(seed, 7))
	whole := func(n int) float64 { return float64(r.IntN(n)) }
	s := &scene{}
	for range 3 + r.IntN(5) {
		g := geom.Identity()
		off := geom.Vec{X: whole(8), Y: whole(8), Z: whole(8)}
		p := geom.Rotation(geom.Line{Dir: geom.Vec{X: 1 / math.Sqrt(3), Y: 1 / math.Sqrt(3), Z: 1 / math.Sqrt(3)}}, 2*math.Pi/3*whole(3))
		switch kind {
		case "lattice":
			g = p.Then(geom.Translation(off))
		case "turned":
			g = geom.Rotation(axisZ(), math.Pi/12*whole(24)).Then(geom.Rotation(axisX(), math.Pi/12*whole(24))).Then(geom.Translation(off))
		case "close":
			off = geom.Vec{X: off.X + whole(3)*1e-4, Y: off.Y + whole(3)*2e-5, Z: off.Z + whole(3)*1e-3}
			g = geom.Rotation(axisZ(), whole(3)*1e-5).Then(p).Then(geom.Translation(off))
		case "free":
			g = randomMotion(r, 4)
		}
		var m *Mesh
		if r.IntN(3) < 2 {
			m = block(0, 0, 0, 1+whole(8), 1+whole(8), 1+whole(8))
		} else {
			m = prism(polygon(1+whole(4), 24), 0, 1+whole(8))
		}
		s.solids = append(s.solids, m.Moved(g))
	}
	s.cut = r.IntN(1 << len(s.solids))
	return s
}

// TestRandomScenes: every result is sound, and the volumes of a union, of the
// common part and of the solids obey inclusion and exclusion, which no
// arrangement can satisfy by accident.
func TestRandomScenes(t *testing.T) {
	const each = 60
	for _, kind := range []string{"lattice", "turned", "close", "free"} {
		t.Run(kind, func(t *testing.T) {
			t.Parallel()
			for seed := range uint64(each) {
				s := randomScene(seed, kind)
				name := fmt.Sprint(kind, " ", seed)
				arranged(t, name, s.inside, s.solids...)
				a, b := s.solids[0], s.solids[1]
				both := arranged(t, name, any1, a, b).Volume() + arranged(t, name, all1, a, b).Volume()
				// rounding moves the surface by less than a unit of the grid
				near(t, name+" inclusion", both, a.Volume()+b.Volume(), 1e-6+(a.Area()+b.Area())/Units/(a.Volume()+b.Volume()))
				cut := arranged(t, name, firstOnly, a, b).Volume() + arranged(t, name, all1, a, b).Volume()
				near(t, name+" cut", cut, a.Volume(), 1e-6+(a.Area()+b.Area())/Units/a.Volume())
			}
		})
	}
}

// TestSampledMembership asks for random points whether they belong to the
// result, and compares with the expression over the solids, each decided by
// the closed form of a block or a prism in its own coordinates.
func TestSampledMembership(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	for seed := range uint64(40) {
		var solids []*Mesh
		var inverse []geom.Motion
		var size []geom.Vec
		for range 4 {
			d := geom.Vec{X: 1 + 5*r.Float64(), Y: 1 + 5*r.Float64(), Z: 1 + 5*r.Float64()}
			g := randomMotion(r, 3)
			solids = append(solids, block(0, 0, 0, d.X, d.Y, d.Z).Moved(g))
			inverse, size = append(inverse, g.Inverse()), append(size, d)
		}
		s := scene{solids: solids, cut: int(seed % 16)}
		m := arranged(t, fmt.Sprint("membership ", seed), s.inside, solids...)
		tree := NewTree(m)
		for range 400 {
			p := randomVec(r, 7)
			in, sure := make([]bool, 4), true
			for i := range in {
				d := boxSigned(geom.Vec{}, size[i], inverse[i].Apply(p))
				in[i] = d < 0
				sure = sure && math.Abs(d) > 1e-4
			}
			if want := s.inside(in); sure && len(m.T) > 0 && tree.Inside(p) != want {
				t.Fatalf("scene %d: point %v: inside %v, want %v", seed, p, !want, want)
			}
		}
	}
}
