package pipeline

import (
	"cmp"
	"context"
	"math"
	"slices"
	"strconv"

	"feint/internal/clearance"
	"feint/internal/design"
	"feint/internal/mechanism"
	"feint/internal/motion"
	"feint/internal/verdict"
	"feint/internal/verdict/rules/halfaligned"
)

const (
	// remedyLooks is at how many places of a stroke the room of a shortcut is
	// measured: a place between two looks is off by a thirtieth of the stroke.
	remedyLooks = 32
	// remedySlope is the least change of room, mm a mm or a degree of a param, for
	// the param to count as one that governs it: a tenth of what a gap per side does.
	remedySlope = 0.1
	// remedyShort is how much of the change wanted may be missing, mm: the
	// resolution to which limits are told.
	remedyShort = 0.01
)

// place is where a shortcut has least room: a pair of parts in a configuration.
type place struct {
	a, b int
	q    []float64
	room float64
}

// remedies looks for single params by which a shortcut that half-aligned tells
// can be closed. Each is measured: the design is read with the param changed, the
// two parts are built, and their clearance is taken where the shortcut has least.
func remedies(ctx context.Context, path string, out *Outcome, ps []*pairMap, o Options) ([]verdict.Remedy, error) {
	r := out.Result
	if r == nil {
		return nil, nil
	}
	var found []verdict.Remedy
	for i := range r.Steps {
		s := &r.Steps[i]
		want, ok := halfaligned.Wanted(r, s)
		if !ok || s.Shortcut == nil {
			continue
		}
		at, ok, err := narrowest(ctx, s.Shortcut, out.Mechanism.Start, ps)
		if err != nil || !ok {
			return found, err
		}
		var own []verdict.Remedy
		for k := range out.Mechanism.Params {
			if ctx.Err() != nil {
				return nil, ctx.Err()
			}
			w := &workbench{ctx: ctx, path: path, out: out, o: o, param: &out.Mechanism.Params[k]}
			if m, ok := w.close(at, want); ok {
				m.Step = s.Index
				own = append(own, m)
			}
		}
		// first what costs the meant way least room
		slices.SortStableFunc(own, func(a, b verdict.Remedy) int { return cmp.Compare(a.Costs, b.Costs) })
		found = append(found, own...)
	}
	return found, nil
}

// narrowest measures along the move in which a way has least room.
func narrowest(ctx context.Context, w *motion.Way, start []float64, ps []*pairMap) (place, bool, error) {
	least := -1
	for i := range w.Moves {
		if k := &w.Moves[i]; k.Against >= 0 && (least < 0 || k.Clearance < w.Moves[least].Clearance) {
			least = i
		}
	}
	if least < 0 {
		return place{}, false, nil
	}
	q := slices.Clone(start)
	for i := range least {
		for _, s := range w.Moves[i].Strokes {
			q[s.Travel] = s.To
		}
	}
	k := &w.Moves[least]
	p := between(ps, k.Part, k.Against)
	if p == nil {
		return place{}, false, nil
	}
	best := place{a: p.a(), b: p.b(), room: math.Inf(1)}
	for _, s := range k.Strokes {
		for i := range remedyLooks + 1 {
			if ctx.Err() != nil {
				return place{}, false, ctx.Err()
			}
			q[s.Travel] = s.From + (s.To-s.From)*float64(i)/remedyLooks
			_, room, err := p.At(q)
			if err != nil {
				return place{}, false, err
			}
			if room < best.room {
				best.room, best.q = room, slices.Clone(q)
			}
		}
	}
	return best, best.q != nil, nil
}

func between(ps []*pairMap, a, b int) *pairMap {
	for _, p := range ps {
		if x, y := p.Parts(); x == a && y == b || x == b && y == a {
			return p
		}
	}
	return nil
}

func (p *pairMap) a() int { a, _ := p.Parts(); return a }
func (p *pairMap) b() int { _, b := p.Parts(); return b }

// workbench tries values of one param.
type workbench struct {
	ctx   context.Context
	path  string
	out   *Outcome
	o     Options
	param *mechanism.Param
}

// close looks for the value of the param at which the room at a place is less by
// want: by the slope of a small step, then by that of the steps so found.
func (w *workbench) close(at place, want float64) (verdict.Remedy, bool) {
	steps := steps(w.param)
	if len(steps) == 0 {
		return verdict.Remedy{}, false
	}
	to := steps[len(steps)-1]
	for range 4 {
		room, ok := w.room(to, at.a, at.b, at.q)
		if !ok {
			return verdict.Remedy{}, false
		}
		gone := at.room - room
		if gone >= want-remedyShort && gone <= want+2*remedyShort {
			return verdict.Remedy{Param: w.param.Name, Unit: w.param.Unit, From: w.param.Value, To: to, Costs: w.costs(to)}, true
		}
		slope := gone / (to - w.param.Value)
		if math.Abs(slope) < remedySlope {
			return verdict.Remedy{}, false
		}
		next := fine(w.param.Value + want/slope)
		if next == to || next == w.param.Value || next < w.param.Min || next > w.param.Max {
			return verdict.Remedy{}, false
		}
		to = next
	}
	return verdict.Remedy{}, false
}

// fine rounds a value to a hundredth, as a maker would write it.
func fine(v float64) float64 { return math.Round(v*100) / 100 }

// costs is the room that the meant way loses at its tightest place, mm; 0 where
// that is not known or the way gains.
func (w *workbench) costs(to float64) float64 {
	t := &w.out.Result.Fit.Tightest
	if w.out.Result.Way == nil || t.A < 0 || t.B < 0 || len(t.At) == 0 {
		return 0
	}
	before, ok := w.room(w.param.Value, t.A, t.B, t.At)
	after, still := w.room(to, t.A, t.B, t.At)
	if !ok || !still {
		return 0
	}
	return max(0, before-after)
}

// room is the clearance of two parts in a configuration with the param at a
// value; false if the design cannot be read or built so.
func (w *workbench) room(value float64, a, b int, q []float64) (float64, bool) {
	m, bs, ok := w.with(value, a, b)
	if !ok {
		return 0, false
	}
	var bodies [2]*clearance.Body
	for i, p := range [2]int{a, b} {
		var err error
		if bodies[i], err = bs[p].Clearance(); err != nil {
			return 0, false
		}
	}
	c, err := clearance.New(m, a, b, bodies[0], bodies[1])
	if err != nil {
		return 0, false
	}
	_, room, err := c.At(q)
	return room, err == nil
}

// with is the design with the param at a value, and its bodies, of which those of the
// given parts are built anew where they are drawn otherwise; false if it cannot be read
// or built so, or has not the same parts and travels.
func (w *workbench) with(value float64, parts ...int) (*mechanism.Mechanism, []Body, bool) {
	o := w.o
	o.Progress = nil
	o.Set = append(slices.DeleteFunc(slices.Clone(o.Set), func(s design.Setting) bool { return s.Name == w.param.Name }),
		design.Setting{Name: w.param.Name, Value: strconv.FormatFloat(value, 'g', -1, 64)})
	m, err := Load(w.path, o)
	old := w.out.Mechanism
	if err != nil || len(m.Parts) != len(old.Parts) || len(m.Travels) != len(old.Travels) {
		return nil, nil, false
	}
	bs := slices.Clone(w.out.Bodies)
	load := newLoader()
	for _, p := range parts {
		if shapeKey(m.Parts[p].Shape) != shapeKey(old.Parts[p].Shape) || m.Tolerance != old.Tolerance {
			if bs[p], err = body(w.ctx, &m.Parts[p], m.Tolerance, o, load); err != nil || !bs[p].Sound() {
				return nil, nil, false
			}
		}
	}
	return m, bs, true
}
