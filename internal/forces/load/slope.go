package load

import (
	"math"

	"feint/internal/forces"
	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Slope is how steep a slide must lie for the weight to take it one way, radians from
// level, forwards if rising: the least at which it may run and that at which it surely
// does; infinite where even upright it does not. Without springs and holds, and with its
// middle of mass within its guide, that is the angle of friction.
func (t *Travel) Slope(rising bool) forces.Interval {
	way := backward
	if rising {
		way = forward
	}
	along := r3.Scale(float64(way), t.Axis.Dir)
	across, _ := geom.Across(t.Axis.Dir)
	at := func(slope float64) forces.Interval {
		s := t.under(r3.Scale(forces.Gravity, turnTo(across, along, slope)), 0, way, t.Friction)
		return s.net()
	}
	least := func(ok func(forces.Interval) bool) float64 {
		if ok(at(0)) {
			return 0
		}
		if !ok(at(math.Pi / 2)) {
			return math.Inf(1)
		}
		return halve(0, math.Pi/2, fine, func(a float64) bool { return ok(at(a)) })
	}
	return forces.Hull(
		least(func(n forces.Interval) bool { return n.Hi > 0 }),
		least(func(n forces.Interval) bool { return n.Lo > 0 }))
}

// Aside is where the middle of mass lies seen from the middle of the guide: along the axis
// and beside it, mm; 0 where the guide is not known.
func (t *Travel) Aside() (along, beside float64) {
	if t.Guide.Length <= 0 {
		return 0, 0
	}
	d := r3.Sub(t.Mass.Centre, t.Guide.Middle)
	along = r3.Dot(d, t.Axis.Dir)
	return along, r3.Norm(r3.Sub(d, r3.Scale(along, t.Axis.Dir)))
}

// GuideAt measures the guide of travel t at configuration q, as NewBox does at the start.
// trees[i] is that of part i as drawn, nil for one without a mesh.
func (b *Box) GuideAt(trees []*mesh.Tree, t int, q []float64) Guide {
	v := &b.Mechanism.Travels[t]
	return guide(v.Kind, b.axis(t, q), contact(b.Mechanism, trees, v.Part, q))
}

// spread is how far points reach across an axis.
type spread struct {
	x, y   geom.Vec
	lo, hi [2]float64
}

func newSpread(axis geom.Vec) *spread {
	x, y := geom.Across(axis)
	inf := math.Inf(1)
	return &spread{x: x, y: y, lo: [2]float64{inf, inf}, hi: [2]float64{-inf, -inf}}
}

func (s *spread) add(p geom.Vec) {
	for i, v := range [2]float64{r3.Dot(p, s.x), r3.Dot(p, s.y)} {
		s.lo[i], s.hi[i] = min(s.lo[i], v), max(s.hi[i], v)
	}
}

// width is the larger of the two extents, 0 of no point.
func (s *spread) width() float64 { return max(0, s.hi[0]-s.lo[0], s.hi[1]-s.lo[1]) }
