package pipeline

import (
	"context"
	"fmt"

	"feint/internal/forces/survey"
	"feint/internal/hands"
	"feint/internal/printable"

	"golang.org/x/sync/errgroup"
)

// aside is what hangs on the meshes alone, found while the maps are asked.
type aside struct {
	group    *errgroup.Group
	survey   *survey.Survey
	assembly *hands.Assembly // out of the start; nil where a mesh is broken
	printing *printable.Survey
}

// begin sets out on it. The error of wait is the first that was met.
func begin(ctx context.Context, out *Outcome, o Options) *aside {
	a := &aside{}
	a.group, ctx = errgroup.WithContext(ctx)
	a.group.Go(func() (err error) {
		a.survey, err = surveyed(out.Mechanism, out.Bodies, o)
		return err
	})
	a.group.Go(func() (err error) {
		a.printing, err = printing(ctx, out.Mechanism, out.Bodies, o, o.print())
		return err
	})
	for i := range out.Bodies {
		if !out.Bodies[i].Sound() {
			return a
		}
	}
	a.group.Go(func() (err error) {
		a.assembly, err = hands.Assemble(ctx, out.Mechanism, bodyMeshes(out), out.Mechanism.Start)
		if err != nil {
			return fmt.Errorf("assembly: %w", err)
		}
		return nil
	})
	return a
}

func (a *aside) wait() error {
	if a == nil {
		return nil
	}
	return a.group.Wait()
}
