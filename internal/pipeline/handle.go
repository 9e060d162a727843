package pipeline

import (
	"context"
	"fmt"
	"math"
	"slices"

	"feint/internal/forces"
	"feint/internal/forces/load"
	"feint/internal/forces/survey"
	"feint/internal/hands"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// inHands makes the case that package hands asks about.
func inHands(out *Outcome, ps []*pairMap) *hands.Case {
	m := out.Mechanism
	meshes := bodyMeshes(out)
	return &hands.Case{Mechanism: m, Maps: asPairMaps(ps), Box: out.weighed(), Radius: radii(m, meshes)}
}

func bodyMeshes(out *Outcome) []*mesh.Mesh {
	meshes := make([]*mesh.Mesh, len(out.Bodies))
	for i := range out.Bodies {
		meshes[i] = out.Bodies[i].Mesh
	}
	return meshes
}

// radii is by travel how far from its axis it carries a point of its part, or of
// what the part carries, at the start.
func radii(m *mechanism.Mechanism, meshes []*mesh.Mesh) []float64 {
	out := make([]float64, len(m.Travels))
	for t := range m.Travels {
		tr := &m.Travels[t]
		for p := range m.Parts {
			if !rides(m, p, tr.Part) || meshes[p] == nil {
				continue
			}
			g := m.Pose(p, m.Start)
			for _, v := range meshes[p].V {
				d := r3.Sub(g.Apply(v), tr.Axis.Point)
				d = r3.Sub(d, r3.Scale(r3.Dot(d, tr.Axis.Dir), tr.Axis.Dir))
				if r := r3.Norm(d); r > out[t] && !math.IsNaN(r) {
					out[t] = r
				}
			}
		}
	}
	return out
}

// rides tells whether part p is part on, or is carried by it.
func rides(m *mechanism.Mechanism, p, on int) bool {
	for ; p >= 0; p = m.Parts[p].Carrier {
		if p == on {
			return true
		}
	}
	return false
}

// directed asks the directed law of motion where the design has travels that are
// not the hand's, and lets its answers take the place of those for hands that
// reach everything.
func directed(ctx context.Context, out *Outcome, ps []*pairMap, o Options) error {
	if out.Result == nil || out.Mechanism.HandsOnly() {
		return nil
	}
	l := newLeader(out)
	out.leader = l
	r, err := hands.Solve(ctx, inHands(out, ps), o.Growth, hands.Options{
		Bound: out.Result, Begin: func(w *hands.Way) { l.begin(ctx, w, -1) }, Exists: l.exists(ctx), Closed: l.closed(ctx, ps), Fewest: l.fewest(ctx, ps),
		Trapped: l.trapped(ctx, ps), Returned: l.returned(ctx, ps), Progress: o.progress,
	})
	if err != nil {
		return fmt.Errorf("hands: %w", err)
	}
	r.Pushers = hands.Pushers(out.Mechanism, radii(out.Mechanism, bodyMeshes(out)), gaps(out, ps), out.Result)
	out.Hands = r
	out.Result = r.Over(out.Result)
	return nil
}

// handled asks how the box stands being tilted, shaken, spun and knocked.
func handled(ctx context.Context, out *Outcome, ps []*pairMap, o Options) error {
	if out.Result == nil {
		return nil
	}
	out.loose = o.Growth[0]
	c := inHands(out, ps)
	if err := drawn(c, o); err != nil {
		return err
	}
	rows, err := hands.Handling(ctx, c, out.loose, hands.Options{Progress: o.progress, Shakes: o.Shakes})
	if err != nil {
		return fmt.Errorf("handling: %w", err)
	}
	out.Handling = rows
	named := load.Directions()
	as, err := hands.Attitudes(ctx, c, out.loose, append(named, load.Sphere(attitudes)...), hands.Options{})
	if err != nil {
		return fmt.Errorf("attitudes: %w", err)
	}
	out.named, out.even = as[:len(named)], as[len(named):]
	return nil
}

// drawn adds what magnets do to the travels at the start.
func drawn(c *hands.Case, o Options) error {
	m := c.Mechanism
	cs, err := survey.Courses(m, forces.Interval{Lo: o.Growth[0], Hi: o.Growth[1]})
	if err != nil {
		return fmt.Errorf("magnets: %w", err)
	}
	if len(cs) == 0 {
		return nil
	}
	c.Pulls = make([]hands.Pull, len(m.Travels))
	for i := range cs {
		k := &cs[i]
		c.Pulls[k.Travel] = hands.Pull{
			Push: k.Push(),
			Hold: [2]forces.Interval{k.Hold(m, true), k.Hold(m, false)},
			Part: [2]forces.Interval{k.Part(true), k.Part(false)},
		}
	}
	return nil
}

// assembled takes the order in which the parts go in that was found out of the start,
// or, if that jams, looks further, also out of what is on the way.
func assembled(ctx context.Context, out *Outcome, a *hands.Assembly, o Options) error {
	if out.Result == nil || a == nil {
		return nil
	}
	if len(a.Stuck) > 0 {
		o.progress("assembly", 0, 0)
		var err error
		if a, err = assembly(ctx, out, moveEnds(out), true, o); err != nil {
			return err
		}
	}
	out.Assembly = a
	return nil
}

// moveEnds lists the configurations at the start and after every move of the way.
func moveEnds(out *Outcome) [][]float64 {
	q := slices.Clone(out.Mechanism.Start)
	all := [][]float64{slices.Clone(q)}
	switch {
	case out.Hands != nil && out.Hands.Way != nil:
		for i := range out.Hands.Way.Moves {
			copy(q, out.Hands.Way.Moves[i].After)
			all = append(all, slices.Clone(q))
		}
	case out.Result.Way != nil:
		for i := range out.Result.Way.Moves {
			for _, s := range out.Result.Way.Moves[i].Strokes {
				q[s.Travel] = s.To
			}
			all = append(all, slices.Clone(q))
		}
	}
	return all
}
