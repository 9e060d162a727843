package pipeline

import (
	"context"

	"feint/internal/export"
	"feint/internal/mechanism"
	"feint/internal/motion"
)

// Onward is the way to the goal from a configuration.
type Onward struct {
	Opens motion.Answer
	There motion.Answer // whether the goal is met already
	Way   *motion.Way   // nil if none was found
	Moves []export.MoveInfo
}

// Onward asks motion for a shortest way to the goal from q at a growth, no step
// asked for.
func (l *Live) Onward(ctx context.Context, q []float64, growth float64) (*Onward, error) {
	if err := l.Check(q, 0); err != nil {
		return nil, err
	}
	m := l.from(q)
	ps, skipped, err := maps(ctx, m, l.Bodies, recall(m, l.Bodies, l.opts), l.opts)
	if err != nil {
		return nil, err
	}
	if len(skipped) > 0 {
		return &Onward{}, nil
	}
	near := [2]float64{min(growth, 0), max(growth, 0)}
	o := motion.Options{
		Growth: near, Search: [2]float64{near[0] - 0.011, near[1] + 0.011}, Resolution: 0.05, Progress: l.opts.progress,
	}
	r, err := motion.Solve(ctx, m, asPairMaps(ps), o)
	if err != nil {
		return nil, err
	}
	keep(ps, l.opts)
	return &Onward{
		Opens: r.Drawn.Opens, There: r.Drawn.Goal, Way: r.Way,
		Moves: export.MoveInfos(export.ReportInput{Mechanism: m}, r.Way),
	}, nil
}

// from is the mechanism with another start and no steps.
func (l *Live) from(q []float64) *mechanism.Mechanism {
	m := *l.Mechanism
	m.Start = append([]float64(nil), q...)
	m.Steps = nil
	return &m
}
