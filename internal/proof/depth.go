package proof

import (
	"math"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// depth shows for two parts whose surfaces cross that neither surface lies deeper
// within the other part than allowed, mm.
//
// Triangles that meet no triangle of the other part over an interval are wholly
// inside or wholly outside of it, and so are those joined to them; one point of
// each such region tells. What crosses, and regions inside, are shown to be
// shallow piece by piece: a piece is shallow where it stays within allowed of one
// triangle or one plane face of the other part's surface (whether outside or
// inside), or where its distance is such that it cannot come too deep. What is neither is divided, first
// in space, then in time.
type depth struct {
	allowed float64
	a, b    solid
	pieces  int      // looked at
	most    int      // of them
	first   [2]int32 // of each part, the triangle that stopped the last attempt: tried first
}

// solid is a part as drawn and the motion from the travel's frame to it.
type solid struct {
	tree *mesh.Tree
	to   geom.Motion
}

const (
	// depthReach is the motion, in units of the depth allowed, up to which an
	// interval is worth the trouble.
	depthReach = 16
	// mostPieces bounds the work on one interval.
	mostPieces = 1 << 14
	// deepCost is by how much less may be spent where depths are looked at and the work is
	// bounded (sweep.most): such an interval costs far more.
	deepCost = 2
	// mostDepths is how many pieces all tasks of a walk may look at together, and
	// leastDepths how many each of them may at least: parts that rub all along a turn, an
	// overlap of some hundredths, take millions.
	mostDepths  = 1 << 22
	leastDepths = 1 << 16
	// mostSteps bounds the intervals of one task.
	mostSteps = 1 << 14
)

// result is what became of an interval, a region or a piece.
type result uint8

const (
	shallow result = iota
	unknown
	deep
)

// holds tells whether the interval is done with: shown to be shallow (no fault),
// or at fault. rest are the couples not shown to keep clear of each other.
func (d *depth) holds(s *sweep, v span, rest []couple) (done bool, f *fault) {
	if d.pieces > d.most || s.steps > mostSteps || s.most > 0 && s.steps > s.most/deepCost {
		return true, &fault{at: v.mid(), clearance: s.need, open: true}
	}
	if s.reach(v) > depthReach*d.allowed {
		return false, nil
	}
	flipped := make([]couple, len(rest))
	for i, c := range rest {
		flipped[i] = couple{c.b, c.a}
	}
	back := &sweep{a: s.b, b: s.a, kind: s.kind, pitch: s.pitch}
	for i, side := range [2]*intrusion{
		{s: s, v: v, allowed: d.allowed, other: d.b, first: &d.first[0]},
		{s: back, v: span{-v.hi, -v.lo}, allowed: d.allowed, other: d.a, first: &d.first[1]},
	} {
		if side.most = mostPieces; s.most > 0 {
			side.most = mostPieces / deepCost
		}
		result := side.check([2][]couple{rest, flipped}[i])
		d.pieces += side.pieces
		switch result {
		case deep:
			return true, &fault{at: v.mid(), clearance: -side.worst}
		case unknown:
			return false, nil
		case shallow:
		}
	}
	return true, nil
}

// apart tells whether, at the value at, neither part holds a shell of the other.
// It decides where surfaces do not meet.
func (d *depth) apart(s *sweep, v span) *fault {
	c := s.still(v)
	between := d.a.to.Inverse().Then(c.g).Then(d.b.to) // a as drawn to b as drawn
	for _, x := range []float64{deepest(d.a.tree, d.b.tree, between), deepest(d.b.tree, d.a.tree, between.Inverse())} {
		if x < -slack {
			return &fault{at: v.mid(), clearance: x, open: x >= -d.allowed}
		}
	}
	return nil
}

// intrusion is the part s.a into the part s.b, called other as drawn.
type intrusion struct {
	s       *sweep
	v       span
	allowed float64
	other   solid

	first  *int32
	near   []int32 // kept for keepsNear
	at     still
	ends   [2]geom.Motion
	worst  float64 // depth found where it is too deep
	pieces int
	most   int // of them
}

// check looks at all triangles of s.a.
func (n *intrusion) check(rest []couple) result {
	n.at = n.s.still(n.v)
	n.ends = [2]geom.Motion{n.s.still(span{n.v.lo, n.v.lo}).g, n.s.still(span{n.v.hi, n.v.hi}).g}
	near := make([]bool, len(n.s.a.tri))
	for _, c := range rest {
		x := &n.s.a.nodes[c.a]
		for i := x.first; i < x.to; i++ {
			near[i] = true
		}
	}
	var list []int32
	if near[*n.first] {
		list = append(list, *n.first)
	}
	for i, ok := range near {
		if ok {
			list = append(list, int32(i))
		}
	}
	for _, region := range n.s.a.regions(near) {
		if !n.outside(region) {
			list = append(list, region...)
		}
	}
	for _, i := range list {
		switch n.piece(n.s.a.tri[i][:]) {
		case deep:
			return deep
		case unknown:
			*n.first = i
			return n.search(list)
		case shallow:
		}
	}
	return shallow
}

// search looks for a corner, or the middle of a side, that is too deep in the
// middle of the interval, so that a refusal need not wait until the first value
// that deserves it is found.
func (n *intrusion) search(list []int32) result {
	for _, i := range list {
		t := &n.s.a.tri[i]
		for k := range 6 {
			p := t[k%3]
			if k >= 3 {
				p = r3.Scale(0.5, r3.Add(p, t[(k+1)%3]))
			}
			if n.s.b.nearest(n.at.g.Apply(p)) <= n.allowed+slack {
				continue
			}
			if x := n.signed(p); x < -n.allowed-slack {
				n.worst = -x
				return deep
			}
		}
	}
	return unknown
}

// outside tells whether a region that meets nothing is outside: by the first of
// its triangles that is not on the very surface.
func (n *intrusion) outside(region []int32) bool {
	for _, i := range region {
		if d := n.signed(middle(&n.s.a.tri[i])); math.Abs(d) > slack {
			return d > 0
		}
	}
	return false
}

// signed is the signed distance to the other part of the point p of s.a in the
// middle of the interval.
func (n *intrusion) signed(p geom.Vec) float64 {
	return n.sign(p, n.s.b.nearest(n.at.g.Apply(p)))
}

// sign gives a distance its sign: the boundary being that of the solid, only the
// side is left to tell.
func (n *intrusion) sign(p geom.Vec, d float64) float64 {
	if n.other.tree.Inside(n.other.to.Apply(n.at.g.Apply(p))) {
		return -d
	}
	return d
}

// regions lists the triangles that are not left out, those joined by sides
// together.
func (b *body) regions(leftOut []bool) [][]int32 {
	b.once.Do(b.join)
	of := make([]int32, len(b.tri))
	for i := range of {
		of[i] = -1
	}
	var out [][]int32
	for i := range b.tri {
		if leftOut[i] || of[i] >= 0 {
			continue
		}
		region := []int32{int32(i)}
		of[i] = int32(len(out))
		for k := 0; k < len(region); k++ {
			for _, j := range b.beside[region[k]] {
				if !leftOut[j] && of[j] < 0 {
					of[j] = of[i]
					region = append(region, j)
				}
			}
		}
		out = append(out, region)
	}
	return out
}

// join finds the triangles on the other side of every side.
func (b *body) join() {
	type side struct{ p, q geom.Vec }
	b.beside = make([][]int32, len(b.tri))
	at := make(map[side]int32, 2*len(b.tri))
	for i := range b.tri {
		for k := range 3 {
			p, q := b.tri[i][k], b.tri[i][(k+1)%3]
			if j, ok := at[side{q, p}]; ok {
				b.beside[i] = append(b.beside[i], j)
				b.beside[j] = append(b.beside[j], int32(i))
			}
			at[side{p, q}] = int32(i)
		}
	}
	b.gather()
}
