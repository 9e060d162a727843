package load

import (
	"math"
	"testing"

	"feint/internal/forces"
	"feint/internal/forces/mass"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
)

// Closed forms: on a slope a body slides from the angle of friction on (mu = tan(angle)); a
// slide that hangs e beside a guide of length L slides down a wall only where 2 mu e/L < 1,
// and then from tan(slope) = mu/(1 - 2 mu e/L) on; a detent of force f adds to the balance
// m g (sin a - mu cos a) = f.
func TestSlopeToRun(t *testing.T) {
	near := func(what string, got, want float64) {
		t.Helper()
		if math.IsInf(want, 1) != math.IsInf(got, 1) || math.Abs(got-want) > 1e-5 {
			t.Errorf("%s: %g, want %g", what, got, want)
		}
	}
	one := Travel{
		Kind: mechanism.Slide, Axis: geom.Line{Dir: geom.Vec{Z: 1}}, Friction: forces.Interval{Lo: 0.12, Hi: 0.38},
		Mass: mass.Properties{Mass: 0.01, Centre: geom.Vec{X: 5, Z: 10}},
	}
	for _, rising := range []bool{true, false} {
		s := one.Slope(rising)
		near("free, may", s.Lo, math.Atan(0.12))
		near("free, surely", s.Hi, math.Atan(0.38))
	}
	one.Guide = Guide{Length: 10, Middle: geom.Vec{Z: 10}} // e = 5: 2 mu e/L = mu
	s := one.Slope(true)
	near("beside its guide, may", s.Lo, math.Atan(0.12))
	near("beside its guide, surely", s.Hi, math.Atan(0.38/(1-0.38)))
	if along, beside := one.Aside(); along != 0 || beside != 5 {
		t.Errorf("aside %g, %g", along, beside)
	}
	one.Guide.Length = 3.7 // 2 mu e/L = 1.03 at the most
	near("it cocks", one.Slope(false).Hi, math.Inf(1))
	one.Guide, one.Friction = Guide{}, forces.Exact(0.3)
	one.Hold = forces.Exact(0.01 * forces.Gravity * (0.8 - 0.3*0.6)) // a slope of 3, 4, 5
	near("in a detent", one.Slope(true).Lo, math.Asin(0.8))
}

// A part that is drawn half out of its guide has half the guide left, as wide as it was.
func TestGuideAt(t *testing.T) {
	m, meshes := sleeve()
	b := NewBox(m, meshes)
	trees := make([]*mesh.Tree, len(meshes))
	for i := range meshes {
		trees[i] = mesh.NewTree(meshes[i])
	}
	g := b.GuideAt(trees, 0, m.Start)
	if g != b.Guide[0] || g.Width <= 0 {
		t.Errorf("%+v, want %+v", g, b.Guide[0])
	}
	q := append([]float64(nil), m.Start...)
	q[0] = 25 // from -10 to 15 of a sleeve from 0 to 30
	out := b.GuideAt(trees, 0, q)
	if math.Abs(out.Length-g.Length/2) > 3 /* a piece is up to 3 mm long */ || math.Abs(out.Width-g.Width) > 0.5 {
		t.Errorf("half out: %+v of %+v", out, g)
	}
}
