package mating

import (
	"math"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Depth is how far the inner part of a fit stands in its hollow one way out.
type Depth struct {
	Out geom.Vec // which way the inner part would leave, unit, outer part as drawn
	Far float64  // how far it must go until it is clear of the lower wall's edge, mm
}

const (
	// depthReach is how far from the middle of a fit walls are followed, mm.
	depthReach = 15.0
	// depthStep is the step of following them, mm.
	depthStep = 0.02
	// depthIn is how deep within a wall, and within the inner part, is looked, mm: less
	// than a line, more than what a facet or a round pin falls short.
	depthIn = 0.15
	// ownWay is the least share of a travel's motion along the way out at which the
	// parts are meant to leave that way.
	ownWay = 0.2
)

// Depths tells how deep the inner part stands between the walls of a slot, for both ways
// across the slot and along which the two do not slide; none where a wall goes on farther
// than 15 mm, where the fit is round, or where a travel leads out.
func (f *Fit) Depths(m *mechanism.Mechanism, outer, inner *mesh.Tree) []Depth {
	if f.Round || f.Across == (geom.Vec{}) {
		return nil
	}
	way := f.Axis.Dir
	if f.Turns {
		way = r3.Cross(f.Axis.Dir, r3.Sub(f.Middle, f.Axis.Point))
	}
	out := r3.Cross(way, f.Across)
	if r3.Norm(out) < 1e-6 {
		return nil
	}
	out = r3.Unit(out)
	var ds []Depth
	for _, o := range [2]geom.Vec{out, r3.Scale(-1, out)} {
		if f.leads(m, o) {
			continue
		}
		least := math.Inf(1)
		for _, side := range [2]float64{1, -1} {
			least = min(least, f.depth(outer, inner, o, r3.Scale(side, f.Across)))
		}
		if !math.IsInf(least, 1) {
			ds = append(ds, Depth{o, least})
		}
	}
	return ds
}

// depth is how far the inner part must go along o to be clear of the wall on one side:
// from its own end that lags to the wall's edge.
func (f *Fit) depth(outer, inner *mesh.Tree, o, side geom.Vec) float64 {
	wall := r3.Add(f.Middle, r3.Scale(f.Wide/2+depthIn, side))
	own := r3.Add(f.Middle, r3.Scale(f.Wide/2-f.Gap-depthIn, side))
	back := f.Relative.Inverse()
	if !outer.Inside(wall) || !inner.Inside(back.Apply(own)) {
		return math.Inf(1)
	}
	edge, ok := ends(outer, wall, o)
	if !ok {
		return math.Inf(1)
	}
	lags, ok := ends(inner, back.Apply(own), back.Turn(r3.Scale(-1, o)))
	if !ok {
		return math.Inf(1)
	}
	return edge + lags
}

// ends is how far along d the solid goes on from a point within it.
func ends(t *mesh.Tree, p, d geom.Vec) (float64, bool) {
	for s := 0.0; s < depthReach; {
		r, _, _ := t.Signed(r3.Add(p, r3.Scale(s, d)))
		if r >= 0 {
			return s, true
		}
		s += max(-r, depthStep) // nothing ends within r
	}
	return 0, false
}

// leads tells whether some travel moves the two along o at the fit.
func (f *Fit) leads(m *mechanism.Mechanism, o geom.Vec) bool {
	const h = 1e-4
	back := f.Relative.Inverse()
	x := back.Apply(f.Middle)
	q := append([]float64(nil), f.Config...)
	for _, j := range m.Between(f.Outer, f.Inner) {
		q[j.Travel] += h
		g := m.Pose(f.Outer, q).Inverse()
		r := m.Pose(f.Inner, q).Then(g)
		v := r3.Sub(r.Apply(x), f.Middle)
		q[j.Travel] -= h
		if l := r3.Norm(v); l > 0 && math.Abs(r3.Dot(v, o)) > ownWay*l {
			return true
		}
	}
	return false
}
