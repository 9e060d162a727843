package diagram

// Operators of what goes one way only: a step along a level, and the sweep in
// one direction. Both share one operation code; the key in its number tells
// which level, which way and how far.
const opDirected = opExists + 1

// The keys of directed operations, as numbered by Space.number: the kind in the
// highest bits, the level below, the way lowest.
const (
	keyShift Levels = 1 << 62
	keyDrift Levels = 2 << 62
)

func (s *Space) directed(key Levels) uint32 { return opDirected | s.number(key)<<opBits }

// Shift is a moved along level k by so many units (negative: towards unit 0).
// What would leave the level is lost; on a cyclic level it comes in again at the
// other end.
func (s *Space) Shift(k int, by int32, a Set) Set {
	if by == 0 {
		return a
	}
	return s.shift(s.directed(keyShift|Levels(k)<<32|Levels(uint32(by))), int32(k), by, a)
}

func (s *Space) shift(op uint32, k, by int32, a Set) Set {
	if a == Empty || s.err != nil {
		return Empty
	}
	l := s.nodes[a].level
	if l > k && s.levels[k].Cyclic {
		return a
	}
	if x, ok := s.recall(op, a, a); ok {
		return x
	}
	var x Set
	if l < k {
		base := len(s.tmp)
		for c := s.open(a, l); ; {
			hi := c.hi
			s.push(base, hi, s.shift(op, k, by, c.to))
			if hi == s.levels[l].Size {
				break
			}
			s.pass(&c, hi)
		}
		x = s.finish(l, base)
	} else {
		x = s.shiftRuns(k, by, a)
	}
	s.remember(op, a, a, x)
	return x
}

// shiftRuns moves the runs of level k itself.
func (s *Space) shiftRuns(k, by int32, a Set) Set {
	size, cyclic := s.levels[k].Size, s.levels[k].Cyclic
	pieces := s.Cut(a, int(k))
	base := len(s.tmp)
	if !cyclic {
		if by > 0 {
			s.push(base, min(by, size), Empty)
		}
		for _, p := range pieces {
			if hi := p.Hi + by; hi > 0 && (by < 0 || hi > by) && (len(s.tmp) == base || s.tmp[len(s.tmp)-1].hi < size) {
				s.push(base, min(hi, size), p.To)
			}
		}
		if by < 0 {
			s.push(base, size, Empty)
		}
		return s.finish(k, base)
	}
	by = ((by % size) + size) % size
	// the pieces that begin beyond the end after the shift come first
	from := size - by
	for _, p := range pieces {
		if p.Hi > from {
			s.push(base, p.Hi-from, p.To)
		}
	}
	lo := int32(0)
	for _, p := range pieces {
		if lo < from {
			s.push(base, min(p.Hi, from)+by, p.To)
		}
		lo = p.Hi
	}
	return s.finish(k, base)
}

// Drift is all that can be reached from the points of r within f by moving along
// level k upwards (or downwards) only, r's own points in f included; on a cyclic
// level also across its ends, any number of times round.
func (s *Space) Drift(k int, up bool, r, f Set) Set {
	key := keyDrift | Levels(k)<<1
	if up {
		key |= 1
	}
	return s.drift(s.directed(key), int32(k), up, r, f)
}

func (s *Space) drift(op uint32, k int32, up bool, r, f Set) Set {
	switch {
	case s.err != nil || r == Empty || f == Empty:
		return Empty
	case r == All || r == f:
		return f
	}
	l := min(s.nodes[r].level, s.nodes[f].level)
	if l > k {
		return s.apply(opAnd, r, f)
	}
	if x, ok := s.recall(op, r, f); ok {
		return x
	}
	var x Set
	if l == k {
		x = s.driftAlong(l, up, r, f)
	} else {
		base := len(s.tmp)
		cr, cf := s.open(r, l), s.open(f, l)
		for {
			hi := min(cr.hi, cf.hi)
			s.push(base, hi, s.drift(op, k, up, cr.to, cf.to))
			if hi == s.levels[l].Size {
				break
			}
			s.pass(&cr, hi)
			s.pass(&cf, hi)
		}
		x = s.finish(l, base)
	}
	s.remember(op, r, f, x)
	return x
}

// driftAlong lets every common run of r and f take from the one before it, on a
// ring twice round.
func (s *Space) driftAlong(l int32, up bool, r, f Set) Set {
	base := len(s.segs)
	cr, cf := s.open(r, l), s.open(f, l)
	for {
		hi := min(cr.hi, cf.hi)
		x := s.apply(opAnd, cr.to, cf.to)
		s.segs = append(s.segs, segment{hi, x, cf.to})
		if hi == s.levels[l].Size {
			break
		}
		s.pass(&cr, hi)
		s.pass(&cf, hi)
	}
	n := len(s.segs) - base
	take := func(from, to int) {
		g := s.segs[base+to]
		s.segs[base+to].r = s.apply(opOr, g.r, s.apply(opAnd, s.segs[base+from].r, g.f))
	}
	for range 1 + s.wrap(l) {
		for i := 1 - s.wrap(l); i < n; i++ {
			if up {
				take((i+n-1)%n, i)
			} else {
				take((n-i)%n, n-1-i)
			}
		}
	}
	out := len(s.tmp)
	for _, g := range s.segs[base:] {
		s.push(out, g.hi, g.r)
	}
	s.segs = s.segs[:base]
	return s.finish(l, out)
}
