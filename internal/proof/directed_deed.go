package proof

import (
	"errors"
	"fmt"
	"math"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
)

// deed replays one move and compares what comes of it.
func (r *replay) deed(d *Deed) error {
	var err error
	switch d.Kind {
	case LeadPart:
		err = r.leadPart(d)
	case TurnBox:
		err = r.turnBox(d.Up)
	case CarryTool:
		err = r.carryTool(d)
	default:
		err = fmt.Errorf("%w: there is no such deed", ErrRefused)
	}
	if err != nil {
		return err
	}
	if err := r.settle(nil); err != nil {
		return err
	}
	return r.told(d.Told)
}

// leadPart is a move of the hand: strokes of one part.
func (r *replay) leadPart(d *Deed) error {
	if len(d.Strokes) == 0 {
		return fmt.Errorf("%w: it has no stroke", ErrRefused)
	}
	part := d.Strokes[0].Part
	if part < 0 || part >= len(r.m.Parts) || r.away[part] {
		return fmt.Errorf("%w: the hand leads part %d, which is not there", ErrRefused, part)
	}
	held := map[int]bool{}
	for _, t := range r.m.Parts[part].Travels {
		if r.m.Travels[t].Moved == mechanism.ByHand {
			held[t] = true
		}
	}
	for i, s := range d.Strokes {
		if err := r.stroke(s, part, held); err != nil {
			return fmt.Errorf("stroke %d: %w", i+1, err)
		}
		r.noted()
	}
	return nil
}

func (r *replay) stroke(s Stroke, part int, held map[int]bool) error {
	if s.Part != part || !held[s.Travel] {
		return fmt.Errorf("%w: travel %d is not one of part %d that the hand moves", ErrRefused, s.Travel, part)
	}
	t := &r.m.Travels[s.Travel]
	from := s
	from.From = r.q[s.Travel]
	if err := r.w.begin(from, r.q); err != nil {
		return err
	}
	off := s.From - r.q[s.Travel]
	if t.Full {
		// as told it goes on from where it was told to stand
		off = wrap(off)
		s.To += r.q[s.Travel] + off - s.From
	}
	if !(math.Abs(off) <= r.d.Near[s.Travel]) {
		return fmt.Errorf("%w: it begins with travel %q at %.6g, which stands at %.6g", ErrRefused, t.Name, s.From, r.q[s.Travel])
	}
	pushed := r.report.Pushed
	err := r.lead(s.Travel, s.To, held, mostChain)
	if st := (*stuck)(nil); errors.As(err, &st) && r.report.Pushed > pushed && math.Abs(s.To-r.q[s.Travel])*r.wide[s.Travel] <= short {
		return nil
	}
	return err
}

// turnBox turns the box to a neighbouring attitude.
func (r *replay) turnBox(up geom.Vec) error {
	known := false
	for _, u := range r.m.Ups() {
		known = known || near(u, up)
	}
	if !known || near(up, r.up) {
		return fmt.Errorf("%w: the box is not turned to another of its attitudes", ErrRefused)
	}
	if !neighbours(r.m.Ups(), r.up, up) {
		return fmt.Errorf("%w: another attitude lies between", ErrRefused)
	}
	r.up = up
	return nil
}

// carryTool takes a tool from one seat to another.
func (r *replay) carryTool(d *Deed) error {
	for i := range r.m.Tools {
		seats := r.m.Tools[i].Seats
		if seats[r.seat[i]].Part != d.From {
			continue
		}
		for s := range seats {
			if seats[s].Part != d.To || s == r.seat[i] {
				continue
			}
			if len(d.Told) != len(r.q) {
				return fmt.Errorf("%w: %d values told for %d travels", ErrRefused, len(d.Told), len(r.q))
			}
			if !r.out(&seats[r.seat[i]], r.q) || !r.out(&seats[s], d.Told) {
				return fmt.Errorf("%w: tool %q is not where it comes out and goes in", ErrRefused, r.m.Tools[i].Name)
			}
			for _, t := range r.m.Parts[d.To].Travels {
				r.q[t] = d.Told[t]
			}
			r.seat[i] = s
			r.away[d.From] = true
			delete(r.away, d.To)
			return r.stands(d.To)
		}
	}
	return fmt.Errorf("%w: no tool goes from part %d to part %d", ErrRefused, d.From, d.To)
}

// out tells whether a tool in the seat stands where it comes out.
func (r *replay) out(s *mechanism.Seat, q []float64) bool {
	for _, b := range s.Out {
		if !holds(&r.m.Travels[b.Travel], b, q[b.Travel]) {
			return false
		}
	}
	return true
}

// stands shows that all parts that are there keep clear as they stand; of one part only
// if part is not negative.
func (r *replay) stands(part int) error {
	r.w.tasks = nil
	r.w.stand(r.q)
	for i := range r.w.tasks {
		t := &r.w.tasks[i]
		if r.away[t.a] || r.away[t.b] || part >= 0 && t.a != part && t.b != part {
			continue
		}
		o, err := r.w.check(r.ctx, t)
		if err != nil {
			return err
		}
		if o.fault == nil && r.w.need(t.a, t.b) >= 0 {
			o.fault = r.sunk(t)
		}
		if o.fault != nil {
			r.met(t)
			return r.complain(&hit{t, o.fault})
		}
	}
	return r.avoids(nil)
}

// sunk finds a triangle of one part whose middle lies within the other. Parts put there
// whose faces lie in common planes may overlap without a triangle that crosses another;
// what comes there along a run cannot.
func (r *replay) sunk(t *task) *fault {
	g := r.m.Pose(t.a, t.q).Then(r.m.Pose(t.b, t.q).Inverse())
	for _, side := range []struct {
		in, of *mesh.Tree
		g      geom.Motion
	}{{r.w.trees[t.a], r.w.trees[t.b], g}, {r.w.trees[t.b], r.w.trees[t.a], g.Inverse()}} {
		tris := side.in.Boundary().Triangles()
		for i := range tris {
			if d, _, _ := side.of.Signed(side.g.Apply(middle(&tris[i]))); d < -slack {
				return &fault{at: t.run.lo, clearance: d}
			}
		}
	}
	return nil
}
