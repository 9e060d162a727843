package clearance

import (
	"slices"

	"feint/internal/geom"
)

// shallows shows that no point of either surface lies deeper in the other part than
// depth, all over a cell: see doc.go for the argument.
type shallows struct {
	w     *worker
	depth float64
	n     geom.Vec // a direction in which a likely comes off b, or zero
	left  int      // pieces that may still be looked at
	found critical // a point deeper than depth at the middle of the cell

	queue []pieceOf
	seenA marks // clusters and vertices of either part
	seenB marks
	shown []pieceOf // nodes shown in this attempt
	bare  [2][]bool // shells without a piece in the queue
}

// pieceOf names a cluster of one part.
type pieceOf struct {
	onA  bool
	node int32
}

// marks are sets of clusters and vertices that are emptied at no cost.
type marks struct {
	cluster, vertex, shown []uint32
	now                    uint32
}

func (m *marks) clear(f *form) {
	if m.cluster == nil {
		m.cluster, m.vertex, m.shown = make([]uint32, len(f.nodes)), make([]uint32, len(f.v)), make([]uint32, len(f.nodes))
	}
	m.now++
}

// patch is a piece of a surface: a cluster, a triangle or a part of one.
type patch struct {
	onA  bool
	in   node // its box
	pts  []geom.Vec
	tri  int32 // the triangle, -1 for more than one
	part bool  // of the triangle
}

// The bounds of one attempt: clusters that may cross the other part, or lie within
// it, and pieces looked at. Where more would be needed the cell is divided.
const (
	shallowClusters = 96
	shallowPieces   = 400
)

// shallow tells whether all points are shown no deeper than depth.
func (w *worker) shallow(t *task, base int, depth float64) bool {
	s := &w.shoal
	s.w, s.depth, s.left, s.found = w, depth, shallowPieces, critical{hint: -1}
	s.n = geom.Vec{}
	if t.crit.kind != nothing {
		s.n = t.crit.n
		s.found.value = t.crit.value
	}
	s.queue = s.queue[:0]
	s.seenA.clear(w.m.fa)
	s.seenB.clear(w.m.fb)
	for k, f := range []*form{w.m.fa, w.m.fb} {
		s.bare[k] = slices.Grow(s.bare[k][:0], len(f.roots))[:len(f.roots)]
		for i := range s.bare[k] {
			s.bare[k][i] = true
		}
	}
	s.shown = s.shown[:0]
	if depth >= t.shownAt {
		for _, q := range t.shown {
			m := s.marks(q.onA)
			m.shown[q.node] = m.now
		}
		s.shown = append(s.shown, t.shown...)
	}
	defer func() { t.shown, t.shownAt = slices.Clone(s.shown), depth }()
	if !s.crossing(base) {
		return false
	}
	if i := slices.Index(s.queue, t.weak); i > 0 {
		s.queue[0], s.queue[i] = s.queue[i], s.queue[0]
	}
	for i := 0; i < len(s.queue); i++ {
		if len(s.queue) > shallowClusters || !s.cluster(s.queue[i]) {
			if len(s.queue) <= shallowClusters {
				t.weak = s.queue[i]
			}
			return false
		}
		s.flood(s.queue[i])
	}
	return s.shells()
}

func (s *shallows) form(onA bool) *form {
	if onA {
		return s.w.m.fa
	}
	return s.w.m.fb
}

func (s *shallows) marks(onA bool) *marks {
	if onA {
		return &s.seenA
	}
	return &s.seenB
}

// crossing queues the clusters of all pairs that may cross.
func (s *shallows) crossing(base int) bool {
	w := s.w
	touch := w.touch()
	limit := len(w.stack) + proveSize
	for i := base; i < len(w.stack); {
		p := &w.stack[i]
		if p.lb >= touch {
			i++
			continue
		}
		na, nb := &w.m.fa.nodes[p.a], &w.m.fb.nodes[p.b]
		if v := w.attempt(p, touch, geom.Vec{}); v == opens && (na.from == na.to || nb.from == nb.to) {
			if w.split(i); len(w.stack) > limit {
				return false
			}
			continue
		} else if v != holds {
			s.add(true, w.m.fa.some(p.a))
			s.add(false, w.m.fb.some(p.b))
		}
		i++
	}
	return true
}

// add queues the cluster of a triangle.
func (s *shallows) add(onA bool, tri int32) {
	f, m := s.form(onA), s.marks(onA)
	k := f.clusterOf[tri]
	if m.cluster[k] == m.now {
		return
	}
	m.cluster[k] = m.now
	side := 0
	if !onA {
		side = 1
	}
	s.bare[side][f.body.shell[tri]] = false
	s.queue = append(s.queue, pieceOf{onA, k})
}

// flood queues what adjoins a cluster at a vertex that is not outside.
func (s *shallows) flood(q pieceOf) {
	f, m := s.form(q.onA), s.marks(q.onA)
	nd := &f.nodes[q.node]
	mv := s.w.mover(q.onA)
	b := f.body
	stack := append([]int32(nil), f.names[nd.from:nd.to]...)
	for len(stack) > 0 {
		v := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if m.vertex[v] == m.now {
			continue
		}
		m.vertex[v] = m.now
		all := true
		for e := b.first[v]; e < b.first[v+1]; e++ {
			k := f.clusterOf[b.fan[e]]
			if k < 0 { // no area: what it joins is one
				t := b.mesh.T[b.fan[e]]
				stack = append(stack, t[0], t[1], t[2])
			} else if m.cluster[k] != m.now {
				all = false
			}
		}
		if all || mv.outside(mv.s.pose.Apply(f.v[v])) {
			continue
		}
		for e := b.first[v]; e < b.first[v+1]; e++ {
			if t := b.fan[e]; f.clusterOf[t] >= 0 {
				s.add(q.onA, t)
			}
		}
	}
}

// shells tells whether the shells of which no piece was queued are outside.
func (s *shallows) shells() bool {
	for k, m := range []*mover{&s.w.a, &s.w.b} {
		for i := range m.f.body.shells {
			if s.bare[k][i] && m.f.roots[i] >= 0 && !m.outside(m.s.pose.Apply(m.f.v[m.f.body.shells[i].probe])) {
				return false
			}
		}
	}
	return true
}
