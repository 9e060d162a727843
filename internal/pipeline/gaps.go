package pipeline

import (
	"math"

	"feint/internal/forces/load"
	"feint/internal/geom"
	"feint/internal/hands"
	"feint/internal/mesh"
)

// gaps asks for single clearances: the meshes where parts are apart, and where they may
// overlap by a press fit the maps.
func gaps(out *Outcome, ps []*pairMap) hands.Clearance {
	m := out.Mechanism
	by := map[[2]int]*pairMap{}
	for _, p := range ps {
		a, b := p.Parts()
		by[[2]int{min(a, b), max(a, b)}] = p
	}
	return func(a, b int, q []float64) (float64, bool) {
		p := by[[2]int{min(a, b), max(a, b)}]
		if p == nil {
			return 0, false
		}
		if m.Needs(a, b, 0) < 0 {
			lower, upper, err := p.At(q)
			return (lower + upper) / 2, err == nil
		}
		return apart(out.Bodies[a].Tree(), out.Bodies[b].Tree(), m.Pose(a, q).Then(m.Pose(b, q).Inverse())), true
	}
}

// apart is the distance of t, moved by g, to u, or -1 where they overlap.
func apart(t, u *mesh.Tree, g geom.Motion) float64 {
	d, _, _ := t.Distance(u, g, math.Inf(1))
	if d <= 0 || holdsShell(t, u, g) || holdsShell(u, t, g.Inverse()) {
		return -1
	}
	return d
}

// holdsShell tells whether a shell of t, which meets u nowhere, lies within it.
func holdsShell(t, u *mesh.Tree, g geom.Motion) bool {
	seen := map[int]bool{}
	for i, tri := range t.Triangles() {
		if s := t.Shell(i); !seen[s] {
			seen[s] = true
			if d, _, _ := u.Signed(g.Apply(tri[0])); d < 0 {
				return true
			}
		}
	}
	return false
}

// weighed is the box with its bodies weighed and its guides measured, once.
func (out *Outcome) weighed() *load.Box {
	if out.box == nil {
		out.box = load.NewBox(out.Mechanism, bodyMeshes(out))
	}
	return out.box
}
