package hands

import (
	"slices"

	"feint/internal/diagram"
	"feint/internal/motion"
)

// Onward is the way on from a situation.
type Onward struct {
	Opens motion.Answer // whether the goal can be reached from there
	There bool          // it is met
	Way   *Way          // a shortest one under the strict reading; nil if there is none
}

// Onward looks for a shortest way to the goal from a situation. No is said where the
// generous reading has none either. Asked for the first time it counts the moves to
// the goal from everywhere within reach; after that a situation of the play is looked
// up.
func (t *Try) Onward(s Situation) (*Onward, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	p, err := t.at(&s)
	if err != nil {
		return nil, err
	}
	if err := t.chart(); err != nil {
		return nil, err
	}
	sp, here := t.s.b.sp, t.s.b.sp.Point(p)
	if sp.Contains(t.s.goal(strict), p) && sp.Contains(t.b.rest(0), p) {
		return &Onward{Opens: motion.Yes, There: true}, nil
	}
	for d, layer := range t.distance {
		if sp.Contains(layer, p) {
			narrow := append([]diagram.Set{here}, backwards(t.distance[:d])...)
			return t.told(s, p, narrow)
		}
	}
	out, err := t.search(s, p)
	t.b.tidied()
	return out, err
}

func backwards(ds []diagram.Set) []diagram.Set {
	out := slices.Clone(ds)
	slices.Reverse(out)
	return out
}

// chart counts the moves to the goal from everywhere within reach, once.
func (t *Try) chart() error {
	if t.charted {
		return t.s.b.trouble()
	}
	sp, b := t.s.b.sp, t.b
	t.reach = b.Reach(t.s.begin(b))
	t.s.b.pinned = append(t.s.b.pinned, t.reach)
	front := sp.And(sp.And(t.s.goal(strict), t.reach), b.rest(0))
	seen := front
	for front != diagram.Empty && sp.Err() == nil {
		t.distance = append(t.distance, front)
		t.s.b.pinned = append(t.s.b.pinned, front)
		b.tidied(seen)
		before := diagram.Empty
		for i := range b.Moves() {
			before = sp.Or(before, b.Pre(i, front))
		}
		front = sp.Minus(sp.And(before, t.reach), seen)
		seen = sp.Or(seen, front)
	}
	t.charted = true
	return t.s.b.trouble()
}

// told is the way along narrowed layers.
func (t *Try) told(s Situation, p []int32, narrow []diagram.Set) (*Onward, error) {
	now := t.placed(s, p)
	w := &Way{Growth: t.growth, Start: now.Config, Up: t.s.b.ups[s.Up]}
	k := &teller{s: t.s, b: t.b, unit: p, at: slices.Clone(now.Config)}
	k.walk(w, narrow, p)
	if err := t.s.b.trouble(); err != nil {
		return nil, err
	}
	return &Onward{Opens: motion.Yes, Way: w}, nil
}

// search looks on from a situation that is not charted: one that the play from the
// start does not come to, or from which no way is sure.
func (t *Try) search(s Situation, p []int32) (*Onward, error) {
	sp, here := t.s.b.sp, t.s.b.sp.Point(p)
	charted := sp.Contains(t.reach, p)
	if rested := t.b.Settle(here); !charted {
		goal := t.s.goal(strict)
		if layers, ok := t.b.Layers(rested, goal); ok && sp.Err() == nil {
			narrow := t.b.Narrow(layers, goal)
			if q, ok := sp.Pick(narrow[0], p); ok {
				return t.told(t.placed(s, q), q, narrow)
			}
		}
	}
	g := t.s.boards(law{growth: t.growth, avoid: -1})[generous]
	begin := sp.Or(g.Settle(here), sp.And(here, g.Rest()))
	out := &Onward{Opens: motion.Undecided}
	if !sp.Meets(g.Reach(begin), t.s.goal(generous)) {
		out.Opens = motion.No
	}
	if err := t.s.b.trouble(); err != nil {
		return nil, err
	}
	return out, nil
}
