package hands

import (
	"context"
	"fmt"
	"math"
	"slices"

	"feint/internal/clearance"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Entry is how one part goes in.
type Entry struct {
	Part int
	With []int    // parts that go in with it, riding on it
	Way  geom.Vec // unit, the straight way in, as the box is drawn
	// Turned lists the axes about which the part can be turned by half a turn and still
	// goes in, though its shape is then another.
	Turned []geom.Vec
}

// Jam is a part that cannot come out of what is left, and what stops it on its freest way.
type Jam struct {
	Part int
	Way  geom.Vec // outwards
	By   []int
}

// Assembly is an order in which the parts go in, one after another along straight lines,
// and what is left of parts for which there is none.
type Assembly struct {
	Order []Entry // the first goes in first; the frame is there before
	Stuck []Jam
}

const (
	// assemblyWidth is how finely clearances are asked along a way, mm.
	assemblyWidth = 0.1
	// assemblyDeep is by how much surfaces may seem to overlap on a way in, mm: what the
	// width leaves open on a snug way counts as free.
	assemblyDeep = 0.05
	// sameShape is by how much a turned part may differ from itself and count as the same.
	sameShape = 0.15
)

// Assemble looks for the order by taking parts out of the configuration q, along the axes
// of the drawing and of the part's own travels, one part (with what rides on it) at a
// time while the others stand still. Ways with bends and parts that must be moved
// meanwhile are not looked for: that none is found proves nothing. Parts that are glued
// round the others are left out. meshes[i] is part i as drawn; nil ones are left out.
func Assemble(ctx context.Context, m *mechanism.Mechanism, meshes []*mesh.Mesh, q []float64) (*Assembly, error) {
	a := &assembler{ctx: ctx, m: m, q: q, known: map[string]bool{}}
	if err := a.place(meshes); err != nil {
		return nil, err
	}
	var left []int
	for p := range m.Parts {
		if a.bodies[p] != nil && !m.Parts[p].Frame && !m.Parts[p].Glued {
			left = append(left, p)
		}
	}
	out := &Assembly{}
	for len(left) > 0 {
		e, err := a.removable(left)
		if err != nil {
			return nil, err
		}
		if e == nil {
			break
		}
		gone := append([]int{e.Part}, e.With...)
		left = slices.DeleteFunc(left, func(p int) bool { return slices.Contains(gone, p) })
		if err := a.turned(e, left); err != nil {
			return nil, err
		}
		out.Order = append(out.Order, *e)
	}
	slices.Reverse(out.Order)
	for _, p := range left {
		j, err := a.jam(p, left)
		if err != nil {
			return nil, err
		}
		out.Stuck = append(out.Stuck, j)
	}
	return out, nil
}

type assembler struct {
	ctx    context.Context
	m      *mechanism.Mechanism
	q      []float64
	meshes []*mesh.Mesh // in place
	bodies []*clearance.Body
	size   float64 // of the whole, mm
	known  map[string]bool
}

// place poses the meshes.
func (a *assembler) place(meshes []*mesh.Mesh) error {
	all := geom.EmptyBox()
	a.meshes, a.bodies = make([]*mesh.Mesh, len(meshes)), make([]*clearance.Body, len(meshes))
	for p, s := range meshes {
		if s == nil || len(s.T) == 0 {
			continue
		}
		g := a.m.Pose(p, a.q)
		a.meshes[p] = moved(s, g)
		b := a.meshes[p].Bounds()
		all = all.Add(b.Lo).Add(b.Hi)
		var err error
		if a.bodies[p], err = clearance.NewBody(a.meshes[p]); err != nil {
			return fmt.Errorf("%s: %w", a.m.Parts[p].Name, err)
		}
	}
	a.size = r3.Norm(r3.Sub(all.Hi, all.Lo))
	return nil
}

func moved(s *mesh.Mesh, g geom.Motion) *mesh.Mesh {
	out := &mesh.Mesh{V: make([]geom.Vec, len(s.V)), T: s.T}
	for i, v := range s.V {
		out.V[i] = g.Apply(v)
	}
	return out
}

// ways lists the directions in which a part is tried.
func (a *assembler) ways(p int) []geom.Vec {
	out := []geom.Vec{{Z: 1}, {Z: -1}, {X: 1}, {X: -1}, {Y: 1}, {Y: -1}}
	for _, t := range a.m.Parts[p].Travels {
		g := geom.Identity()
		if c := a.m.Parts[p].Carrier; c >= 0 {
			g = a.m.Pose(c, a.q)
		}
		d := g.Turn(a.m.Travels[t].Axis.Dir)
		for _, d := range []geom.Vec{d, r3.Scale(-1, d)} {
			if !slices.ContainsFunc(out, func(o geom.Vec) bool { return r3.Norm(r3.Sub(o, d)) < 1e-9 }) {
				out = append(out, d)
			}
		}
	}
	return out
}

// removable finds a part that comes out of those left, alone or with what rides on it.
func (a *assembler) removable(left []int) (*Entry, error) {
	for _, with := range [2]bool{false, true} {
		for _, p := range left {
			group := []int{p}
			if with {
				group = append(group, a.riders(p, left)...)
				if len(group) == 1 {
					continue
				}
			}
			for _, d := range a.ways(p) {
				by, err := a.blockers(group, d, left, true)
				if err != nil {
					return nil, err
				}
				if len(by) == 0 {
					return &Entry{Part: p, With: group[1:], Way: r3.Scale(-1, d)}, nil
				}
			}
		}
	}
	return nil, nil
}

// riders lists the parts left that p carries.
func (a *assembler) riders(p int, left []int) []int {
	var out []int
	for _, o := range left {
		for c := a.m.Parts[o].Carrier; o != p && c >= 0; c = a.m.Parts[c].Carrier {
			if c == p {
				out = append(out, o)
				break
			}
		}
	}
	return out
}

// blockers lists what stands in the way of a group going along d; with first it stops at
// one.
func (a *assembler) blockers(group []int, d geom.Vec, left []int, first bool) ([]int, error) {
	var out []int
	for o := range a.m.Parts {
		if a.bodies[o] == nil || a.m.Parts[o].Glued || slices.Contains(group, o) || !a.m.Parts[o].Frame && !slices.Contains(left, o) {
			continue
		}
		for _, p := range group {
			ok, err := a.clear(p, o, d)
			if err != nil {
				return nil, err
			}
			if !ok {
				out = append(out, o)
				break
			}
		}
		if first && len(out) > 0 {
			break
		}
	}
	return out, nil
}

// clear tells whether part p goes along d, out of the box, past part o.
func (a *assembler) clear(p, o int, d geom.Vec) (bool, error) {
	key := fmt.Sprint(p, o, d)
	if ok, known := a.known[key]; known {
		return ok, nil
	}
	ok, err := a.passes(a.meshes[p], a.bodies[p], p, o, d)
	a.known[key] = ok
	return ok, err
}

// passes asks a clearance map of the one slide.
func (a *assembler) passes(shape *mesh.Mesh, body *clearance.Body, p, o int, d geom.Vec) (bool, error) {
	if missed(shape.Bounds(), a.meshes[o].Bounds(), d) {
		return true, nil
	}
	m := &mechanism.Mechanism{
		Parts:   []mechanism.Part{{Frame: true, Carrier: -1}, {Carrier: 0, Travels: []int{0}}},
		Travels: []mechanism.Travel{{Part: 1, Axis: geom.Line{Dir: d}, Hi: a.size}},
		Start:   []float64{0},
	}
	k, err := clearance.New(m, 0, 1, a.bodies[o], body)
	if err != nil {
		return false, err
	}
	need := a.m.Needs(p, o, 0) - assemblyDeep
	if a.m.Parts[o].Glued { // it is put round the others: only the place counts
		_, upper, err := k.At(m.Start)
		return upper >= need, err
	}
	for _, f := range glances() { // most ways are blocked, and soon
		_, upper, err := k.At([]float64{f * a.size})
		if err != nil || upper < need {
			return false, err
		}
	}
	if err := k.Refine(a.ctx, []float64{need}, assemblyWidth); err != nil {
		return false, err
	}
	for c := range k.Cells() {
		if c.Upper < need {
			return false, nil
		}
	}
	return true, nil
}

// glances are the shares of a way at which it is looked at first.
func glances() []float64 {
	out := []float64{0, 0.005, 0.01, 0.02, 0.03}
	for i := 1; i < 20; i++ {
		out = append(out, float64(i)/20)
	}
	return out
}

// missed tells from the boxes alone that one going along d never meets the other.
func missed(a, b geom.Box, d geom.Vec) bool {
	for _, k := range [3][5]float64{
		{a.Lo.X, a.Hi.X, b.Lo.X, b.Hi.X, d.X},
		{a.Lo.Y, a.Hi.Y, b.Lo.Y, b.Hi.Y, d.Y},
		{a.Lo.Z, a.Hi.Z, b.Lo.Z, b.Hi.Z, d.Z},
	} {
		// it lies beyond and does not come back
		if k[4] >= 0 && k[0] > k[3] || k[4] <= 0 && k[1] < k[2] {
			return true
		}
	}
	return false
}

// jam is the freest way of a part that does not come out.
func (a *assembler) jam(p int, left []int) (Jam, error) {
	out := Jam{Part: p}
	for _, d := range a.ways(p) {
		by, err := a.blockers([]int{p}, d, left, false)
		if err != nil {
			return out, err
		}
		if out.By == nil || len(by) < len(out.By) {
			out.Way, out.By = d, by
		}
	}
	return out, nil
}

// turned lists the half turns with which the part of an entry also goes in.
func (a *assembler) turned(e *Entry, left []int) error {
	if len(e.With) > 0 {
		return nil
	}
	shape := a.meshes[e.Part]
	b := shape.Bounds()
	mid := r3.Scale(0.5, r3.Add(b.Lo, b.Hi))
	tree := mesh.NewTree(shape)
	for _, axis := range []geom.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
		other := moved(shape, geom.Rotation(geom.Line{Point: mid, Dir: axis}, math.Pi))
		if same(tree, other) {
			continue
		}
		body, err := clearance.NewBody(other)
		if err != nil {
			continue // it cannot be looked at
		}
		ok := true
		for o := range a.m.Parts {
			if !ok || a.bodies[o] == nil || o == e.Part || !a.m.Parts[o].Frame && !slices.Contains(left, o) {
				continue
			}
			if ok, err = a.passes(other, body, e.Part, o, r3.Scale(-1, e.Way)); err != nil {
				return err
			}
		}
		if ok {
			e.Turned = append(e.Turned, axis)
		}
	}
	return nil
}

// same tells whether every corner of other lies on the surface of the tree's mesh.
func same(tree *mesh.Tree, other *mesh.Mesh) bool {
	for _, v := range other.V {
		if d, _, _ := tree.Signed(v); math.Abs(d) > sameShape {
			return false
		}
	}
	return true
}
