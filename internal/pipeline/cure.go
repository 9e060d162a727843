package pipeline

import (
	"cmp"
	"context"
	"math"
	"slices"

	"feint/internal/forces/survey"
	"feint/internal/mechanism"
	"feint/internal/verdict"
	"feint/internal/verdict/rules/cocking"
	"feint/internal/verdict/rules/stack"
)

// measure is what a rule measures and found short, and how to measure it again.
type measure struct {
	rule, of string
	margin   float64 // as it is, negative
	parts    []int   // on whose bodies it hangs; none: on the design alone
	again    func(m *mechanism.Mechanism, bs []Body) (float64, bool)
}

const (
	// cureTries bounds how often the slope of a measure over a param is followed.
	cureTries = 4
	// cureOver is by how much a margin may lie above 0 for its param to count as the
	// least change, of what it was short by.
	cureOver = 0.5
	// cureRounding is what a margin of 0 may come out as, in any unit.
	cureRounding = 1e-9
)

// cures looks for single params by which what rules found short would hold, the
// smallest change first. Each is tried: the design is read with the param changed, the
// parts concerned are built, and the measure is taken again.
func cures(ctx context.Context, path string, out *Outcome, ms []measure, o Options) ([]verdict.Cure, error) {
	var found []verdict.Cure
	for i := range ms {
		var own []verdict.Cure
		for k := range out.Mechanism.Params {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			w := &workbench{ctx: ctx, path: path, out: out, o: o, param: &out.Mechanism.Params[k]}
			if to, ok := w.cure(&ms[i]); ok {
				p := w.param
				own = append(own, verdict.Cure{Rule: ms[i].rule, Of: ms[i].of, Param: p.Name, Unit: p.Unit, From: p.Value, To: to})
			}
		}
		slices.SortStableFunc(own, func(a, b verdict.Cure) int { return cmp.Compare(math.Abs(a.To-a.From), math.Abs(b.To-b.From)) })
		found = append(found, own...)
	}
	return found, nil
}

// cure looks for the value of the param at which the margin is just not negative: by
// the slope of a small step, then by that of the steps so found.
func (w *workbench) cure(k *measure) (float64, bool) {
	steps := steps(w.param)
	if len(steps) == 0 {
		return 0, false
	}
	to := steps[len(steps)-1]
	for range cureTries {
		m, bs, ok := w.with(to, k.parts...)
		if !ok || len(k.parts) > 0 && !slices.ContainsFunc(k.parts, func(p int) bool { return bs[p].Hash != w.out.Bodies[p].Hash }) {
			return 0, false
		}
		margin, ok := k.again(m, bs)
		switch {
		case !ok:
			return 0, false
		case margin >= -cureRounding && margin <= -cureOver*k.margin:
			return to, true
		}
		slope := (margin - k.margin) / (to - w.param.Value)
		if math.Abs(slope) < 1e-6 {
			return 0, false
		}
		// a hundredth as a maker writes it, on the far side
		next := w.param.Value - k.margin/slope
		next = math.Round(1e4*next) / 1e4
		if slope > 0 {
			next = math.Ceil(100*next-1e-6) / 100
		} else {
			next = math.Floor(100*next+1e-6) / 100
		}
		if next == to || next == w.param.Value || next < w.param.Min || next > w.param.Max {
			return 0, false
		}
		to = next
	}
	return 0, false
}

// short lists what the rules that can be cured by trying found short.
func short(out *Outcome, ev *verdict.Evidence) []measure {
	ms := shortChains(out.Mechanism)
	if ev.Forces != nil {
		ms = append(ms, shortGuides(out.Mechanism, ev.Forces.Cocks)...)
	}
	return ms
}

func shortChains(m *mechanism.Mechanism) []measure {
	var ms []measure
	for i := range m.Chains {
		c := &m.Chains[i]
		margin, err := stack.Margin(c)
		if err != nil || margin >= -cureRounding {
			continue
		}
		ms = append(ms, measure{rule: stack.Name, of: c.Name, margin: margin, again: func(m *mechanism.Mechanism, _ []Body) (float64, bool) {
			for k := range m.Chains {
				if m.Chains[k].Name == c.Name {
					margin, err := stack.Margin(&m.Chains[k])
					return margin, err == nil
				}
			}
			return 0, false
		}})
	}
	return ms
}

func shortGuides(m *mechanism.Mechanism, cs []survey.Cock) []measure {
	var ms []measure
	for i := range cs {
		t := cs[i].Travel
		ms = append(ms, measure{
			rule: cocking.Name, of: cocking.Of(m, t), margin: cocking.Margin(&cs[i]), parts: []int{cs[i].Part, m.Parts[cs[i].Part].Carrier},
			again: func(m *mechanism.Mechanism, bs []Body) (float64, bool) {
				c, ok := survey.CockOf(m, trees(bs), t)
				return cocking.Margin(&c), ok
			},
		})
	}
	return ms
}
