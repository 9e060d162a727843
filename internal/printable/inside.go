package printable

import (
	"math"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Gaps finds, in a part of several bodies that do not touch, the least distance
// between any two of them: parts that are printed in place. Hollows are no bodies.
func Gaps(part int, p Piece) []Inside {
	var trees []*mesh.Tree
	for _, s := range p.Mesh.Shells() {
		m := &mesh.Mesh{V: p.Mesh.V}
		for _, i := range s {
			m.T = append(m.T, p.Mesh.T[i])
		}
		if m.Volume() > 0 {
			trees = append(trees, mesh.NewTree(m))
		}
	}
	var out []Inside
	for i := range trees {
		best := Inside{Part: part, Gap: math.Inf(1)}
		for k := i + 1; k < len(trees); k++ {
			d, a, b := trees[i].Distance(trees[k], geom.Identity(), best.Gap)
			if d > 0 && d < best.Gap {
				along := p.Up.Turn(r3.Unit(r3.Sub(b, a)))
				best.Gap, best.Up = d, math.Abs(along.Z) > math.Sqrt2/2
			}
		}
		if !math.IsInf(best.Gap, 1) {
			out = append(out, best)
		}
	}
	return out
}
