package motion

import (
	"math"
	"sync"

	"feint/internal/diagram"
)

// scout asks on sets of its own while others are at work on the maps. The zero value
// has not set out.
type scout struct {
	group sync.WaitGroup
	w     *world
	way   *Way
	told  func() // takes over what was found, when all is done
}

func (c *scout) wait() { c.group.Wait() }

// begin sets out with what is free by the keys as the maps tell by now.
func (c *scout) begin(w *world, keys []freeKey, do func()) error {
	w.tidy()
	for _, k := range keys {
		w.freeSet(k.g, k.play, k.by)
	}
	if err := w.trouble(); err != nil {
		return err
	}
	var err error
	if c.w, err = w.aside(keys); err == nil {
		c.group.Go(do)
	}
	return err
}

// end waits and takes over what the sets cost.
func (c *scout) end(w *world) error {
	c.wait()
	if c.w == nil {
		return nil
	}
	if c.told != nil {
		c.told()
	}
	w.made += c.w.sp.Made()
	err := c.w.trouble()
	c.w = nil
	return err
}

// count sets out to count the moves as drawn and at both ends.
func (s *solver) count() error {
	var open []*Opening
	var keys []freeKey
	for _, o := range []*Opening{&s.r.Drawn, &s.r.Tight, &s.r.Loose} {
		if o.Opens == Yes {
			open, keys = append(open, o), append(keys, freeKey{g: o.Growth, by: strict})
		}
	}
	if len(open) == 0 {
		return nil
	}
	c := &s.counts
	moves := make([]int, len(open))
	c.told = func() {
		for i, o := range open {
			o.Moves = moves[i]
		}
	}
	return c.begin(s.w, keys, func() {
		for i, k := range keys {
			if layers, ok := c.w.layers(c.w.freeSet(k.g, k.play, k.by), strict); ok {
				moves[i] = len(layers) - 1
			}
		}
	})
}

// setOut sets out to look for the way, anew where more is known.
func (s *solver) setOut() error {
	if err := s.ahead.end(s.w); err != nil || s.r.Drawn.Opens != Yes {
		return err
	}
	keys := []freeKey{{by: strict}, {by: generous}}
	rooms := s.rooms()
	for _, g := range rooms {
		keys = append(keys, freeKey{g: g, by: strict})
	}
	c := &s.ahead
	return c.begin(s.w, keys, func() { c.way = c.w.wayWithin(rooms) })
}

// aside is a world of its own, for use beside w, with the free sets named. It has no maps.
func (w *world) aside(keys []freeKey) (*world, error) {
	sets := []diagram.Set{w.start, w.goal[strict], w.goal[generous]}
	for _, k := range keys {
		sets = append(sets, w.free[k])
	}
	sp, sets, err := w.sp.Copy(sets...)
	if err != nil {
		return nil, err
	}
	v := *w
	v.sp, v.pairs, v.certs, v.past, v.made = sp, nil, nil, nil, 0
	v.start, v.goal = sets[0], [2]diagram.Set{strict: sets[1], generous: sets[2]}
	v.free, v.fronts = map[freeKey]diagram.Set{}, map[frontKey]fronts{}
	for i, k := range keys {
		v.free[k] = sets[3+i]
	}
	return &v, nil
}

// rooms are the growths within whose room the way is kept if it is as short there: where
// it binds, and the tight end.
func (s *solver) rooms() []float64 {
	var out []float64
	if b := s.r.Fit.Bind; b != nil && b.Lo > 0 && !math.IsInf(b.Lo, 0) {
		out = append(out, b.Lo)
	}
	if s.r.Tight.Opens == Yes {
		out = append(out, s.r.Asked[1])
	}
	return out
}

// wayWithin is the shortest way as drawn, kept within the first of the rooms that has
// a way as short.
func (w *world) wayWithin(rooms []float64) *Way {
	q := ask(0)
	return w.shortest(&q, rooms...)
}

// way takes the shortest way as drawn from the scout. Where that could not tell that
// there is none shorter, it is asked anew: the steps have refined the maps.
func (s *solver) way() error {
	if err := s.counts.end(s.w); err != nil {
		return err
	}
	if err := s.ahead.end(s.w); err != nil || s.r.Drawn.Opens != Yes {
		return err
	}
	if s.r.Way = s.ahead.way; s.r.Way == nil || !s.r.Way.Fewest {
		s.w.tidy()
		s.r.Way = s.w.wayWithin(s.rooms())
	}
	return s.fewer()
}

// fewer refines the maps until it is known that no way has fewer moves than the one found,
// or one is found that has, or nothing that matters can be refined any more. Where steps
// are declared they have mostly seen to that.
func (s *solver) fewer() error {
	w := s.w
	for w.m.HandsOnly() && s.r.Way != nil && !s.r.Way.Fewest {
		q := ask(0)
		q.what = "in how few moves does it open"
		w.tidy()
		more, err := w.sharpen(&q, w.board(w.freeFor(&q, generous)).Reach(w.start))
		if err != nil || !more {
			return err
		}
		w.tidy()
		if way := w.wayWithin(s.rooms()); way != nil {
			s.r.Way = way
		}
	}
	return w.trouble()
}
