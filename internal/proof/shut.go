package proof

import (
	"context"
	"errors"
	"fmt"

	"feint/internal/mechanism"
	"feint/internal/mesh"
)

// Shut checks that at a growth, mm, there is no way at all since the design's start itself
// is not free: that there two parts that a travel parts are nearer than they must be
// (mechanism.Needs), by more than slack. The report names them. trees[i] is the mesh of
// part i as drawn.
//
// nil means that this is shown. Otherwise the error is ErrRefused, ErrOpen, or that of ctx.
func Shut(ctx context.Context, m *mechanism.Mechanism, trees []*mesh.Tree, growth float64) (*WalkReport, error) {
	r, err := Walk(ctx, m, trees, growth, m.Start, nil, mechanism.Region{})
	switch {
	case err == nil:
		return r, fmt.Errorf("%w: the start is free at growth %+.6f mm", ErrRefused, growth)
	case errors.Is(err, ErrRefused) && r.A >= 0:
		return r, nil
	}
	return r, err
}
