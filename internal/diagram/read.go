package diagram

import (
	"iter"
	"slices"
	"sort"
)

// child is the set below a at unit u of its level.
func (s *Space) child(a Set, u int32) Set {
	n := &s.nodes[a]
	es := s.edges[n.first : n.first+n.count]
	return es[sort.Search(len(es), func(i int) bool { return es[i].hi > u })].to
}

// Contains tells whether the point p, a unit for every level, is in a.
func (s *Space) Contains(a Set, p []int32) bool {
	for a > All {
		a = s.child(a, p[s.nodes[a].level])
	}
	return a == All
}

// MeetsBox tells whether a has a point within the runs, one for every level, none empty. It makes no
// set, so that several goroutines may ask while none makes any.
func (s *Space) MeetsBox(a Set, runs []Run) bool {
	if a <= All {
		return a == All
	}
	n := &s.nodes[a]
	r, at := runs[n.level], int32(0)
	for _, e := range s.edges[n.first : n.first+n.count] {
		if at >= r.Hi {
			break
		}
		if e.hi > r.Lo && e.to != Empty && s.MeetsBox(e.to, runs) {
			return true
		}
		at = e.hi
	}
	return false
}

// At is a seen with the levels of m fixed at the units of p: a set that no longer
// depends on them.
func (s *Space) At(m Levels, p []int32, a Set) Set {
	var ks []int
	var rs []Run
	for k := range s.levels {
		if m.has(int32(k)) {
			ks = append(ks, k)
			rs = append(rs, Run{p[k], p[k] + 1})
		}
	}
	if len(ks) == 0 {
		return a
	}
	return s.Exists(m, s.And(a, s.Box(ks, rs)))
}

// Line lists the runs of a along level k, the other levels at the units of p. On
// a cyclic level a run across the ends comes as two.
func (s *Space) Line(a Set, k int, p []int32) []Run {
	for a > All && s.nodes[a].level < int32(k) {
		a = s.child(a, p[s.nodes[a].level])
	}
	if a == Empty {
		return nil
	}
	var out []Run
	at := int32(0)
	c := s.open(a, int32(k))
	for {
		hi, to := c.hi, c.to
		for to > All {
			to = s.child(to, p[s.nodes[to].level])
		}
		if to == All {
			if n := len(out); n > 0 && out[n-1].Hi == at {
				out[n-1].Hi = hi
			} else {
				out = append(out, Run{at, hi})
			}
		}
		at = hi
		if hi == s.levels[k].Size {
			return out
		}
		s.pass(&c, hi)
	}
}

// Span is the least run of level k that holds the units of all points of a.
func (s *Space) Span(a Set, k int) (Run, bool) {
	rest := LevelsOf(k) ^ (1<<len(s.levels) - 1)
	rs := s.Line(s.Exists(rest, a), k, make([]int32, len(s.levels)))
	if len(rs) == 0 {
		return Run{}, false
	}
	return Run{rs[0].Lo, rs[len(rs)-1].Hi}, true
}

// Pick is the point of a that is nearest to want, level by level from the top;
// false if a is empty.
func (s *Space) Pick(a Set, want []int32) ([]int32, bool) {
	if a == Empty || s.err != nil {
		return nil, false
	}
	p := slices.Clone(want)
	for a > All {
		l := s.nodes[a].level
		at, best, to := int32(0), int32(-1), Empty
		n := s.nodes[a]
		for _, e := range s.edges[n.first : n.first+n.count] {
			if e.to != Empty {
				u := max(at, min(e.hi-1, want[l]))
				if best < 0 || s.apart(l, u, want[l]) < s.apart(l, best, want[l]) {
					best, to = u, e.to
				}
			}
			at = e.hi
		}
		p[l], a = best, to
	}
	return p, true
}

func (s *Space) apart(l, u, v int32) int32 {
	d := max(u-v, v-u)
	if s.levels[l].Cyclic {
		d = min(d, s.levels[l].Size-d)
	}
	return d
}

// Boxes runs over disjoint boxes whose union is a, in a fixed order: a run for
// every level of ks, which must name all levels on which a depends, ascending.
// The slice is only lent.
func (s *Space) Boxes(a Set, ks []int) iter.Seq[[]Run] {
	return func(yield func([]Run) bool) {
		box := make([]Run, len(ks))
		var walk func(a Set, i int) bool
		walk = func(a Set, i int) bool {
			if a == Empty {
				return true
			}
			if i == len(ks) {
				return yield(box)
			}
			at := int32(0)
			c := s.open(a, int32(ks[i]))
			for {
				hi := c.hi
				box[i] = Run{at, hi}
				if !walk(c.to, i+1) {
					return false
				}
				at = hi
				if hi == s.levels[ks[i]].Size {
					return true
				}
				s.pass(&c, hi)
			}
		}
		walk(a, 0)
	}
}

// Count is the volume of a where a unit of level k measures weight[k]; with a nil
// weight every unit is 1 and Count is the number of points.
func (s *Space) Count(a Set, weight []float64) float64 {
	w := func(l int32) float64 {
		if weight == nil {
			return 1
		}
		return weight[l]
	}
	memo := map[Set]float64{}
	// volume of x over its own level and those below
	var volume func(x Set) float64
	// free is the volume of the levels from l up to, not including, m
	free := func(l, m int32) float64 {
		v := 1.0
		for ; l < m; l++ {
			v *= float64(s.levels[l].Size) * w(l)
		}
		return v
	}
	volume = func(x Set) float64 {
		if x <= All {
			return float64(x)
		}
		if v, ok := memo[x]; ok {
			return v
		}
		n := s.nodes[x]
		at, v := int32(0), 0.0
		for _, e := range s.edges[n.first : n.first+n.count] {
			if e.to != Empty {
				v += float64(e.hi-at) * w(n.level) * free(n.level+1, s.nodes[e.to].level) * volume(e.to)
			}
			at = e.hi
		}
		memo[x] = v
		return v
	}
	return free(0, s.nodes[a].level) * volume(a)
}

// Size counts the nodes of which the sets are made, each once.
func (s *Space) Size(sets ...Set) int {
	seen := map[Set]bool{}
	var walk func(x Set)
	walk = func(x Set) {
		if x <= All || seen[x] {
			return
		}
		seen[x] = true
		n := s.nodes[x]
		for _, e := range s.edges[n.first : n.first+n.count] {
			walk(e.to)
		}
	}
	for _, x := range sets {
		walk(x)
	}
	return len(seen)
}

// Support is the levels on which the sets depend.
func (s *Space) Support(sets ...Set) Levels {
	seen := map[Set]bool{}
	var m Levels
	var walk func(x Set)
	walk = func(x Set) {
		if x <= All || seen[x] {
			return
		}
		seen[x] = true
		n := s.nodes[x]
		m |= 1 << n.level
		for _, e := range s.edges[n.first : n.first+n.count] {
			walk(e.to)
		}
	}
	for _, x := range sets {
		walk(x)
	}
	return m
}

// Top is the first level on which a depends; the number of levels if none.
func (s *Space) Top(a Set) int { return int(s.nodes[a].level) }
