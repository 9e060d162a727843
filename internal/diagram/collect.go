package diagram

// Copy makes a space of its own, for use beside s, with the same levels and the sets
// given; it lists them as they are called there.
func (s *Space) Copy(sets ...Set) (*Space, []Set, error) {
	c, err := New(s.ctx, s.levels, s.opt)
	if err != nil {
		return nil, nil, err
	}
	c.err = s.err
	as := make([]Set, len(s.nodes)) // what a set is called there
	as[All] = All
	var take func(x Set) Set
	take = func(x Set) Set {
		if as[x] != Empty || x == Empty {
			return as[x]
		}
		n := s.nodes[x]
		base := len(c.tmp)
		for _, e := range s.edges[n.first : n.first+n.count] {
			to := take(e.to)
			c.push(base, e.hi, to)
		}
		as[x] = c.finish(n.level, base)
		return as[x]
	}
	out := make([]Set, len(sets))
	for i, x := range sets {
		out[i] = take(x)
	}
	return c, out, nil
}

// Collect forgets every set from which no set of keep is made and frees its
// memory. Handles of forgotten sets must not be used again; those kept stay.
func (s *Space) Collect(keep ...Set) {
	live := make([]bool, len(s.nodes))
	live[Empty], live[All] = true, true
	var mark func(x Set)
	mark = func(x Set) {
		if live[x] {
			return
		}
		live[x] = true
		n := s.nodes[x]
		for _, e := range s.edges[n.first : n.first+n.count] {
			mark(e.to)
		}
	}
	total := 0
	for _, x := range keep {
		mark(x)
	}
	for x := range s.nodes {
		if live[x] {
			total += int(s.nodes[x].count)
		}
	}
	edges := make([]edge, 0, max(total+total/4, min(cap(s.edges), keptRoom))) // about as many will be made again
	s.free = s.free[:0]
	for x := len(s.nodes) - 1; x > 1; x-- {
		n := &s.nodes[x]
		if !live[x] {
			*n = node{}
			s.free = append(s.free, Set(x))
			continue
		}
		first := int32(len(edges))
		edges = append(edges, s.edges[n.first:n.first+n.count]...)
		n.first = first
	}
	s.edges = edges
	clear(s.cache)
	s.rehash(len(s.table))
}
