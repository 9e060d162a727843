package pipeline

import (
	"slices"

	"feint/internal/clearance"
	"feint/internal/verdict"
)

// confirm looks whether a change that cures a finding spoils the box: whether two parts
// on the way, and at the start, lose the room that they need at the tight end, or, where
// anything may be tried, whether the proof finds anything worse. False if it does, or if
// that cannot be told within the budget.
func (t *trying) confirm(to *verdict.Cure) (bool, error) {
	d := t.draft(t.p, to.To)
	if !t.o.Try {
		return t.roomy(d), t.ctx.Err()
	}
	was, _ := t.proved(nil)
	now, ok := t.proved(d)
	if !ok {
		return false, t.ctx.Err()
	}
	s := compare(was, now, t.f)
	to.Proved = true
	return s.gone && !s.harm, nil
}

// proved is what the whole proof finds of a draft, or of the design as it is.
func (t *trying) proved(d *draft) ([]verdict.Finding, bool) {
	if d == nil {
		return t.out.Verdict.Findings, true
	}
	if d.proved == nil && !d.failed {
		out, err := Prove(t.ctx, t.path, d.o)
		if err != nil {
			d.failed = true
			return nil, false
		}
		d.proved = append([]verdict.Finding{}, out.Verdict.Findings...)
		if t.out.Verdict.Kind == verdict.Works && out.Verdict.Kind != verdict.Works {
			d.proved = append(d.proved, verdict.Finding{Rule: "verdict", Severity: verdict.Fault})
		}
	}
	return d.proved, d.proved != nil
}

// roomy tells whether every pair of parts of which one is drawn otherwise keeps the room
// that it has at the start and at the ends of the strokes of the way, or as much as the
// tight end needs.
func (t *trying) roomy(d *draft) bool {
	if d.clear != nil {
		return *d.clear
	}
	var changed []int
	for i := range d.drawn {
		if !d.drawn[i] {
			changed = append(changed, i)
		}
	}
	if !t.build(d, changed) {
		return false
	}
	ok := t.stillFree(d, changed)
	if !t.short {
		d.clear = &ok
	}
	return ok
}

// stillFree looks at the room of the changed parts.
func (t *trying) stillFree(d *draft, changed []int) bool {
	was := &draft{m: t.out.Mechanism, bodies: t.out.Bodies}
	before, after := was.wayOf(t.out), d.wayOf(t.out)
	tight := t.o.Growth[1]
	for a := range d.m.Parts {
		for b := a + 1; b < len(d.m.Parts); b++ {
			if !slices.Contains(changed, a) && !slices.Contains(changed, b) {
				continue
			}
			if !t.pay(clearanceCost * float64(2*len(after))) {
				return false
			}
			now, ok := d.rooms(a, b, after)
			if !ok {
				return false
			}
			need := d.m.Needs(a, b, tight)
			if !slices.ContainsFunc(now, func(v float64) bool { return v < need }) {
				continue
			}
			old, ok := was.rooms(a, b, before)
			if !ok {
				return false
			}
			for i := range now {
				if now[i] < need && now[i] < old[i]-roomRounding {
					return false
				}
			}
		}
	}
	return true
}

// roomRounding is by how much two measurements of one room may differ, mm.
const roomRounding = 1e-3

// wayOf lists the configurations at the start and after every stroke of the way, within
// the limits of the draft's travels.
func (d *draft) wayOf(out *Outcome) [][]float64 {
	q := slices.Clone(d.m.Start)
	all := [][]float64{slices.Clone(q)}
	set := func(t int, v float64) {
		k := &d.m.Travels[t]
		if q[t] = v; !k.Full {
			q[t] = max(k.Lo, min(k.Hi, v))
		}
	}
	switch {
	case out.Hands != nil && out.Hands.Way != nil:
		for i := range out.Hands.Way.Moves {
			for t, v := range out.Hands.Way.Moves[i].After {
				set(t, v)
			}
			all = append(all, slices.Clone(q))
		}
	case out.Result != nil && out.Result.Way != nil:
		for i := range out.Result.Way.Moves {
			for _, s := range out.Result.Way.Moves[i].Strokes {
				set(s.Travel, s.To)
				all = append(all, slices.Clone(q))
			}
		}
	}
	return all
}

// rooms is the clearance of two parts in configurations.
func (d *draft) rooms(a, b int, qs [][]float64) ([]float64, bool) {
	if !d.bodies[a].Sound() || !d.bodies[b].Sound() {
		return nil, false
	}
	x, err := d.bodies[a].Clearance()
	if err != nil {
		return nil, false
	}
	y, err := d.bodies[b].Clearance()
	if err != nil {
		return nil, false
	}
	c, err := clearance.New(d.m, a, b, x, y)
	if err != nil {
		return nil, false
	}
	out := make([]float64, len(qs))
	for i, q := range qs {
		if _, out[i], err = c.At(q); err != nil {
			return nil, false
		}
	}
	return out, true
}
