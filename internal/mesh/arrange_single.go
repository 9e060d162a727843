package mesh

import (
	"fmt"
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// Resolve makes a clean mesh of one whose shells overlap or that crosses
// itself: the boundary of where its winding number is one or more. The mesh
// must be closed and finite, within Reach; errors are *NotSolid and
// *Unresolved.
func Resolve(m *Mesh, o Options) (*Mesh, error) {
	if _, bad := checkSolid(m, true); bad != nil {
		return nil, &NotSolid{Defect: *bad}
	}
	lists := m.Shells()
	shells, crosses := make([]*Mesh, len(lists)), make([]bool, len(lists))
	parallel(len(lists), o.count(), func(i int) {
		shells[i] = m.part(lists[i])
		crosses[i] = len(shells[i].rounded().SelfIntersections(1)) > 0
	})
	return resolve(shells, crosses, o, func(winding []int32) bool {
		sum := int32(0)
		for _, w := range winding {
			sum += w
		}
		return sum > 0
	})
}

// CutByPlane keeps of the solid m what lies on the side of the plane through
// p.Point that the normal p.Dir, a unit vector, points away from. The result
// is watertight. The plane goes through three points of the grid and strays
// by less than 2^-16 mm from the one asked for.
func CutByPlane(m *Mesh, p geom.Line, o Options) (*Mesh, error) {
	if len(m.T) == 0 {
		return nil, fmt.Errorf("cut: %w", errEmpty)
	}
	w, err := wedge(m.Bounds(), p)
	if err != nil {
		return nil, err
	}
	return Arrange([]*Mesh{m, w}, func(in []bool) bool { return in[0] && !in[1] }, o)
}

// wedge is a prism that stands on the plane and covers all of the box that
// lies beyond it. Its base is one triangle, so that the cut has one plane.
func wedge(b geom.Box, p geom.Line) (*Mesh, error) {
	mid := r3.Scale(0.5, r3.Add(b.Lo, b.Hi))
	r := r3.Norm(r3.Sub(b.Hi, mid)) + 1
	h := r3.Dot(p.Dir, r3.Sub(mid, p.Point))
	if h < -r { // the box lies on the side that is kept: stay clear of it
		h = -r
	}
	foot := r3.Sub(mid, r3.Scale(h, p.Dir))
	x := r3.Unit(r3.Cross(p.Dir, geom.LeastAxis(p.Dir)))
	y := r3.Cross(p.Dir, x)
	m := &Mesh{T: [][3]int32{{2, 1, 0}, {3, 4, 5}, {0, 1, 4}, {0, 4, 3}, {1, 2, 5}, {1, 5, 4}, {2, 0, 3}, {2, 3, 5}}}
	for layer := range 2 {
		up := r3.Scale(float64(layer)*(2*r+math.Abs(h)), p.Dir)
		for k := range 3 {
			// an equilateral triangle's inner circle has half its outer radius
			s, c := math.Sincos(2 * math.Pi / 3 * float64(k))
			q := r3.Add(foot, r3.Add(r3.Scale(2.2*r*c, x), r3.Scale(2.2*r*s, y)))
			q = r3.Add(q, up)
			if max(math.Abs(q.X), math.Abs(q.Y), math.Abs(q.Z)) > Reach {
				return nil, fmt.Errorf("cut: the plane at %s is too far out or the part too large for a grid of %d mm", at(p.Point), Reach)
			}
			m.V = append(m.V, q)
		}
	}
	return m, nil
}
