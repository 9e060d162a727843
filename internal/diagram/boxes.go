package diagram

import (
	"cmp"
	"slices"
)

// Run is the units Lo <= u < Hi of a level.
type Run struct{ Lo, Hi int32 }

// Runs is the set of points whose unit on level k is in one of rs, which may
// overlap and come in any order. Parts of a run outside the level are cut off.
func (s *Space) Runs(k int, rs ...Run) Set {
	ends := make([]int32, 0, 2*len(rs))
	for _, r := range rs {
		ends = append(ends, r.Lo, r.Hi)
	}
	return s.FromBoxes([]int{k}, ends)
}

// Box is the set of points that lie in every run given, runs[i] on level
// levels[i]; levels that are not named are free.
func (s *Space) Box(levels []int, runs []Run) Set {
	ends := make([]int32, 0, 2*len(runs))
	for _, r := range runs {
		ends = append(ends, r.Lo, r.Hi)
	}
	return s.FromBoxes(levels, ends)
}

// Point is the set of the one point p, a unit for every level.
func (s *Space) Point(p []int32) Set {
	x := All
	for l := len(s.levels) - 1; l >= 0; l-- {
		base := len(s.tmp)
		if p[l] > 0 {
			s.push(base, p[l], Empty)
		}
		s.push(base, p[l]+1, x)
		if p[l]+1 < s.levels[l].Size {
			s.push(base, s.levels[l].Size, Empty)
		}
		x = s.finish(int32(l), base)
	}
	return x
}

// FromBoxes is the union of many boxes over the same levels, which are named in
// any order but each once. A box is 2 len(levels) numbers of ends: the run's
// first unit and the one after its last, level by level. Boxes may overlap; parts
// outside the space are cut off. The boxes are swept level by level, so that the
// cost is that of the runs with the boxes that cross them, not that of as many
// unions.
func (s *Space) FromBoxes(levels []int, ends []int32) Set {
	k := len(levels)
	if k == 0 {
		return All
	}
	order := make([]int, k)
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(levels[a], levels[b]) })
	p := &painter{s: s, k: k, levels: make([]int32, k)}
	for d, i := range order {
		p.levels[d] = int32(levels[i])
	}
	for at := 0; at+2*k <= len(ends); at += 2 * k {
		box := len(p.ends)
		for d, i := range order {
			lo := max(0, ends[at+2*i])
			hi := min(s.levels[p.levels[d]].Size, ends[at+2*i+1])
			if lo >= hi {
				p.ends = p.ends[:box]
				break
			}
			p.ends = append(p.ends, lo, hi)
		}
	}
	all := make([]int32, len(p.ends)/(2*k))
	for i := range all {
		all[i] = int32(i)
	}
	// the boxes are numbered by their place on the last level, where the runs are
	// read off in this order
	all = p.sorted(all, p.lo, k-1)
	sorted := make([]int32, 0, len(p.ends))
	for i, b := range all {
		sorted = append(sorted, p.ends[int(b)*2*k:int(b+1)*2*k]...)
		all[i] = int32(i)
	}
	p.ends = sorted
	return p.paint(0, all)
}

type painter struct {
	s      *Space
	k      int
	levels []int32 // ascending
	ends   []int32
	keys   []uint64 // room for sorting
	place  []int32  // the same, by unit
}

func (p *painter) lo(b int32, d int) int32 { return p.ends[int(b)*2*p.k+2*d] }
func (p *painter) hi(b int32, d int) int32 { return p.ends[int(b)*2*p.k+2*d+1] }

// sorted are the boxes, which come by number, by one end of their runs on level d, then
// by number. Neither is negative, so that the two make one number.
func (p *painter) sorted(boxes []int32, end func(b int32, d int) int32, d int) []int32 {
	if size := p.s.levels[p.levels[d]].Size; len(boxes) > int(size)/8 {
		return p.counted(boxes, end, d, size)
	}
	keys := p.keys[:0]
	for _, b := range boxes {
		keys = append(keys, uint64(uint32(end(b, d)))<<32|uint64(uint32(b)))
	}
	slices.Sort(keys)
	p.keys = keys
	out := make([]int32, len(boxes))
	for i, k := range keys {
		out[i] = int32(uint32(k))
	}
	return out
}

// counted is sorted for many boxes on a level of so many units: places are dealt out by
// how many boxes end at each.
func (p *painter) counted(boxes []int32, end func(b int32, d int) int32, d int, size int32) []int32 {
	p.place = append(p.place[:0], make([]int32, size+2)...)
	for _, b := range boxes {
		p.place[end(b, d)+1]++
	}
	for u := range size + 1 {
		p.place[u+1] += p.place[u]
	}
	out := make([]int32, len(boxes))
	for _, b := range boxes {
		u := end(b, d)
		out[p.place[u]] = b
		p.place[u]++
	}
	return out
}

// paint is the union of the boxes, seen from the levels d and below.
func (p *painter) paint(d int, boxes []int32) Set {
	switch {
	case len(boxes) == 0 || p.s.err != nil:
		return Empty
	case d == p.k-1:
		return p.line(boxes)
	}
	l := p.levels[d]
	starts, stops := p.sorted(boxes, p.lo, d), p.sorted(boxes, p.hi, d)
	var active, spare []int32
	base, at := len(p.s.tmp), int32(0)
	for i, j := 0, 0; j < len(stops); {
		next := p.hi(stops[j], d)
		if i < len(starts) {
			next = min(next, p.lo(starts[i], d))
		}
		if next > at {
			p.s.push(base, next, p.paint(d+1, active))
			at = next
		}
		for j < len(stops) && p.hi(stops[j], d) == at {
			j++
		}
		first := i
		for i < len(starts) && p.lo(starts[i], d) == at {
			i++
		}
		active, spare = p.exchange(d, at, active, starts[first:i], spare[:0]), active
	}
	if size := p.s.levels[l].Size; at < size {
		p.s.push(base, size, Empty)
	}
	return p.s.finish(l, base)
}

// exchange drops from the active boxes those that end at the unit at and merges
// the new ones in, by number.
func (p *painter) exchange(d int, at int32, active, fresh, out []int32) []int32 {
	for _, b := range active {
		if p.hi(b, d) <= at {
			continue
		}
		for len(fresh) > 0 && fresh[0] < b {
			out = append(out, fresh[0])
			fresh = fresh[1:]
		}
		out = append(out, b)
	}
	return append(out, fresh...)
}

// line is the union of runs on the last level, which come by their first units.
func (p *painter) line(boxes []int32) Set {
	d, l := p.k-1, p.levels[p.k-1]
	base, at := len(p.s.tmp), int32(0)
	for _, b := range boxes {
		lo, hi := p.lo(b, d), p.hi(b, d)
		if lo > at {
			p.s.push(base, lo, Empty)
		}
		if hi > at {
			p.s.push(base, hi, All)
			at = hi
		}
	}
	if size := p.s.levels[l].Size; at < size {
		p.s.push(base, size, Empty)
	}
	return p.s.finish(l, base)
}

// Piece is a run of a level, from the end of the piece before, and the set below it.
type Piece struct {
	Hi int32
	To Set
}

// Join is the set that is pieces[i].To along its run of level k. The pieces
// ascend and end with the level; their sets may depend on deeper levels only.
func (s *Space) Join(k int, pieces []Piece) Set {
	base := len(s.tmp)
	for _, p := range pieces {
		s.push(base, p.Hi, p.To)
	}
	return s.finish(int32(k), base)
}

// Cut is the reverse of Join: a as it looks along level k. It must not depend on
// levels above k.
func (s *Space) Cut(a Set, k int) []Piece {
	c := s.open(a, int32(k))
	out := make([]Piece, 0, 1+c.end-c.next)
	for {
		out = append(out, Piece{c.hi, c.to})
		if c.hi == s.levels[k].Size {
			return out
		}
		s.pass(&c, c.hi)
	}
}
