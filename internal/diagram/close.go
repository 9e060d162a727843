package diagram

import "math/bits"

// Levels is a set of levels, bit k for level k.
type Levels uint64

// LevelsOf is the set of the levels given.
func LevelsOf(ks ...int) Levels {
	var m Levels
	for _, k := range ks {
		m |= 1 << k
	}
	return m
}

func (m Levels) has(k int32) bool { return m>>k&1 != 0 }

func (m Levels) deepest() int32 { return int32(bits.Len64(uint64(m))) - 1 }

// number is a small number for m, for the cache.
func (s *Space) number(m Levels) uint32 {
	for i, x := range s.masks {
		if x == m {
			return uint32(i)
		}
	}
	s.masks = append(s.masks, m)
	return uint32(len(s.masks) - 1)
}

// Sweep is all that can be reached from the points of r within f by moving along
// the one level k, r's own points in f included. Points are neighbours where
// they differ by one unit, on a cyclic level also across its ends.
func (s *Space) Sweep(k int, r, f Set) Set { return s.Close(LevelsOf(k), r, f) }

// Close is all that can be reached from the points of r within f by moving along
// the levels of m, one at a time, in any order and as often as wanted.
func (s *Space) Close(m Levels, r, f Set) Set {
	if m == 0 {
		return s.And(r, f)
	}
	return s.close(closing{m, m.deepest(), opClose | s.number(m)<<opBits}, r, f)
}

type closing struct {
	m       Levels
	deepest int32
	op      uint32
}

func (s *Space) close(c closing, r, f Set) Set {
	switch {
	case s.err != nil || r == Empty || f == Empty:
		return Empty
	case r == All || r == f:
		return f
	}
	l := min(s.nodes[r].level, s.nodes[f].level)
	if l > c.deepest {
		return s.apply(opAnd, r, f)
	}
	if x, ok := s.recall(c.op, r, f); ok {
		return x
	}
	var x Set
	if c.m.has(l) {
		x = s.closeAlong(c, l, r, f)
	} else {
		x = s.closeBelow(c, l, r, f)
	}
	s.remember(c.op, r, f, x)
	return x
}

// closeBelow closes every run of a level that is not moved along.
func (s *Space) closeBelow(c closing, l int32, r, f Set) Set {
	base := len(s.tmp)
	cr, cf := s.open(r, l), s.open(f, l)
	for {
		hi := min(cr.hi, cf.hi)
		s.push(base, hi, s.close(c, cr.to, cf.to))
		if hi == s.levels[l].Size {
			break
		}
		s.pass(&cr, hi)
		s.pass(&cf, hi)
	}
	return s.finish(l, base)
}

// closeAlong cuts r and f into common runs, each closed in itself, and lets every
// run take from its neighbours what f allows. If the runs themselves are single
// lines, once forwards and once backwards (twice on a ring) reaches everything;
// if deeper levels are moved as well, the passes are repeated until nothing is
// new.
func (s *Space) closeAlong(c closing, l int32, r, f Set) Set {
	base := len(s.segs)
	cr, cf := s.open(r, l), s.open(f, l)
	for {
		hi := min(cr.hi, cf.hi)
		x := s.close(c, cr.to, cf.to)
		s.segs = append(s.segs, segment{hi, x, cf.to})
		if hi == s.levels[l].Size {
			break
		}
		s.pass(&cr, hi)
		s.pass(&cf, hi)
	}
	n := len(s.segs) - base
	rounds := 1
	if s.levels[l].Cyclic {
		rounds = 2
	}
	for changed := true; changed && s.err == nil; {
		changed = false
		for range rounds {
			for i := 1 - s.wrap(l); i < n; i++ {
				changed = s.spread(c, l, base+(i+n-1)%n, base+i) || changed
			}
		}
		for range rounds {
			for i := n - 2 + s.wrap(l); i >= 0; i-- {
				changed = s.spread(c, l, base+(i+1)%n, base+i) || changed
			}
		}
		if c.deepest == l {
			break
		}
	}
	out := len(s.tmp)
	for _, g := range s.segs[base:] {
		s.push(out, g.hi, g.r)
	}
	s.segs = s.segs[:base]
	return s.finish(l, out)
}

func (s *Space) wrap(l int32) int {
	if s.levels[l].Cyclic {
		return 1
	}
	return 0
}

// spread lets the run at to take over from the run at from; it tells whether
// that was anything new.
func (s *Space) spread(c closing, l int32, from, to int) bool {
	g := s.segs[to]
	if g.f == Empty || g.r == g.f {
		return false
	}
	u := s.apply(opOr, g.r, s.apply(opAnd, s.segs[from].r, g.f))
	if u == g.r {
		return false
	}
	if c.deepest > l {
		u = s.close(c, u, g.f)
	}
	s.segs[to].r = u
	return true
}

// Exists is the shadow of a on the other levels: the points from which a point
// of a can be made by changing levels of m only.
func (s *Space) Exists(m Levels, a Set) Set {
	if m == 0 {
		return a
	}
	return s.exists(closing{m, m.deepest(), opExists | s.number(m)<<opBits}, a)
}

func (s *Space) exists(c closing, a Set) Set {
	l := s.nodes[a].level
	if l > c.deepest || s.err != nil {
		return a
	}
	if x, ok := s.recall(c.op, a, a); ok {
		return x
	}
	var x Set
	cu := s.open(a, l)
	base := len(s.tmp)
	for {
		hi := cu.hi
		y := s.exists(c, cu.to)
		if c.m.has(l) {
			x = s.apply(opOr, x, y)
		} else {
			s.push(base, hi, y)
		}
		if hi == s.levels[l].Size || x == All {
			break
		}
		s.pass(&cu, hi)
	}
	if !c.m.has(l) {
		x = s.finish(l, base)
	}
	s.remember(c.op, a, a, x)
	return x
}
