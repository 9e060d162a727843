package pipeline

import (
	"fmt"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/verdict"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/spatial/r3"
)

// clashes lists the pairs that overlap at the start, as drawn, by more than a
// declared press fit allows.
func clashes(m *mechanism.Mechanism, bs []Body, ps []*pairMap, o Options) ([]verdict.Overlap, error) {
	over := make([]float64, len(ps))
	var g errgroup.Group
	g.SetLimit(o.workers())
	for i, p := range ps {
		g.Go(func() error {
			a, b := p.Parts()
			_, upper, err := p.At(m.Start)
			if err != nil {
				return fmt.Errorf("%s and %s at the start: %w", m.Parts[a].Name, m.Parts[b].Name, err)
			}
			over[i] = m.Needs(a, b, 0) - upper
			return nil
		})
	}
	if err := g.Wait(); err != nil {
		return nil, err
	}
	var out []verdict.Overlap
	for i, p := range ps {
		if a, b := p.Parts(); over[i] > 0 {
			out = append(out, verdict.Overlap{A: a, B: b, Depth: over[i], At: deepest(m, bs, a, b)})
		}
	}
	return out, nil
}

// deepest is about where two parts overlap most at the start, in the assembly: of the
// corners and middles of their faces the one deepest within the other, or else a place
// where their surfaces cross.
func deepest(m *mechanism.Mechanism, bs []Body, a, b int) geom.Vec {
	most, at := 0.0, geom.Vec{}
	for _, k := range [2][2]int{{a, b}, {b, a}} {
		own, other := &bs[k[0]], &bs[k[1]]
		pose := m.Pose(k[0], m.Start)
		seen := pose.Then(m.Pose(k[1], m.Start).Inverse())
		look := func(p geom.Vec) {
			if d, _, _ := other.Tree().Signed(seen.Apply(p)); d < most {
				most, at = d, pose.Apply(p)
			}
		}
		for _, p := range own.Mesh.V {
			look(p)
		}
		for i := range own.Mesh.T {
			t := own.Mesh.Triangle(i)
			look(r3.Scale(1.0/3, r3.Add(t[0], r3.Add(t[1], t[2]))))
		}
	}
	if most == 0 {
		pose := m.Pose(b, m.Start)
		_, _, p := bs[a].Tree().Distance(bs[b].Tree(), m.Pose(a, m.Start).Then(pose.Inverse()), touching)
		at = pose.Apply(p)
	}
	return at
}
