package clearance

import (
	"context"
	"errors"
	"math"
	"slices"

	"feint/internal/geom"
	"feint/internal/mesh"
)

// Change is what two shapes of one part do not have in common: the faces of either
// that are not faces of the other, facing the same way, but for 2 mesh.SamePlace.
type Change struct {
	OnA   bool // it is the first part of the pair that changed
	Faces []geom.Triangle
	laid  *Body // out of them
}

// Changed compares two shapes of a part.
func Changed(now, before *mesh.Tree, onA bool) Change {
	faces := append(mesh.Changed(now.Mesh(), before), mesh.Changed(before.Mesh(), now)...)
	return Change{onA, faces, soup(faces)}
}

// inheritSlack is by how much bounds are loosened that are taken over, mm: distances
// to two surfaces that agree within 2 mesh.SamePlace differ by no more than that.
const inheritSlack = 4 * mesh.SamePlace

// inheritBeyond is how much farther than all that is told at the thresholds asked
// the change must lie, mm: far more than the bounds are loosened by.
const inheritBeyond = 0.05

// fewLeaves is in how few cells a map is known that it costs less to ask anew than to find
// out what the change left of it.
const fewLeaves = 4

var errOther = errors.New("clearance: a map of other travels has nothing to leave")

// Inherit takes over from old, a map of the same pair along the same travels before
// one of its parts changed, what the change cannot have touched. m must know nothing
// yet. The rest of m is as if never asked.
//
// Why that may be done: let D be where one shape of the part has plastic and the
// other has none. But for slabs thinner than 2 mesh.SamePlace, D is bounded by the
// faces of the change. Where those stay at least far from the surface of the other
// part B, and neither lies within the other, every point of D is at least far from B.
// So the depth or distance to B of all points of the change is at least far; any
// other point of the one surface is a point of the other; and a point of B has the
// same side of both shapes, and either the same nearest place or one that is at
// least far. The two clearances, both cut off at far either way, are then the same.
func (m *Map) Inherit(ctx context.Context, old *Map, c Change) error {
	if !slices.EqualFunc(m.chain.coords, old.chain.coords, func(x, y Coord) bool { return x.Lo == y.Lo && x.Hi == y.Hi && x.Cyclic == y.Cyclic }) {
		return errOther
	}
	asked := union(old.asked, old.inherited)
	worn := old.worn + inheritSlack
	switch {
	case len(m.chain.coords) == 0 || len(asked) == 0 || worn > leeway:
		return nil // there is no leeway left to loosen bounds
	case len(c.Faces) > 0 && old.root.leaves() <= fewLeaves:
		return nil
	}
	h := &heir{grown: m.span() > old.span()*(1+0x1p-40), m: m, old: old, change: c, asked: asked, far: inheritBeyond}
	for _, a := range asked {
		h.far = max(h.far, math.Abs(a.need)+inheritBeyond)
	}
	if len(c.Faces) == 0 {
		h.adopt(&old.root, &m.root, math.Inf(1))
	} else {
		w := h.worker(ctx)
		w.stack = append(w.stack, pair{a: w.m.fa.root, b: w.m.fb.root})
		if h.share() < leastShare {
			return ctx.Err()
		}
		h.visit(&old.root, &m.root, whole(), 0, 1)
		if err := ctx.Err(); err != nil {
			m.root = cell{lower: math.Inf(-1), upper: math.Inf(1)}
			return err
		}
	}
	m.root.digestAll()
	m.inherited, m.worn = asked, worn
	return nil
}

// span is the displacement of the first part over all of the map: how much cells of
// a size move is in proportion to it.
func (m *Map) span() float64 {
	w := m.newWorker(context.Background(), nil, 1)
	w.place(whole())
	return w.reach
}

// union is what was asked in either list, as finely as in one of them.
func union(x, y []asked) []asked {
	m := Map{asked: slices.Clone(x)}
	for _, a := range y {
		m.learn(a.need, a.width)
	}
	return m.asked
}

// heir takes over cells.
type heir struct {
	m, old *Map
	change Change
	asked  []asked
	far    float64
	grown  bool       // cells move more than they did
	w      *worker    // of the change against the other part
	probes []geom.Vec // a point of every connected piece of the change
	safe   []cellBox  // the last cells known to hold the change outside the other part, and the other way round
}

// worker looks at the faces of the change in place of the part.
func (h *heir) worker(ctx context.Context) *worker {
	b := h.change.laid
	d := &Map{chain: h.m.chain, back: h.m.back, fa: h.m.fa, fb: h.m.fb, slack: h.m.slack}
	var axis geom.Line
	if h.m.fa.round {
		axis = h.m.chainAxis
	}
	f := b.form(axis)
	if h.change.OnA {
		d.fa = f
	} else {
		d.fb = f
	}
	for i := range b.shells {
		h.probes = append(h.probes, f.v[b.shells[i].probe])
	}
	h.w = d.newWorker(ctx, nil, 1)
	return h.w
}

// soup is a body of loose triangles: only distances to it mean something.
func soup(faces []geom.Triangle) *Body {
	b := &Body{mesh: &mesh.Mesh{}, forms: map[geom.Line]*form{}}
	at := map[geom.Vec]int32{}
	for i := range faces {
		var t [3]int32
		for k, v := range faces[i] {
			n, ok := at[v]
			if !ok {
				n = int32(len(b.mesh.V))
				at[v] = n
				b.mesh.V = append(b.mesh.V, v)
			}
			t[k] = n
		}
		b.mesh.T = append(b.mesh.T, t)
		b.normal = append(b.normal, faces[i].Normal())
	}
	b.edge = make([][3]geom.Vec, len(b.mesh.T))
	b.vertex = make([]geom.Vec, len(b.mesh.V))
	b.doubt = make([]bool, len(b.mesh.V))
	b.findShells()
	return b
}

// visit takes over the cell from into to, with the near pairs stack[a:z].
func (h *heir) visit(from, to *cell, d dyadic, a, z int) {
	w := h.w
	if w.ctx.Err() != nil {
		return
	}
	w.place(d)
	w.star.on, w.floor = false, math.Inf(1)
	base := len(w.stack)
	defer func() { w.stack = w.stack[:base] }()
	w.gather(a, z, h.far)
	apart := len(w.stack) == base
	cut := h.far
	if apart {
		cut = max(cut, w.floor)
	}
	if !apart && (from.kids == nil || w.reach <= h.far/4) {
		if _, apart = w.prove(base, h.far, h.far, geom.Vec{}); !apart {
			to.fresh = true
			return
		}
	}
	switch {
	case apart && h.outside():
		h.adopt(from, to, cut)
	case from.kids == nil:
		to.fresh = true
	default:
		to.axis, to.kids = from.axis, &[2]cell{}
		end := len(w.stack)
		for k := range to.kids {
			to.kids[k] = cell{lower: math.Inf(-1), upper: math.Inf(1)}
			h.visit(&from.kids[k], &to.kids[k], d.half(from.axis, uint64(k)), base, end)
		}
		if to.kids[0].blank() && to.kids[1].blank() {
			to.kids, to.fresh = nil, true // to be divided anew, where that tells something
		}
	}
}

// blank tells whether nothing was taken over.
func (c *cell) blank() bool {
	return c.kids == nil && c.fresh && math.IsInf(c.lower, -1) && math.IsInf(c.upper, 1)
}

// leastShare is how much of the old map must be there to be taken over, by number of
// cells, for the search for it to be worth its while; shareOf is at how many cells,
// evenly spread over the map, it is found out.
const (
	leastShare = 0.1
	shareOf    = 64
)

// share is about how much can be taken over.
func (h *heir) share() float64 {
	leaves := h.old.root.leaves()
	step := max(1, leaves/shareOf)
	at, asked, good := 0, 0, 0
	var walk func(c *cell, d dyadic)
	walk = func(c *cell, d dyadic) {
		if c.kids != nil {
			for k := range c.kids {
				walk(&c.kids[k], d.half(c.axis, uint64(k)))
			}
			return
		}
		if at++; at%step == 0 {
			if asked++; h.off(d) {
				good++
			}
		}
	}
	walk(&h.old.root, whole())
	return float64(good) / float64(asked)
}

// off tells whether the change stays off the other part in the cell.
func (h *heir) off(d dyadic) bool {
	w := h.w
	if w.ctx.Err() != nil {
		return false
	}
	w.place(d)
	w.star.on, w.floor = false, math.Inf(1)
	base := len(w.stack)
	defer func() { w.stack = w.stack[:base] }()
	w.gather(0, base, h.far)
	if len(w.stack) > base {
		if _, apart := w.prove(base, h.far, h.far, geom.Vec{}); !apart {
			return false
		}
	}
	return h.outside()
}

// leaves counts the cells that are not divided.
func (c *cell) leaves() int {
	if c.kids == nil {
		return 1
	}
	return c.kids[0].leaves() + c.kids[1].leaves()
}

// adopt copies a cell with all under it, where the change is cut or farther off.
func (h *heir) adopt(from, to *cell, cut float64) {
	if from.kids != nil {
		to.axis, to.kids = from.axis, &[2]cell{}
		h.adopt(&from.kids[0], &to.kids[0], cut)
		h.adopt(&from.kids[1], &to.kids[1], cut)
		return
	}
	to.lower, to.upper, to.proof, to.fresh = from.lower, from.upper, from.proof, from.fresh
	if len(h.change.Faces) == 0 {
		return
	}
	// cut off there either way the clearances are the same; what is open at a threshold
	// stays so, though it may no longer be known how far from it the clearance is
	if to.lower = math.Inf(-1); from.lower > -cut {
		to.lower = min(from.lower-inheritSlack, cut)
	}
	if to.upper = math.Inf(1); from.upper < cut {
		to.upper = max(from.upper+inheritSlack, -cut)
	} else {
		to.proof = nil
	}
	for _, a := range h.asked {
		if h.grown && to.lower < a.need && a.need <= to.upper {
			to.fresh = true // it need not be small any more
		}
	}
}

// cellBox is a cell by its limits.
type cellBox struct{ lo, hi [MaxCoords]float64 }

// touches tells whether two cells have a place in common.
func (b *cellBox) touches(o *cellBox) bool {
	for i := range b.lo {
		if b.lo[i] > o.hi[i] || o.lo[i] > b.hi[i] {
			return false
		}
	}
	return true
}

// remembered is how many cells are kept to be asked whether they touch.
const remembered = 32

// outside tells whether, in a cell in which the change stays off the surface of the
// other part, no piece of it is within that part and no shell of that part within
// what was added or taken away. Then that holds in all such cells that touch.
func (h *heir) outside() bool {
	b := cellBox{h.w.lo, h.w.hi}
	for i := len(h.safe) - 1; i >= 0; i-- {
		if h.safe[i].touches(&b) {
			h.note(b)
			return true
		}
	}
	changed, other := &h.w.a, &h.w.b // movers by their sweeps
	now, before, b0 := h.m.fa, h.old.fa, h.m.fb
	if !h.change.OnA {
		changed, other = other, changed
		now, before, b0 = h.m.fb, h.old.fb, h.m.fa
	}
	for _, p := range h.probes {
		if !b0.outside(changed.s.pose.Apply(p)) {
			return false
		}
	}
	for i := range b0.body.shells {
		x := other.s.pose.Apply(b0.v[b0.body.shells[i].probe])
		if now.outside(x) != before.outside(x) {
			return false
		}
	}
	h.note(b)
	return true
}

func (h *heir) note(b cellBox) {
	if len(h.safe) == remembered {
		h.safe = slices.Delete(h.safe, 0, 1)
	}
	h.safe = append(h.safe, b)
}
