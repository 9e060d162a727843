package diagram

// Operation codes of the cache; a set of levels is numbered in the higher bits.
const (
	opAnd uint32 = 1 + iota
	opOr
	opMinus
	opMeets
	opClose
	opExists
	opBits = 3
)

// And is the common part of a and b.
func (s *Space) And(a, b Set) Set { return s.apply(opAnd, a, b) }

// Or is the union of a and b.
func (s *Space) Or(a, b Set) Set { return s.apply(opOr, a, b) }

// Minus is a without b.
func (s *Space) Minus(a, b Set) Set { return s.apply(opMinus, a, b) }

// Not is everything but a.
func (s *Space) Not(a Set) Set { return s.apply(opMinus, All, a) }

// Within tells whether every point of a is in b.
func (s *Space) Within(a, b Set) bool { return s.And(a, b) == a }

// trivial is the answer where a look at the handles gives it.
func trivial(op uint32, a, b Set) (Set, bool) {
	switch op {
	case opAnd:
		switch {
		case a == Empty || b == Empty:
			return Empty, true
		case a == All || a == b:
			return b, true
		case b == All:
			return a, true
		}
	case opOr:
		switch {
		case a == All || b == All:
			return All, true
		case a == Empty || a == b:
			return b, true
		case b == Empty:
			return a, true
		}
	default: // opMinus
		switch {
		case a == Empty || b == All || a == b:
			return Empty, true
		case b == Empty:
			return a, true
		}
	}
	return Empty, false
}

func (s *Space) apply(op uint32, a, b Set) Set {
	if r, ok := trivial(op, a, b); ok {
		return r
	}
	if s.err != nil {
		return Empty
	}
	if op != opMinus && a > b {
		a, b = b, a
	}
	if r, ok := s.recall(op, a, b); ok {
		return r
	}
	l := min(s.nodes[a].level, s.nodes[b].level)
	base := len(s.tmp)
	ca, cb := s.open(a, l), s.open(b, l)
	for {
		hi := min(ca.hi, cb.hi)
		r, ok := trivial(op, ca.to, cb.to)
		if !ok {
			r = s.apply(op, ca.to, cb.to)
		}
		s.push(base, hi, r)
		if hi == s.levels[l].Size {
			break
		}
		s.pass(&ca, hi)
		s.pass(&cb, hi)
	}
	r := s.finish(l, base)
	s.remember(op, a, b, r)
	return r
}

// Meets tells whether a and b have a point in common, without making their
// common part.
func (s *Space) Meets(a, b Set) bool {
	if a == Empty || b == Empty {
		return false
	}
	if a == All || b == All || a == b {
		return true
	}
	if a > b {
		a, b = b, a
	}
	if r, ok := s.recall(opMeets, a, b); ok {
		return r == All
	}
	l := min(s.nodes[a].level, s.nodes[b].level)
	ca, cb := s.open(a, l), s.open(b, l)
	met := Empty
	for {
		hi := min(ca.hi, cb.hi)
		if s.Meets(ca.to, cb.to) {
			met = All
			break
		}
		if hi == s.levels[l].Size {
			break
		}
		s.pass(&ca, hi)
		s.pass(&cb, hi)
	}
	s.remember(opMeets, a, b, met)
	return met == All
}
