package magnet

import (
	"fmt"
	"math"

	"feint/internal/forces"
	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// Pull is one magnet's hold on a lid: where, and how hard along the lid's normal, N.
type Pull struct {
	At    geom.Vec
	Force forces.Interval
}

// Total is the straight pull of all, N.
func Total(ps []Pull) forces.Interval {
	var sum forces.Interval
	for _, p := range ps {
		sum = sum.Add(p.Force)
	}
	return sum
}

// Peel is the force along the lid's normal at the place hand that begins to tip the lid
// about the edge, N: the moments of the pulls, and of the weight w (N, acting at c
// against the hand; 0 for none), over the hand's lever. A hand on the edge has no lever.
func Peel(ps []Pull, w float64, c geom.Vec, edge geom.Line, hand geom.Vec) (forces.Interval, error) {
	lever := func(p geom.Vec) float64 {
		d := r3.Sub(p, edge.Point)
		return r3.Norm(r3.Sub(d, r3.Scale(r3.Dot(d, edge.Dir), edge.Dir)))
	}
	at := lever(hand)
	if at < 1e-9 {
		return forces.Interval{}, fmt.Errorf("a force at (%g, %g, %g) mm lies on the edge about which the lid tips: it has no lever", hand.X, hand.Y, hand.Z)
	}
	m := forces.Exact(w * lever(c))
	for _, p := range ps {
		m = m.Add(p.Force.Scale(lever(p.At)))
	}
	return m.Scale(1 / at), nil
}

// Kept is how many g of shaking along its normal a lid of mass kg stands before it
// leaves its magnets, if its own weight pulls with them (negative: against them) by
// weight times its mass and standard gravity.
func Kept(ps []Pull, mass, weight float64) forces.Interval {
	return Total(ps).Scale(1 / (mass * forces.Gravity)).Add(forces.Exact(weight))
}

// Need is how many magnets, each pulling as given, keep a lid of mass kg at a shaking of
// g times gravity with its weight against them, with factor times that force in hand.
// The number holds for the weakest pull of the interval. It is 0 and false if the pull
// may be nothing.
func Need(each forces.Interval, mass, g, factor float64) (int, bool) {
	if !(each.Lo > 0) {
		return 0, false
	}
	return int(math.Ceil(mass * forces.Gravity * (g + 1) * factor / each.Lo)), true
}

// Size is a size of magnet that a maker can buy, mm.
type Size struct{ D, L float64 }

// Choice is how many pairs of one size keep a lid.
type Choice struct {
	Size
	Each  forces.Interval // pull of one pair, N
	Count int
}

// Choices tells for each size of the grade how many pairs at the gap keep a lid of mass kg
// at a shaking of g with factor in hand, in the order given. Sizes that may not pull at
// all are left out.
func Choices(sizes []Size, br, gap forces.Interval, mass, g, factor float64) ([]Choice, error) {
	var out []Choice
	for _, s := range sizes {
		c := &Cylinder{D: s.D, L: s.L, Br: br}
		each, _, err := Pair(c, c, gap, forces.Exact(0))
		if err != nil {
			return nil, err
		}
		if n, ok := Need(each, mass, g, factor); ok {
			out = append(out, Choice{s, each, n})
		}
	}
	return out, nil
}
