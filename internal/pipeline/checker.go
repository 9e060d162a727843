package pipeline

import (
	"context"
	"errors"
	"fmt"

	"feint/internal/mesh"
	"feint/internal/motion"
	"feint/internal/proof"
	"feint/internal/verdict"

	"golang.org/x/sync/errgroup"
)

// checking is the checker at work beside other stages.
type checking struct{ group errgroup.Group }

// check sets out to hand every answer to the checker and to note in ev what it says.
func check(ctx context.Context, out *Outcome, witnesses *witnessing, ev *verdict.Evidence, o Options) *checking {
	k := &checking{}
	if out.Result == nil {
		return k
	}
	c := &checker{ctx: ctx, out: out, result: out.Result, growth: o.Growth, said: said{ok: true}, witnesses: witnesses}
	k.group.Go(func() error {
		c.trees = treesOf(out.Bodies)
		if err := c.ways(o); err != nil {
			return err
		}
		if err := c.fewest(); err != nil {
			return err
		}
		noes, err := c.impossible(o)
		if err != nil {
			return err
		}
		limits, err := c.limits(o)
		if err != nil {
			return err
		}
		for _, s := range []*said{&c.said, noes, limits} {
			ev.Checks = append(ev.Checks, s.checks...)
			ev.Refused = append(ev.Refused, s.refused...)
		}
		// where the limits are known from one method alone, what is asked may be from two
		ev.Checked = c.ok && noes.ok && (limits.ok || !out.Result.TightByBind)
		if out.Hands != nil || len(limits.checks) > 0 {
			ev.Limits = &limits.ok
		}
		return nil
	})
	return k
}

func (k *checking) wait() error {
	if k == nil {
		return nil
	}
	return k.group.Wait()
}

// checker collects what the proof package says of one outcome.
type checker struct {
	ctx    context.Context
	out    *Outcome
	result *motion.Result
	trees  []*mesh.Tree
	growth [2]float64
	said

	witnesses *witnessing
}

// said is what the checker said of some answers.
type said struct {
	checks  []verdict.Check
	refused []string
	ok      bool
}

// note records one check. A refusal speaks against the answer; what could not be
// told only leaves it uncertified.
func (s *said) note(name, detail string, err error) error {
	switch {
	case err == nil:
		s.checks = append(s.checks, verdict.Check{Name: name, Agreed: true, Detail: detail})
	case errors.Is(err, proof.ErrRefused):
		s.ok = false
		s.checks = append(s.checks, verdict.Check{Name: name, Detail: err.Error()})
		s.refused = append(s.refused, name+": "+err.Error())
	case errors.Is(err, proof.ErrOpen):
		s.ok = false
		s.checks = append(s.checks, verdict.Check{Name: name, Detail: err.Error()})
	default:
		return fmt.Errorf("%s: %w", name, err)
	}
	return nil
}
