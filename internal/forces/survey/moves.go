package survey

import (
	"math"
	"slices"

	"feint/internal/forces"
	"feint/internal/forces/load"
	"feint/internal/forces/screw"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Screw is a helix at the start, with its load of weight and what the design says that
// holds it.
type Screw struct {
	Part, Travel int
	Mean         float64         // diameter on which it rubs, mm
	Collar       float64         // diameter on which its thrust rubs, mm; 0 for none
	Angle        float64         // its lead angle there, radians
	Holds        forces.Interval // lead angle that friction holds, by the least and the most friction, radians
	Lead         forces.Interval // lead that it holds, mm a turn
	Tilt         forces.Interval // from the attitude at the start until it runs by itself, radians; infinite for never
}

// screws lists the helices whose thread is known.
func (s *Survey) screws(m *mechanism.Mechanism, box *load.Box) {
	for t := range m.Travels {
		v := &m.Travels[t]
		if v.Kind != mechanism.Helix || box.Guide[t].Radius == 0 {
			continue
		}
		one := box.Hanging(t, m.Start)
		th := screw.Thread{Mean: 2 * one.Guide.Radius, Lead: math.Abs(v.Lead), Flank: one.Guide.Flank, Collar: 2 * one.Guide.Collar}
		k := Screw{Part: v.Part, Travel: t, Mean: th.Mean, Collar: th.Collar, Angle: th.LeadAngle()}
		k.Holds = one.Friction.Map(func(mu float64) float64 { return th.Steepest(mu, mu) })
		k.Lead = k.Holds.Map(func(a float64) float64 { return math.Pi * th.Mean * math.Tan(a) })
		f := one.Under(load.Load{Kind: load.Tilt, Down: r3.Scale(-1, m.Ups()[0])})
		k.Tilt = forces.Exact(math.Inf(1))
		if m.Start[t] < v.Hi {
			k.Tilt = sooner(k.Tilt, f.Forward.Margin)
		}
		if m.Start[t] > v.Lo {
			k.Tilt = sooner(k.Tilt, f.Backward.Margin)
		}
		s.Screws = append(s.Screws, k)
	}
}

// sooner is the earlier of two tilts; one that runs already needs none.
func sooner(a, b forces.Interval) forces.Interval {
	b = b.Positive()
	return forces.Interval{Lo: min(a.Lo, b.Lo), Hi: min(a.Hi, b.Hi)}
}

// Fall is a slide that is to fall by its weight.
type Fall struct {
	Part, Travel int
	Offered      [2]float64 // the steepest that the attitudes allowed make it, forwards and backwards, radians from level
	At           []Station  // where its way ends and where it starts, by rising value
	Leaves       bool       // it is meant to come out of the box
}

// Station is what is known of a slide at one place of its way.
type Station struct {
	Value  float64
	Guide  load.Guide
	Beside float64            // how far its middle of mass lies beside the middle of the guide, mm
	Slope  [2]forces.Interval // at which it runs forwards and backwards; zero where it can go no farther
}

// falls measures the slides that fall.
func (s *Survey) falls(m *mechanism.Mechanism, box *load.Box, meshes []*mesh.Mesh) {
	var trees []*mesh.Tree
	out := comesOut(m)
	for t := range m.Travels {
		v := &m.Travels[t]
		if v.Moved != mechanism.ByGravity || v.Kind != mechanism.Slide || meshes[v.Part] == nil {
			continue
		}
		if trees == nil {
			trees = treesOf(meshes)
		}
		f := Fall{Part: v.Part, Travel: t, Leaves: out[v.Part], Offered: offered(m, v.Axis.Dir)}
		stops := []float64{v.Lo, m.Start[t], v.Hi}
		slices.Sort(stops)
		for _, at := range slices.Compact(stops) {
			if !math.IsInf(at, 0) {
				f.At = append(f.At, station(m, box, trees, t, at))
			}
		}
		s.Falls = append(s.Falls, f)
	}
}

func treesOf(meshes []*mesh.Mesh) []*mesh.Tree {
	trees := make([]*mesh.Tree, len(meshes))
	for i := range meshes {
		if meshes[i] != nil && len(meshes[i].T) > 0 {
			trees[i] = mesh.NewTree(meshes[i])
		}
	}
	return trees
}

func station(m *mechanism.Mechanism, box *load.Box, trees []*mesh.Tree, t int, at float64) Station {
	v := &m.Travels[t]
	q := slices.Clone(m.Start)
	q[t] = at
	one := box.Hanging(t, q)
	one.Guide = box.GuideAt(trees, t, q)
	k := Station{Value: at, Guide: one.Guide}
	_, k.Beside = one.Aside()
	if at < v.Hi {
		k.Slope[0] = one.Slope(true)
	}
	if at > v.Lo {
		k.Slope[1] = one.Slope(false)
	}
	return k
}

// offered is the steepest that the attitudes make a slide, either way. It is taken to lie
// as drawn, whatever turns its carrier.
func offered(m *mechanism.Mechanism, axis geom.Vec) (out [2]float64) {
	for _, up := range m.Ups() {
		a := math.Asin(max(-1, min(1, r3.Dot(axis, up))))
		out[0], out[1] = max(out[0], -a), max(out[1], a)
	}
	return out
}
