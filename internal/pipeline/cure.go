package pipeline

import (
	"cmp"
	"context"
	"math"
	"slices"
	"strconv"
	"strings"

	"feint/internal/mechanism"
	"feint/internal/verdict"
)

// curesKept is how many params are told of one finding at most.
const curesKept = 3

// curing looks for params by which findings go.
type curing struct {
	ctx    context.Context
	path   string
	o      Options
	out    *Outcome
	ps     []*pairMap
	ev     *verdict.Evidence
	whole  bool    // every part has a sound mesh
	left   float64 // of the budget, seconds
	short  bool    // it did not reach, for the finding at hand
	drafts map[draftKey]*draft
	before map[lookKey][]verdict.Finding
}

// cures tells of the findings which single param makes each of them go, and by how small
// a change, found by trying: the design is read with the param changed, what the rule
// needs is found anew, and the rule is asked again. That is done within a budget, counted
// by the size of what is looked at; with Options.Try without one, and for every rule,
// by whole proofs. The findings are changed in place.
func cures(ctx context.Context, path string, out *Outcome, ps []*pairMap, ev *verdict.Evidence, o Options) error {
	c := &curing{ctx: ctx, path: path, o: o, out: out, ps: ps, ev: ev, left: cureBudget, drafts: map[draftKey]*draft{}, before: map[lookKey][]verdict.Finding{}}
	if o.Try {
		c.left = math.Inf(1)
	}
	for i := range out.Verdict.Findings {
		f := &out.Verdict.Findings[i]
		f.Untried = !o.Try && len(out.Mechanism.Params) > 0 && f.Severity != verdict.Note && c.need(f) == needsProof && !c.remedied(f)
	}
	c.whole = !slices.ContainsFunc(out.Bodies, func(b Body) bool { return !b.Sound() })
	fs := out.Verdict.Findings
	for _, about := range inTurn() {
		var todo []int
		for i := range fs {
			if about(&fs[i]) && c.tryable(&fs[i]) {
				todo = append(todo, i)
			}
		}
		for n, i := range todo {
			if o.Try {
				o.progress("cures", i, len(fs))
			}
			rest := c.left
			c.left /= float64(len(todo) - n) // each its share, and what the others left
			share := c.left
			if err := c.cure(&fs[i]); err != nil {
				return err
			}
			if f := &fs[i]; c.need(f) == needsHandling && len(f.Cures) == 0 && !f.Tried {
				f.Untried = len(out.Mechanism.Params) > 0 // those that change a part were not tried
			}
			if f := &fs[i]; c.short && len(f.Cures) == 0 && f.Severity != verdict.Note {
				f.Untried = true
			}
			if !o.Try {
				c.left = rest - (share - c.left)
			}
			verdict.Cured(&fs[i])
		}
	}
	return nil
}

// inTurn is the order in which findings are tried: faults, then what is about the box, then
// the print.
func inTurn() []func(*verdict.Finding) bool {
	fault := func(f *verdict.Finding) bool { return f.Severity == verdict.Fault }
	return []func(*verdict.Finding) bool{
		fault,
		func(f *verdict.Finding) bool { return !fault(f) && !f.Print },
		func(f *verdict.Finding) bool { return !fault(f) && f.Print },
	}
}

// tryable tells whether params are tried on a finding.
func (c *curing) tryable(f *verdict.Finding) bool {
	n := c.need(f)
	switch {
	case c.o.Try && c.o.TryOnly != nil && !slices.Contains(c.o.TryOnly, f.Rule), !curable(f), n == needsNothing, n == needsProof && !c.o.Try, n != needsDesign && !c.whole,
		n == needsStart && c.out.Result == nil, f.Rule == "half-aligned" && c.remedied(f):
		return false
	}
	return true
}

// need is what the rule of a finding needs; where anything may be tried, a whole proof for
// what would else be asked of params alone that leave every part as it is.
func (c *curing) need(f *verdict.Finding) need {
	n := needOf(f)
	if n == needsHandling && c.o.Try {
		return needsProof
	}
	return n
}

// curable tells whether a finding says that something is beyond a limit.
func curable(f *verdict.Finding) bool {
	return f.Severity != verdict.Note || f.Unit != "" && f.Margin < 0
}

// cure tries every param on one finding: first those that its words name, each where its
// slope leads; then, of those that have none, the ends.
func (c *curing) cure(f *verdict.Finding) error {
	m := c.out.Mechanism
	f.Tried, c.short = len(m.Params) > 0, false
	var flat []*trying
	for _, k := range byName(m.Params, f.Change) {
		t := &trying{curing: c, f: f, need: c.need(f), p: &m.Params[k]}
		t.parts = concerned(m, c.out.Bodies, f, t.need, c.ev)
		t.seek = &seeker{p: t.p, was: sighting{known: f.Unit != "", margin: f.Margin}, look: t.look}
		if !t.governs(t.seek) {
			continue
		}
		found := t.seek.seek()
		if t.seek.flat {
			flat = append(flat, t)
			continue
		}
		if err := t.note(found); err != nil {
			return err
		}
	}
	for _, t := range flat {
		if err := t.note(t.seek.ends()); err != nil {
			return err
		}
	}
	f.Tried = f.Tried && !c.short
	slices.SortStableFunc(f.Cures, func(a, b verdict.Cure) int { return cmp.Compare(math.Abs(a.To-a.From), math.Abs(b.To-b.From)) })
	f.Cures = f.Cures[:min(curesKept, len(f.Cures))]
	return c.ctx.Err()
}

// note adds a cure that was found to the finding, if it spoils nothing.
func (t *trying) note(found bool) error {
	if err := t.ctx.Err(); err != nil {
		return err
	}
	f := t.f
	if !found {
		f.Tried = f.Tried && t.seek.all
		return nil
	}
	to := verdict.Cure{Param: t.p.Name, Unit: t.p.Unit, From: t.p.Value, To: t.seek.goes, Stays: t.seek.stays, Proved: t.need == needsProof}
	ok, err := t.confirm(&to)
	if err != nil {
		return err
	}
	if ok {
		f.Cures = append(f.Cures, to)
	} else {
		f.Tried = f.Tried && t.o.Try // else a proof may allow what looks barred
	}
	return nil
}

// byName lists the params, those that the words name first.
func byName(ps []mechanism.Param, words string) []int {
	var out, rest []int
	for k := range ps {
		if strings.Contains(words, strconv.Quote(ps[k].Name)) {
			out = append(out, k)
		} else {
			rest = append(rest, k)
		}
	}
	return append(out, rest...)
}

// remedied tells whether a change of a param is known by which the step of f holds.
func (c *curing) remedied(f *verdict.Finding) bool {
	return slices.ContainsFunc(c.ev.Remedies, func(r verdict.Remedy) bool { return c.out.Mechanism.Steps[r.Step].Name == f.Where.Step })
}

// trying is one param tried on one finding.
type trying struct {
	*curing
	f     *verdict.Finding
	need  need
	p     *mechanism.Param
	parts []int
	seek  *seeker
}

// governs tells whether anything that the finding hangs on changes with the param.
func (t *trying) governs(s *seeker) bool {
	if t.need == needsProof || t.need == needsDesign {
		return true
	}
	for _, sign := range []float64{1, -1} {
		v := s.within(s.grid(t.p.Value+sign*s.step(), sign))
		if v == t.p.Value {
			continue
		}
		if d := t.draft(t.p, v); d.m != nil {
			return d.differs(t.out.Mechanism, t.parts)
		}
	}
	return true
}

// look asks the rule of the finding again with the param at v.
func (t *trying) look(v float64) (sighting, bool) {
	d := t.draft(t.p, v)
	if d.m == nil || t.need == needsHandling && slices.Contains(d.drawn, false) {
		return sighting{}, false
	}
	was, ok := t.found()
	if !ok {
		return sighting{}, false
	}
	now, ok := t.told(d, t.need, t.f, t.parts)
	if !ok {
		return sighting{}, false
	}
	return compare(was, now, t.f), true
}

// found is what the rule finds of the design as it is, by the parts concerned alone; by all
// parts where it finds something else in these than in all.
func (t *trying) found() ([]verdict.Finding, bool) {
	was, ok := t.told(nil, t.need, t.f, t.parts)
	if !ok || slices.ContainsFunc(was, func(f verdict.Finding) bool { return same(&f, t.f) }) {
		return was, ok
	}
	if len(t.parts) == len(t.out.Bodies) || t.need == needsDesign {
		return nil, false
	}
	t.parts = nil
	for i := range t.out.Bodies {
		t.parts = append(t.parts, i)
	}
	return t.found()
}

// pay takes from the budget what something costs, if it reaches.
func (c *curing) pay(cost float64) bool {
	if cost > c.left {
		c.short = true
		return false
	}
	c.left -= cost
	return true
}

// compare finds what has become of f, which is among the findings was, in the findings now.
func compare(was, now []verdict.Finding, f *verdict.Finding) sighting {
	from, to := pairUp(was, now)
	s := sighting{gone: true}
	for i := range was {
		if !same(&was[i], f) || from[i] < 0 {
			continue
		}
		g := &now[from[i]]
		s.gone = false
		s.known, s.margin = g.Unit == f.Unit && f.Unit != "", g.Margin
	}
	for i := range now {
		switch k := to[i]; {
		case k < 0:
			s.harm = s.harm || now[i].Severity != verdict.Note
		case now[i].Severity == verdict.Fault && was[k].Severity != verdict.Fault:
			s.harm = true
		}
	}
	return s
}

// same tells whether two findings of one list are one.
func same(a, b *verdict.Finding) bool {
	return alike(a, b) && a.Margin == b.Margin && farOf(a, b) == 0
}

// alike tells whether two findings are about the same thing, as far as a param leaves it.
func alike(a, b *verdict.Finding) bool {
	return a.Rule == b.Rule && a.Of == b.Of && a.Where.Step == b.Where.Step && (single(a.Rule) || slices.Equal(a.Where.Parts, b.Where.Parts))
}

// single tells whether a rule finds one thing of a whole design, whatever parts it names of
// it: they may be others when a param is.
func single(rule string) bool {
	switch rule {
	case "way-blocked", "narrow-window", "no-assembly", "tilt-open", "shake-open", "spin-open", "knock-open":
		return true
	}
	return false
}

// farOf is the distance of the places of two findings, mm; 0 where one has none.
func farOf(a, b *verdict.Finding) float64 {
	p, q := a.Where.At, b.Where.At
	if p == nil || q == nil {
		return 0
	}
	return math.Hypot(math.Hypot(p.X-q.X, p.Y-q.Y), p.Z-q.Z)
}

// pairUp finds for every finding the one that is about the same thing in the other list,
// -1 if none: of several, first those nearest to each other.
func pairUp(was, now []verdict.Finding) (from, to []int) {
	type couple struct {
		i, k int
		d    float64
	}
	var all []couple
	from, to = make([]int, len(was)), make([]int, len(now))
	for i := range from {
		from[i] = -1
	}
	for k := range to {
		to[k] = -1
		for i := range was {
			if alike(&was[i], &now[k]) {
				all = append(all, couple{i, k, farOf(&was[i], &now[k])})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b couple) int { return cmp.Compare(a.d, b.d) })
	for _, c := range all {
		if from[c.i] < 0 && to[c.k] < 0 {
			from[c.i], to[c.k] = c.k, c.i
		}
	}
	return from, to
}
