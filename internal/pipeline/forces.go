package pipeline

import (
	"context"
	"fmt"

	"feint/internal/forces"
	"feint/internal/forces/load"
	"feint/internal/forces/survey"
	"feint/internal/mechanism"
	"feint/internal/mesh"
)

// surveyed goes over magnets, what breaks first and what may hurt; nil where a mesh
// is broken, since then nothing can be weighed.
func surveyed(ctx context.Context, m *mechanism.Mechanism, bs []Body, o Options) (*survey.Survey, error) {
	meshes := make([]*mesh.Mesh, len(bs))
	for i := range bs {
		if !bs[i].Sound() {
			return nil, nil
		}
		meshes[i] = bs[i].Mesh
	}
	box := load.NewBox(m, meshes)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	s, err := survey.Of(m, meshes, box, forces.Interval{Lo: o.Growth[0], Hi: o.Growth[1]})
	if err != nil {
		return nil, fmt.Errorf("forces: %w", err)
	}
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	s.Cocks = survey.Cocks(m, trees(bs))
	return s, nil
}

// trees are those of the bodies, nil for one that is not sound.
func trees(bs []Body) []*mesh.Tree {
	out := make([]*mesh.Tree, len(bs))
	for i := range bs {
		if bs[i].Sound() {
			out[i] = bs[i].Tree()
		}
	}
	return out
}

// reached leaves of the magnets' meetings those that can be reached at the loose end of
// the growths asked. s may be nil.
func reached(out *Outcome, s *survey.Survey, o Options) {
	if s == nil || len(s.Meetings) == 0 || out.Result == nil {
		return
	}
	s.Keep(out.Mechanism, forces.Interval{Lo: o.Growth[0], Hi: o.Growth[1]}, out.Result.MayReach(o.Growth[0]))
}
