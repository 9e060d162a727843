package pipeline

import (
	"context"
	"errors"
	"fmt"

	"feint/internal/diagram"
	"feint/internal/motion"
	"feint/internal/play"
	"feint/internal/proof"
	"feint/internal/verdict"
)

// solve asks motion, unless pairs are missing: what cannot be examined must not
// read as clear, so the result is then empty and the verdict undecided.
// asked is as in motion.Options.
func solve(ctx context.Context, out *Outcome, ps []*pairMap, plays *playing, asked func(*motion.Result, bool) error, ev *verdict.Evidence, o Options) error {
	if len(ev.Skipped) > 0 || len(ev.Defects) > 0 {
		return nil
	}
	mo := motion.Options{Growth: o.Growth, Progress: o.progress, Asked: asked}
	mo.PlayLater = func() []motion.PlayOf { return playOf(plays.measured()) }
	if m := out.Mechanism; m.HandsOnly() {
		mo.Walks = func(moves []motion.Move, growth float64) (bool, error) {
			_, err := proof.Walk(ctx, m, treesOf(out.Bodies), growth, m.Start, strokes(&motion.Way{Moves: moves}), m.Goal)
			return err == nil, ctx.Err()
		}
	}
	r, err := motion.Solve(ctx, out.Mechanism, asPairMaps(ps), mo)
	if errors.Is(err, diagram.ErrLimit) {
		return fmt.Errorf("motion: this box has more situations than can be held (%w); let parts that turn about one axis carry each other (carried_by), leave out travels that do not matter, or give full turns limits", err)
	}
	if err != nil {
		return fmt.Errorf("motion: %w", err)
	}
	out.Result = r
	return nil
}

// playOf is play as motion takes it.
func playOf(plays []play.Play) []motion.PlayOf {
	var out []motion.PlayOf
	for i := range plays {
		p := motion.PlayOf{Part: plays[i].Part, Guides: plays[i].Guides, Sideways: plays[i].Most()}
		if len(p.Guides) > 1 {
			p.Guides = nil // its carrier alone does not hold it: what else stopped it may be what it slips past
		}
		out = append(out, p)
	}
	return out
}

// playTold is play as the findings take it.
func playTold(plays []play.Play) []verdict.Play {
	var out []verdict.Play
	for i := range plays {
		k := &plays[i]
		p := verdict.Play{
			Part: k.Part, Side: k.Sideways, Tip: k.Tip, Turn: k.Turn,
		}
		for _, e := range k.Pushes {
			if e.Open {
				p.SideOpen, p.Unheld = true, append(p.Unheld, e.Dir)
			}
		}
		for j := range k.Tilts {
			p.TipOpen = p.TipOpen || k.Tilts[j].Open
		}
		p.TurnOpen = k.Turn > 0 && k.Tilts[0].Open // the first is about its own slide
		out = append(out, p)
	}
	return out
}

// ways walks the solution as drawn, the one at the tight end and every shortcut
// with exact mesh distances.
func (c *checker) ways(o Options) error {
	r := c.result
	if h := c.out.Hands; h != nil && h.Alone {
		return c.directed(h, o)
	}
	type claim struct {
		name string
		way  *motion.Way
	}
	claims := []claim{{"the way, walked on the meshes as drawn", r.Way}}
	for i := range r.Steps {
		s := &r.Steps[i]
		claims = append(claims, claim{fmt.Sprintf("the shortcut past %q, walked on the meshes", c.out.Mechanism.Steps[s.Index].Name), s.Shortcut})
	}
	for i, k := range claims {
		o.progress("proof", i, len(claims))
		if err := c.walked(k.name, k.way, &c.said); err != nil {
			return err
		}
	}
	return nil
}

// walked walks a way, if there is one, and notes what comes of it.
func (c *checker) walked(name string, w *motion.Way, s *said) error {
	if w == nil {
		return nil
	}
	rep, err := proof.Walk(c.ctx, c.out.Mechanism, c.trees, w.Growth, c.out.Mechanism.Start, strokes(w), c.out.Mechanism.Goal)
	return s.note(name, fmt.Sprintf("%d strokes at growth %+.3f mm, %d stretches of pairs", rep.Strokes, w.Growth, rep.Intervals), err)
}

func strokes(w *motion.Way) []proof.Stroke {
	var out []proof.Stroke
	for i := range w.Moves {
		for _, s := range w.Moves[i].Strokes {
			out = append(out, proof.Stroke{Part: w.Moves[i].Part, Travel: s.Travel, From: s.From, To: s.To})
		}
	}
	return out
}
