package pipeline

import (
	"context"
	"fmt"
	"slices"

	"feint/internal/forces"
	"feint/internal/forces/load"
	"feint/internal/forces/survey"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/motion"
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
	if !o.Handling {
		s.Cocks = survey.Cocks(m, trees(bs))
	}
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
	growth := forces.Interval{Lo: o.Growth[0], Hi: o.Growth[1]}
	s.Keep(out.Mechanism, growth, out.Result.MayReach(o.Growth[0]))
	s.Follow(out.Mechanism, growth, strokesOn(out))
}

// strokesOn lists the strokes of the way.
func strokesOn(out *Outcome) []survey.Run {
	ends := moveEnds(out)
	var all []survey.Run
	add := func(move int, q []float64, s motion.Stroke) {
		all = append(all, survey.Run{Move: move, Travel: s.Travel, From: s.From, To: s.To, Before: slices.Clone(q)})
		q[s.Travel] = s.To
	}
	switch {
	case out.Hands != nil && out.Hands.Way != nil:
		for i := range out.Hands.Way.Moves {
			q := slices.Clone(ends[i])
			for _, s := range out.Hands.Way.Moves[i].Strokes {
				add(i+1, q, s.Stroke)
				for _, e := range s.Effects {
					q[e.Travel] = e.To
				}
			}
		}
	case out.Result.Way != nil:
		for i := range out.Result.Way.Moves {
			q := slices.Clone(ends[i])
			for _, s := range out.Result.Way.Moves[i].Strokes {
				add(i+1, q, s)
			}
		}
	}
	return all
}
