package diagram

import (
	"context"
	"errors"
	"fmt"
	"math/bits"
)

// Set is a handle to a set of points of the Space that made it. Handles of one
// space are equal exactly if the sets are.
type Set int32

// The empty set and the whole space.
const (
	Empty Set = 0
	All   Set = 1
)

// Level is one axis of a space.
type Level struct {
	Size   int32 // units 0..Size-1
	Cyclic bool  // unit Size-1 is a neighbour of unit 0
}

// MaxLevels is the largest number of levels: a set of levels is one word.
const MaxLevels = 64

// Options bound the memory of a space; a zero field takes its default.
type Options struct {
	Nodes int // most nodes held at once
	Edges int // most edges of all nodes
	Cache int // entries of the operation cache, a power of two
}

const (
	// defaultNodes and defaultEdges hold a space to about half a gigabyte: 24
	// bytes a node with its place in the table, 8 an edge.
	defaultNodes = 8 << 20
	defaultEdges = 40 << 20
	// defaultCache is 16 bytes an entry: 32 MB at most.
	defaultCache = 2 << 20
	firstCache   = 1 << 12
	// keptRoom is for how many edges there is room at least after Collect, if there was
	// before: 16 MB.
	keptRoom = 2 << 20
	// checkEvery is how many nodes are made between two looks at the context:
	// about a millisecond.
	checkEvery = 1 << 12
)

// ErrLimit is what Err wraps when a set needs more nodes than allowed.
var ErrLimit = errors.New("decision diagram too large")

type edge struct {
	hi int32 // the run ends before this unit
	to Set
}

type node struct {
	level, first, count int32
	hash                uint32
}

type entry struct {
	a, b Set
	op   uint32 // 0: nothing here
	r    Set
}

type segment struct {
	hi   int32
	r, f Set
}

// Space makes and holds sets.
type Space struct {
	levels []Level
	opt    Options
	ctx    context.Context
	err    error

	nodes []node
	edges []edge
	free  []Set // node numbers to use again
	table []Set // open addressing by hash, 0 where empty
	cache []entry
	masks []Levels

	tmp  []edge    // edges of the nodes being made, innermost last
	segs []segment // segments being swept, innermost last

	made  int // nodes made in all
	ticks int
}

// New makes a space. The context ends its work: see Err. It is an error for a
// level to be empty or for there to be more than MaxLevels.
func New(ctx context.Context, levels []Level, o Options) (*Space, error) {
	if len(levels) > MaxLevels {
		return nil, fmt.Errorf("diagram: %d levels, at most %d", len(levels), MaxLevels)
	}
	for i, l := range levels {
		if l.Size < 1 {
			return nil, fmt.Errorf("diagram: level %d has no units", i)
		}
	}
	if o.Nodes == 0 {
		o.Nodes = defaultNodes
	}
	if o.Edges == 0 {
		o.Edges = defaultEdges
	}
	if o.Cache == 0 {
		o.Cache = defaultCache
	}
	s := &Space{levels: levels, opt: o, ctx: ctx}
	end := node{level: int32(len(levels))}
	s.nodes = append(s.nodes, end, end)
	s.table = make([]Set, 1<<10)
	s.cache = make([]entry, min(firstCache, o.Cache))
	return s, nil
}

// Err is nil as long as every set made means what it should.
func (s *Space) Err() error { return s.err }

// Levels lists the levels of the space, top first; it must not be changed.
func (s *Space) Levels() []Level { return s.levels }

// Made counts the nodes made so far, a measure of the work.
func (s *Space) Made() int { return s.made }

// Live counts the nodes held, reachable or not: see Collect.
func (s *Space) Live() int { return len(s.nodes) - len(s.free) }

// Edges counts the edges of those nodes, a measure of the room they take.
func (s *Space) Edges() int { return len(s.edges) }

func mix(h, x uint64) uint64 {
	hi, lo := bits.Mul64(h^x, 0x9e3779b97f4a7c15)
	return hi ^ lo
}

func hashOf(level int32, es []edge) uint32 {
	h := uint64(level)*0xff51afd7ed558ccd + 0x2545f4914f6cdd1d
	for _, e := range es {
		h = mix(h, uint64(uint32(e.hi))|uint64(uint32(e.to))<<32)
	}
	return uint32(h ^ h>>32)
}

// push adds a run to the node whose edges start at tmp[base].
func (s *Space) push(base int, hi int32, to Set) {
	if n := len(s.tmp); n > base && s.tmp[n-1].to == to {
		s.tmp[n-1].hi = hi
		return
	}
	s.tmp = append(s.tmp, edge{hi, to})
}

// finish makes the node of the edges tmp[base:] and takes them off.
func (s *Space) finish(level int32, base int) Set {
	es := s.tmp[base:]
	s.tmp = s.tmp[:base]
	if s.err != nil {
		return Empty
	}
	if len(es) == 1 {
		return es[0].to
	}
	h := hashOf(level, es)
	mask := uint32(len(s.table) - 1)
	i := h & mask
	for ; s.table[i] != 0; i = (i + 1) & mask {
		if s.same(s.table[i], level, h, es) {
			return s.table[i]
		}
	}
	return s.add(i, node{level: level, count: int32(len(es)), hash: h}, es)
}

func (s *Space) same(x Set, level int32, h uint32, es []edge) bool {
	n := &s.nodes[x]
	if n.hash != h || n.level != level || int(n.count) != len(es) {
		return false
	}
	for i, e := range s.edges[n.first : n.first+n.count] {
		if e != es[i] {
			return false
		}
	}
	return true
}

func (s *Space) add(slot uint32, n node, es []edge) Set {
	if s.ticks++; s.ticks%checkEvery == 0 {
		if err := s.ctx.Err(); err != nil {
			s.err = err
			return Empty
		}
	}
	if s.Live() >= s.opt.Nodes || len(s.edges)+len(es) > s.opt.Edges {
		s.err = fmt.Errorf("%w: %d nodes, %d edges", ErrLimit, s.Live(), len(s.edges))
		return Empty
	}
	n.first = int32(len(s.edges))
	s.edges = append(doubled(s.edges, len(es)), es...)
	var x Set
	if k := len(s.free); k > 0 {
		x, s.free = s.free[k-1], s.free[:k-1]
		s.nodes[x] = n
	} else {
		x = Set(len(s.nodes))
		s.nodes = append(doubled(s.nodes, 1), n)
	}
	s.made++
	s.table[slot] = x
	if 2*s.Live() > len(s.table) {
		s.rehash(2 * len(s.table))
	}
	return x
}

// doubled gives list room for n more, twice what it has if it must be moved: append
// alone moves a long list four times as often.
func doubled[T any](list []T, n int) []T {
	if len(list)+n <= cap(list) {
		return list
	}
	return append(make([]T, 0, len(list)+max(n, len(list))), list...)
}

// rehash rebuilds the table for the nodes in use (those with edges) and lets the
// cache grow along.
func (s *Space) rehash(size int) {
	s.table = make([]Set, size)
	mask := uint32(size - 1)
	for x := 2; x < len(s.nodes); x++ {
		if s.nodes[x].count == 0 {
			continue
		}
		i := s.nodes[x].hash & mask
		for s.table[i] != 0 {
			i = (i + 1) & mask
		}
		s.table[i] = Set(x)
	}
	if n := min(2*size, s.opt.Cache); n > len(s.cache) {
		old := s.cache
		s.cache = make([]entry, n)
		for _, e := range old {
			if e.op != 0 {
				s.cache[s.slot(e.op, e.a, e.b)] = e
			}
		}
	}
}

func (s *Space) slot(op uint32, a, b Set) uint64 {
	h := mix(uint64(op)<<32|0x51afd7ed, uint64(uint32(a))|uint64(uint32(b))<<32)
	return (h ^ h>>29) & uint64(len(s.cache)-1)
}

func (s *Space) recall(op uint32, a, b Set) (Set, bool) {
	e := &s.cache[s.slot(op, a, b)]
	return e.r, e.op == op && e.a == a && e.b == b
}

func (s *Space) remember(op uint32, a, b, r Set) {
	if s.err == nil {
		s.cache[s.slot(op, a, b)] = entry{a, b, op, r}
	}
}

// cursor runs over the edges of a node as seen from a level: a set that does not
// depend on the level is one run.
type cursor struct {
	edge
	next, end int32
}

func (s *Space) open(a Set, level int32) cursor {
	n := &s.nodes[a]
	if n.level != level {
		return cursor{edge: edge{s.levels[level].Size, a}}
	}
	return cursor{s.edges[n.first], n.first + 1, n.first + n.count}
}

// pass moves c on if its run ends at hi.
func (s *Space) pass(c *cursor, hi int32) {
	if c.hi == hi && c.next < c.end {
		c.edge = s.edges[c.next]
		c.next++
	}
}
