package diagram

import "encoding/binary"

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

// Under applies f below level l: the sets are cut along all levels above l at once,
// and f makes, of what is left of them there, sets that depend on l and deeper
// levels only, a new one of the same kind. It is asked once for equal sets, and not
// where the first of them is empty: the result is empty there.
func (s *Space) Under(l int, sets []Set, f func(sets []Set) Set) Set {
	u := &under{s: s, l: int32(l), f: f, memo: map[string]Set{}}
	return u.at(sets)
}

type under struct {
	s    *Space
	l    int32
	f    func([]Set) Set
	memo map[string]Set
	key  []byte
}

func (u *under) at(sets []Set) Set {
	if sets[0] == Empty || u.s.err != nil {
		return Empty
	}
	u.key = u.key[:0]
	top := u.l
	for _, x := range sets {
		u.key = binary.LittleEndian.AppendUint32(u.key, uint32(x))
		top = min(top, u.s.nodes[x].level)
	}
	key := string(u.key)
	if x, ok := u.memo[key]; ok {
		return x
	}
	var x Set
	if top == u.l {
		x = u.f(sets)
	} else {
		x = u.cut(top, sets)
	}
	u.memo[key] = x
	return x
}

// cut goes through the common runs of a level above.
func (u *under) cut(top int32, sets []Set) Set {
	s := u.s
	cs := make([]cursor, len(sets))
	for i, x := range sets {
		cs[i] = s.open(x, top)
	}
	var pieces []Piece
	for {
		hi := s.levels[top].Size
		below := make([]Set, len(sets))
		for i := range cs {
			hi = min(hi, cs[i].hi)
			below[i] = cs[i].to
		}
		pieces = append(pieces, Piece{Hi: hi, To: u.at(below)})
		if hi == s.levels[top].Size {
			return s.Join(int(top), pieces)
		}
		for i := range cs {
			s.pass(&cs[i], hi)
		}
	}
}

// Layered is a set as a union: every point of Above whose deeper levels lie in
// Below.
type Layered struct{ Above, Below Set }

// Split writes a as a union of Layered, the Above of which depend on levels up to
// and with l, and do not meet, and the Below, all different, on deeper ones.
func (s *Space) Split(l int, a Set) []Layered {
	var order []Set
	seen := map[Set]bool{}
	var walk func(x Set)
	walk = func(x Set) {
		if x == Empty || seen[x] {
			return
		}
		seen[x] = true
		n := s.nodes[x]
		if n.level > int32(l) {
			order = append(order, x)
			return
		}
		for _, e := range s.edges[n.first : n.first+n.count] {
			walk(e.to)
		}
	}
	walk(a)
	out := make([]Layered, 0, len(order))
	for _, below := range order {
		memo := map[Set]Set{}
		out = append(out, Layered{s.where(int32(l), a, below, memo), below})
	}
	return out
}

// where is the points of a, by the levels up to l, below which it is as given.
func (s *Space) where(l int32, a, below Set, memo map[Set]Set) Set {
	if s.nodes[a].level > l || a == Empty {
		if a == below {
			return All
		}
		return Empty
	}
	if x, ok := memo[a]; ok {
		return x
	}
	k := s.nodes[a].level
	base := len(s.tmp)
	for c := s.open(a, k); ; {
		hi := c.hi
		s.push(base, hi, s.where(l, c.to, below, memo))
		if hi == s.levels[k].Size {
			break
		}
		s.pass(&c, hi)
	}
	x := s.finish(k, base)
	memo[a] = x
	return x
}
