package pipeline

import (
	"context"
	"fmt"
	"slices"

	"feint/internal/export"
	"feint/internal/motion"
	"feint/internal/printable"
)

// playSteps is into how many parts the play of the chart is divided.
const playSteps = 8

// attitudes is of how many directions of gravity the sphere of attitudes is made: some
// seven degrees from one to the next.
const attitudes = 800

// Further asks of a finished proof what only its pictures need: the map of situations,
// and where the box works by growth and play. The maps are taken as they are, so that
// it costs little; what they leave open stays open. The context given to Prove must
// still hold. It is nil where nothing was searched.
func (out *Outcome) Further(ctx context.Context) (*export.Further, error) {
	if out.Result == nil || out.Document == nil {
		return nil, nil
	}
	if out.further != nil {
		return out.further, nil
	}
	f := &export.Further{}
	if err := out.ask(f); err != nil {
		return nil, err
	}
	const faces = 6 // first of load.Directions
	if len(out.named) >= faces {
		f.Attitudes = slices.Concat(out.named[:faces], out.even)
		f.Loose = out.loose
	}
	f.Walls = out.walls()
	out.further = f
	return f, nil
}

func (out *Outcome) ask(f *export.Further) (err error) {
	if h := out.Hands; h != nil {
		f.Unit, f.Trap = h.Unit, h.Trap.Exists.String()
		if f.Directed, err = h.Distances(); err != nil {
			return fmt.Errorf("situations: %w", err)
		}
		if f.Pushed, err = h.PlayChart(out.Result.Judge(), export.PlayGrowths(out.Document), motion.Shares(playSteps)); err != nil {
			return fmt.Errorf("growth against play: %w", err)
		}
		return nil
	}
	j := out.Result.Judge()
	if j == nil {
		return nil
	}
	if f.Distances, err = j.Distances(); err != nil {
		return fmt.Errorf("situations: %w", err)
	}
	if f.Play, err = j.PlayChart(export.PlayGrowths(out.Document), motion.Shares(playSteps)); err != nil {
		return fmt.Errorf("growth against play: %w", err)
	}
	return nil
}

// walls is by part the map of its walls; nil where nobody looked at how it prints.
func (out *Outcome) walls() [][]printable.WallPiece {
	s := out.Verdict.Evidence.Printing
	if s == nil {
		return nil
	}
	maps := make([][]printable.WallPiece, len(out.Bodies))
	for i := range out.Bodies {
		if b := &out.Bodies[i]; b.Sound() && i < len(s.Reports) && s.Reports[i] != nil {
			maps[i] = printable.WallMap(b.Mesh, b.Tree(), &s.Settings, 0)
		}
	}
	return maps
}
