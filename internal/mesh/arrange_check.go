package mesh

import (
	"errors"
	"math"

	"feint/internal/geom"
)

// errEmpty says that a mesh has no triangles where a solid is needed.
var errEmpty = errors.New("the mesh has no triangles")

// checkSolids confirms that every mesh bounds a solid and tells which of them
// cross themselves on the grid.
func checkSolids(solids []*Mesh, workers int) (crosses []bool, err error) {
	crosses = make([]bool, len(solids))
	bad := make([]*Defect, len(solids))
	parallel(len(solids), workers, func(i int) {
		crosses[i], bad[i] = checkSolid(solids[i], false)
	})
	for i, d := range bad {
		if d != nil {
			return nil, &NotSolid{Solid: i, Defect: *d}
		}
	}
	return crosses, nil
}

// checkSolid finds the first harmful defect of m. A mesh that crosses itself
// is passed if loose is set, or if only rounding made it cross, or if only its
// shells overlap.
func checkSolid(m *Mesh, loose bool) (crosses bool, bad *Defect) {
	c := checker{m: m}
	if c.values(); len(c.out) > 0 {
		return false, &c.out[0]
	}
	for i, t := range m.T {
		for _, v := range t {
			p := m.V[v]
			if max(math.Abs(p.X), math.Abs(p.Y), math.Abs(p.Z)) > Reach {
				return false, &Defect{Kind: TooFar, At: p, Triangles: []int32{int32(i)}}
			}
		}
	}
	if !m.closed() {
		c.topology()
		return false, firstHarmful(c.out)
	}
	if m.Volume() <= 0 && len(m.T) > 0 {
		c.facing(m.Shells())
		if d := firstHarmful(c.out); d != nil {
			return false, d
		}
	}
	if len(m.rounded().SelfIntersections(1)) == 0 {
		return false, nil
	}
	if !loose {
		c.crossings(m.shellOf(m.Shells()))
	}
	return true, firstHarmful(c.out)
}

func firstHarmful(l []Defect) *Defect {
	for i := range l {
		if !l[i].Harmless {
			return &l[i]
		}
	}
	return nil
}

// rounded is m with its vertices on the grid.
func (m *Mesh) rounded() *Mesh {
	o := &Mesh{V: make([]geom.Vec, len(m.V)), T: m.T}
	for i, v := range m.V {
		o.V[i] = fromGrid(toGrid(v))
	}
	return o
}

// shellOf is the number of the shell of every triangle.
func (m *Mesh) shellOf(shells [][]int32) []int32 {
	of := make([]int32, len(m.T))
	for s, list := range shells {
		for _, i := range list {
			of[i] = int32(s)
		}
	}
	return of
}
