package hands

import (
	"math"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// depthCells is into how many cells the longest side of a part is divided at most, and
	// leastCell their least size, mm.
	depthCells = 64
	leastCell  = 0.25
	// surfacePoints is about how many points of a part's surface are looked at.
	surfacePoints = 320
	// farCost is what the distance of a point to a mesh takes, in points whose cell tells
	// that it is deep, or clear (measured: some 1.5 microseconds for 15 nanoseconds).
	farCost = 100
)

// depths tells how deep points lie in one part as drawn; what it was asked of a cell it
// keeps.
type depths struct {
	tree *mesh.Tree
	box  geom.Box
	size float64 // of a cell, mm
	n    [3]int
	mid  []middling
	pts  []geom.Vec
	bins [binSide * binSide * binSide][]int32 // which of pts lie where in the box
	cost *int
}

// binSide is into how many bins a side of a part is divided.
const binSide = 8

// bin is the bins in which a box begins and ends along each axis; false: it lies beside all.
func (d *depths) bin(b geom.Box) (lo, hi [3]int, ok bool) {
	own := [3][2]float64{{d.box.Lo.X, d.box.Hi.X}, {d.box.Lo.Y, d.box.Hi.Y}, {d.box.Lo.Z, d.box.Hi.Z}}
	other := [3][2]float64{{b.Lo.X, b.Hi.X}, {b.Lo.Y, b.Hi.Y}, {b.Lo.Z, b.Hi.Z}}
	for k := range own {
		if other[k][0] > own[k][1] || other[k][1] < own[k][0] {
			return lo, hi, false
		}
		side := max(own[k][1]-own[k][0], 1e-9) / binSide
		lo[k] = max(0, min(binSide-1, int((other[k][0]-own[k][0])/side)))
		hi[k] = max(0, min(binSide-1, int((other[k][1]-own[k][0])/side)))
	}
	return lo, hi, true
}

func newDepths(m *mesh.Mesh, cost *int) *depths {
	d := &depths{tree: mesh.NewTree(m), cost: cost}
	d.box = d.tree.Bounds()
	e := r3.Sub(d.box.Hi, d.box.Lo)
	d.size = max(leastCell, max(e.X, e.Y, e.Z)/depthCells)
	all := 1
	for k, v := range [3]float64{e.X, e.Y, e.Z} {
		d.n[k] = int(v/d.size) + 1
		all *= d.n[k]
	}
	d.mid = make([]middling, all)
	d.pts = spread(m)
	for i, v := range d.pts {
		at, _, _ := d.bin(geom.EmptyBox().Add(v))
		k := (at[0]*binSide+at[1])*binSide + at[2]
		d.bins[k] = append(d.bins[k], int32(i))
	}
	return d
}

// middling is the middle of a cell.
type middling struct {
	asked bool
	far   float32    // signed distance, mm
	up    [3]float32 // unit, in which it grows
}

// deep tells whether v lies in the part, and its distance to the surface is less than need,
// which is not above 0.
func (d *depths) deep(v geom.Vec, need float64) bool {
	c, _ := d.cell(v)
	if c == nil {
		return false
	}
	half := d.size * math.Sqrt(3) / 2
	switch s := float64(c.far); {
	case s-half > need+1e-5: // a float32 is off by less
		return false
	case s+half < need-1e-5:
		return true
	}
	return d.exact(v, need)
}

// seemsDeep is deep by a plane for every cell where that says no: a small overlap may be
// missed beside edges.
func (d *depths) seemsDeep(v geom.Vec, need float64) bool {
	c, m := d.cell(v)
	if c == nil {
		return false
	}
	o := r3.Sub(v, m)
	if float64(c.far)+o.X*float64(c.up[0])+o.Y*float64(c.up[1])+o.Z*float64(c.up[2]) >= need {
		return false
	}
	if float64(c.far)+d.size*math.Sqrt(3)/2 < need-1e-5 {
		return true
	}
	return d.exact(v, need)
}

func (d *depths) exact(v geom.Vec, need float64) bool {
	*d.cost += farCost
	if !d.tree.Inside(v) {
		return false
	}
	s, _, _ := d.tree.Signed(v)
	return s < need
}

// cell is the cell of a point and its middle; nil beside the part's box.
func (d *depths) cell(v geom.Vec) (*middling, geom.Vec) {
	*d.cost++
	x, y, z := (v.X-d.box.Lo.X)/d.size, (v.Y-d.box.Lo.Y)/d.size, (v.Z-d.box.Lo.Z)/d.size
	if x < 0 || y < 0 || z < 0 {
		return nil, geom.Vec{}
	}
	i, j, k := int(x), int(y), int(z)
	if i >= d.n[0] || j >= d.n[1] || k >= d.n[2] {
		return nil, geom.Vec{}
	}
	c := &d.mid[(i*d.n[1]+j)*d.n[2]+k]
	m := geom.Vec{X: d.box.Lo.X + (float64(i)+0.5)*d.size, Y: d.box.Lo.Y + (float64(j)+0.5)*d.size, Z: d.box.Lo.Z + (float64(k)+0.5)*d.size}
	if !c.asked {
		*d.cost += farCost
		s, _, near := d.tree.Signed(m)
		up := r3.Sub(m, near)
		if n := r3.Norm(up); n > 1e-9 {
			up = r3.Scale(1/math.Copysign(n, s), up)
		}
		*c = middling{true, float32(s), [3]float32{float32(up.X), float32(up.Y), float32(up.Z)}}
	}
	return c, m
}

// spread is points of a mesh's surface, its corners among them, about evenly.
func spread(m *mesh.Mesh) []geom.Vec {
	far := math.Sqrt(2 * m.Area() / surfacePoints)
	var out []geom.Vec
	for i := 0; i < len(m.V); i += 1 + len(m.V)/surfacePoints {
		out = append(out, m.V[i])
	}
	var halve func(t geom.Triangle)
	halve = func(t geom.Triangle) {
		long, at := 0.0, 0
		for i := range t {
			if d := r3.Norm2(r3.Sub(t[i], t[(i+1)%3])); d > long {
				long, at = d, i
			}
		}
		a, b, c := t[at], t[(at+1)%3], t[(at+2)%3]
		if mid := r3.Scale(0.5, r3.Add(a, b)); long > far*far {
			halve(geom.Triangle{a, mid, c})
			halve(geom.Triangle{mid, b, c})
			return
		}
		out = append(out, r3.Scale(1.0/3, r3.Add(a, r3.Add(b, c))))
	}
	for i := range m.T {
		halve(m.Triangle(i))
	}
	if step := 1 + len(out)/(4*surfacePoints); step > 1 {
		few := out[:0]
		for i := 0; i < len(out); i += step {
			few = append(few, out[i])
		}
		out = few
	}
	return out
}

// group is parts that move together past others.
type group struct {
	h      *hunt
	parts  []int
	poses  []geom.Motion
	others []int
	stand  []geom.Motion
	boxes  []geom.Box // of the others
	last   *[2]int    // the pair that met last
}

// pairKey names a point of one part that met another.
type pairKey struct{ a, b int }

// gather is the group of the parts as they stand in q, past the others.
func (h *hunt) gather(parts, others []int, q []float64) *group {
	g := &group{h: h, parts: parts, others: others, last: &[2]int{}}
	for _, p := range parts {
		g.poses = append(g.poses, h.a.m.Pose(p, q))
	}
	for _, o := range others {
		s := h.a.m.Pose(o, q)
		g.stand, g.boxes = append(g.stand, s), append(g.boxes, posedBox(h.depths[o].box, s))
	}
	return g
}

// posedBox is a box round b, posed.
func posedBox(b geom.Box, g geom.Motion) geom.Box {
	out := geom.EmptyBox()
	for i := range 8 {
		v := b.Lo
		if i&1 > 0 {
			v.X = b.Hi.X
		}
		if i&2 > 0 {
			v.Y = b.Hi.Y
		}
		if i&4 > 0 {
			v.Z = b.Hi.Z
		}
		out = out.Add(g.Apply(v))
	}
	return out
}

// hits tells whether points of the group, moved by g, lie in another part, or the other way
// round.
func (k *group) hits(g geom.Motion) bool {
	n := len(k.parts) * len(k.others)
	if n == 0 {
		return false
	}
	first := k.last[0]*len(k.others) + k.last[1]
	for i := range n {
		at := (first + i) % n
		a, b := at/len(k.others), at%len(k.others)
		if k.meets(a, b, k.poses[a].Then(g)) {
			*k.last = [2]int{a, b}
			return true
		}
	}
	return false
}

func (k *group) meets(a, b int, pose geom.Motion) bool {
	p, o := k.parts[a], k.others[b]
	h := k.h
	if posedBox(h.depths[p].box, pose).Distance(k.boxes[b]) > 0 {
		return false
	}
	need := h.a.m.Needs(p, o, 0) - assemblyDeep
	there := pose.Then(k.stand[b].Inverse())
	return h.sunk(p, o, there, need) || h.sunk(o, p, there.Inverse(), need)
}

// sunk tells whether a point of part p lies in part o deeper than need allows; there brings
// p's drawing to o's. The point that did so last is looked at first.
func (h *hunt) sunk(p, o int, there geom.Motion, need float64) bool {
	pts, d, key := h.depths[p].pts, h.depths[o], pairKey{p, o}
	if i, ok := h.met[key]; ok && d.seemsDeep(there.Apply(pts[i]), need) {
		return true
	}
	lo, hi, ok := h.depths[p].bin(posedBox(d.box, there.Inverse()))
	if !ok {
		return false
	}
	for x := lo[0]; x <= hi[0]; x++ {
		for y := lo[1]; y <= hi[1]; y++ {
			for z := lo[2]; z <= hi[2]; z++ {
				for _, i := range h.depths[p].bins[(x*binSide+y)*binSide+z] {
					if d.seemsDeep(there.Apply(pts[i]), need) {
						h.met[key] = int(i)
						return true
					}
				}
			}
		}
	}
	return false
}

// out tells whether the group, moved by g and going on along d, meets none of the others:
// it lies beyond them all.
func (k *group) out(g geom.Motion, d geom.Vec) bool {
	for a, p := range k.parts {
		own := posedBox(k.h.depths[p].box, k.poses[a].Then(g))
		for _, b := range k.boxes {
			if !missed(own, b, d) {
				return false
			}
		}
	}
	return true
}
