package mesh

// bounds is an axis-aligned box: least corner, greatest corner.
type bounds struct {
	lo, hi [3]float64
}

func (b *bounds) meets(c *bounds) bool {
	return b.lo[0] <= c.hi[0] && c.lo[0] <= b.hi[0] &&
		b.lo[1] <= c.hi[1] && c.lo[1] <= b.hi[1] &&
		b.lo[2] <= c.hi[2] && c.lo[2] <= b.hi[2]
}

func (b *bounds) extend(c *bounds) {
	for k := range 3 {
		b.lo[k] = min(b.lo[k], c.lo[k])
		b.hi[k] = max(b.hi[k], c.hi[k])
	}
}

// boundsOf is the box of three corners.
func boundsOf(a, b, c *[3]float64) bounds {
	var o bounds
	for k := range 3 {
		o.lo[k] = min(a[k], b[k], c[k])
		o.hi[k] = max(a[k], b[k], c[k])
	}
	return o
}

// boxTree is a static binary tree of boxes. The children of an inner node are
// the next node and right; a leaf (right 0) holds items[first:first+count].
type boxTree struct {
	nodes []boxNode
	items []int32
	box   []bounds // by item number
}

type boxNode struct {
	bounds
	right, first, count int32
}

// boxLeaf is the most boxes of a leaf; flat between 3 and 8 (measured).
const boxLeaf = 4

func newBoxTree(box []bounds) *boxTree {
	t := &boxTree{box: box, items: make([]int32, len(box)), nodes: make([]boxNode, 0, len(box))}
	mid := make([][3]float64, len(box))
	for i := range box {
		t.items[i] = int32(i)
		for k := range 3 {
			mid[i][k] = box[i].lo[k] + box[i].hi[k]
		}
	}
	if len(box) > 0 {
		t.build(mid, 0, len(box))
	}
	return t
}

func (t *boxTree) build(mid [][3]float64, from, to int) int32 {
	id := int32(len(t.nodes))
	ids := t.items[from:to]
	b := t.box[ids[0]]
	lo, hi := mid[ids[0]], mid[ids[0]]
	for _, i := range ids[1:] {
		b.extend(&t.box[i])
		for k := range 3 {
			lo[k] = min(lo[k], mid[i][k])
			hi[k] = max(hi[k], mid[i][k])
		}
	}
	t.nodes = append(t.nodes, boxNode{bounds: b, first: int32(from), count: int32(to - from)})
	if to-from <= boxLeaf {
		return id
	}
	axis := 0
	for k := 1; k < 3; k++ {
		if hi[k]-lo[k] > hi[axis]-lo[axis] {
			axis = k
		}
	}
	half := (to - from) / 2
	selectBy(ids, half, mid, axis)
	t.build(mid, from, from+half)
	t.nodes[id].right = t.build(mid, from+half, to)
	t.nodes[id].count = 0
	return id
}

// selectBy reorders ids so that the k-th stands where a sort by mid[axis]
// would put it, smaller ones before it (Hoare's quickselect).
func selectBy(ids []int32, k int, mid [][3]float64, axis int) {
	lo, hi := 0, len(ids)-1
	for lo < hi {
		p := mid[ids[(lo+hi)/2]][axis]
		i, j := lo, hi
		for i <= j {
			for mid[ids[i]][axis] < p {
				i++
			}
			for mid[ids[j]][axis] > p {
				j--
			}
			if i <= j {
				ids[i], ids[j] = ids[j], ids[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return
		}
	}
}

// pairs calls fn for every two items whose boxes meet, each pair once, in an
// order that depends on the boxes alone.
func (t *boxTree) pairs(fn func(i, j int32)) {
	if len(t.nodes) > 0 {
		t.within(0, fn)
	}
}

func (t *boxTree) within(a int32, fn func(i, j int32)) {
	n := &t.nodes[a]
	if n.right != 0 {
		t.within(a+1, fn)
		t.within(n.right, fn)
		t.across(a+1, n.right, fn)
		return
	}
	ids := t.items[n.first : n.first+n.count]
	for x, i := range ids {
		for _, j := range ids[x+1:] {
			if t.box[i].meets(&t.box[j]) {
				fn(i, j)
			}
		}
	}
}

func (t *boxTree) across(a, b int32, fn func(i, j int32)) {
	m, n := &t.nodes[a], &t.nodes[b]
	if !m.meets(&n.bounds) {
		return
	}
	switch {
	case m.right == 0 && n.right == 0:
		for _, i := range t.items[m.first : m.first+m.count] {
			if !n.meets(&t.box[i]) {
				continue
			}
			for _, j := range t.items[n.first : n.first+n.count] {
				if t.box[i].meets(&t.box[j]) {
					fn(i, j)
				}
			}
		}
	case n.right == 0 || (m.right != 0 && m.size() >= n.size()):
		t.across(a+1, b, fn)
		t.across(m.right, b, fn)
	default:
		t.across(a, b+1, fn)
		t.across(a, n.right, fn)
	}
}

func (n *boxNode) size() float64 {
	return n.hi[0] - n.lo[0] + n.hi[1] - n.lo[1] + n.hi[2] - n.lo[2]
}

// touching calls fn for every item whose box meets q.
func (t *boxTree) touching(q *bounds, fn func(i int32)) {
	if len(t.nodes) > 0 {
		t.touchingFrom(0, q, fn)
	}
}

func (t *boxTree) touchingFrom(a int32, q *bounds, fn func(i int32)) {
	n := &t.nodes[a]
	if !n.meets(q) {
		return
	}
	if n.right != 0 {
		t.touchingFrom(a+1, q, fn)
		t.touchingFrom(n.right, q, fn)
		return
	}
	for _, i := range t.items[n.first : n.first+n.count] {
		if t.box[i].meets(q) {
			fn(i)
		}
	}
}
