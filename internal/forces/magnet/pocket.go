package magnet

import (
	"math"

	"feint/internal/forces"
)

// Pocket is how a magnet sits in its part.
type Pocket struct {
	Depth  float64         // of the pocket from the mating surface, mm; 0 with Roof
	Roof   float64         // plastic left between magnet and mating surface, mm; 0 for an open pocket
	Loose  float64         // how far the magnet may lie from the face it should touch: glue, room, mm
	Layers forces.Interval // how far a printed height may be off, mm; added to Depth or Roof
}

// Under is how far the magnet's face lies below the mating surface, mm; negative stands
// proud. Growth, per surface, thickens a roof on both sides; an open pocket's floor and
// its mating surface rise alike, so growth does not matter there.
func (p Pocket) Under(magnet *Cylinder, growth forces.Interval) forces.Interval {
	if p.Roof > 0 {
		return forces.Interval{Lo: p.Roof, Hi: p.Roof + p.Loose}.Add(growth.Scale(2)).Add(p.Layers)
	}
	d := p.Depth - magnet.L
	return forces.Interval{Lo: d - p.Loose, Hi: d}.Add(p.Layers)
}

// Gap is the distance of two magnets' faces whose mating surfaces are drawn air apart,
// mm. Two printed surfaces come closer by both their growths; what then would overlap
// touches.
func Gap(under, other forces.Interval, air float64, growth forces.Interval) forces.Interval {
	open := forces.Exact(air).Sub(growth.Scale(2)).Positive()
	return under.Add(other).Add(open).Positive()
}

// Curve is the pull at each of the openings, mm, added to a gap: what a hand feels while
// it lifts a lid straight off.
func Curve(a, b *Cylinder, gap, offset forces.Interval, openings []float64) ([]forces.Interval, error) {
	out := make([]forces.Interval, len(openings))
	for i, o := range openings {
		f, _, err := Pair(a, b, gap.Add(forces.Exact(o)), offset)
		if err != nil {
			return nil, err
		}
		out[i] = f
	}
	return out, nil
}

// Work is the energy, mJ, that it takes to draw a pair apart from the gap to the
// opening beyond it, by the trapezium rule over the curve, whose convexity makes the
// rule err upwards; halving its step shows by how much, and the lower end takes off
// twice that.
func Work(a, b *Cylinder, gap forces.Interval, opening float64) (forces.Interval, error) {
	const n = 32
	at := make([]float64, n+1)
	for i := range at {
		s := float64(i) / n
		at[i] = opening * s * s // closer where the force is steep
	}
	f, err := Curve(a, b, gap, forces.Exact(0), at)
	if err != nil {
		return forces.Interval{}, err
	}
	sum := func(end func(forces.Interval) float64, step int) float64 {
		w := 0.0
		for i := step; i <= n; i += step {
			w += (at[i] - at[i-step]) * (end(f[i]) + end(f[i-step])) / 2
		}
		return w
	}
	lo, hi := func(i forces.Interval) float64 { return i.Lo }, func(i forces.Interval) float64 { return i.Hi }
	off := 2 * math.Abs(sum(lo, 2)-sum(lo, 1))
	return forces.Interval{Lo: sum(lo, 1) - off, Hi: sum(hi, 1)}, nil
}
