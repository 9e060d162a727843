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
	// Bend is the travel along which it then goes on to where it stands; nil if it goes
	// straight there.
	Bend *Bend
	// Leg is the straight way on which it goes on after Way, before Bend; nil for none.
	Leg *Straight
	// Path is how it goes in, in the order of going in, where none of these ways was found;
	// Way is then its first stretch.
	Path []Stretch
	// Stands are the travels of what goes in that are not where they are at the end, and
	// where they stand.
	Stands []Place
	// After is what is done once it is in, to parts that are in.
	After []Shift
}

// Jam is a part for which no way out of what is left was found, and something that stops
// it on one of its straight ways.
type Jam struct {
	Part int
	Way  geom.Vec // outwards
	By   []int
	// Kept is what is proved: that the one part of By keeps it, whatever the others do.
	Kept Kept
}

// Assembly is an order in which the parts go in, one after another, and what is left of
// parts for which none was found.
type Assembly struct {
	Order []Entry // the first goes in first; the frame is there before
	Stuck []Jam
	Tried Tried // what was tried for those that are stuck
}

const (
	// assemblyWidth is how finely clearances are asked along a way, mm.
	assemblyWidth = 0.1
	// assemblyDeep is by how much surfaces may seem to overlap on a way in, mm: what the
	// width leaves open on a snug way counts as free.
	assemblyDeep = 0.05
	// sameTurn is by how much axes and angles may differ and count as the same, radians.
	sameTurn = 1e-3
	// sameShape is by how much a turned part may differ from itself and count as the same.
	sameShape = 0.15
)

// Assemble looks for the order by taking parts out of the configuration q, along the axes
// of the drawing and of the part's own travels, one part (with what rides on it) at a
// time while the others stand still: first straight from where it stands, then, for a
// part on which nothing rides, from either limit of one of its own travels, to which it
// goes first, or turned to where it comes off its axis, and last on two straight legs, from
// where it stands or from a limit of one of its travels. Ways with more bends and parts
// that must be moved meanwhile are not looked for: that none is found proves nothing. Parts that are glued
// round the others are left out, and so are tools in other places than their first. meshes[i] is part i as drawn; nil ones are left out.
func Assemble(ctx context.Context, m *mechanism.Mechanism, meshes []*mesh.Mesh, q []float64) (*Assembly, error) {
	return assemble(ctx, m, meshes, [][]float64{q}, false)
}

// AssembleFurther is Assemble that also looks for ways of more stretches, with turns, and
// with other parts at other places of their own travels meanwhile; and of parts that stay,
// for a proof that one other keeps them. way has the configurations of a way on from where
// the parts are to stand, which is there first; it is known to be free. What it takes is
// bounded, counted and not timed: some seconds.
func AssembleFurther(ctx context.Context, m *mechanism.Mechanism, meshes []*mesh.Mesh, way [][]float64) (*Assembly, error) {
	return assemble(ctx, m, meshes, way, true)
}

func assemble(ctx context.Context, m *mechanism.Mechanism, meshes []*mesh.Mesh, way [][]float64, further bool) (*Assembly, error) {
	a := &assembler{ctx: ctx, m: m, drawn: meshes, home: way[0], known: map[string]bool{}, shapes: map[string]shape{}, trees: map[*mesh.Mesh]*mesh.Tree{}}
	if err := a.stand(way[0]); err != nil {
		return nil, err
	}
	var h *hunt
	if further {
		h = a.hunt(way)
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
		if e == nil && err == nil {
			e, err = a.round(left)
		}
		if e == nil && err == nil {
			e, err = a.legs(left)
		}
		if e == nil && err == nil && h != nil {
			e, err = h.find(left)
		}
		if err != nil {
			return nil, err
		}
		if e == nil {
			break
		}
		e.Stands = a.stands(append([]int{e.Part}, e.With...))
		gone := append([]int{e.Part}, e.With...)
		left = slices.DeleteFunc(left, func(p int) bool { return slices.Contains(gone, p) })
		if err := a.turned(e, left); err != nil {
			return nil, err
		}
		out.Order = append(out.Order, *e)
	}
	slices.Reverse(out.Order)
	for _, p := range left {
		j := a.jam(p, left)
		if h != nil {
			if err := h.kept(&j, left); err != nil {
				return nil, err
			}
		}
		out.Stuck = append(out.Stuck, j)
	}
	if h != nil && len(left) > 0 {
		out.Tried = h.tried
	}
	return out, nil
}

type assembler struct {
	ctx    context.Context
	m      *mechanism.Mechanism
	drawn  []*mesh.Mesh
	home   []float64    // where the parts are to stand
	q      []float64    // where they stand
	at     []string     // names how part p stands
	meshes []*mesh.Mesh // in place
	bodies []*clearance.Body
	shapes map[string]shape // those that were there before
	trees  map[*mesh.Mesh]*mesh.Tree
	size   float64 // of the whole, mm
	known  map[string]bool

	looks, tries int // for ways with two legs, so far
}

// shape is a part in place.
type shape struct {
	mesh *mesh.Mesh
	body *clearance.Body
}

// stand poses the meshes as the parts stand in q.
func (a *assembler) stand(q []float64) error {
	all := geom.EmptyBox()
	a.q = q
	a.meshes, a.bodies, a.at = make([]*mesh.Mesh, len(a.drawn)), make([]*clearance.Body, len(a.drawn)), make([]string, len(a.drawn))
	for p, s := range a.drawn {
		if s == nil || len(s.T) == 0 || a.m.Elsewhere(p) {
			continue
		}
		g := a.m.Pose(p, q)
		a.at[p] = fmt.Sprintf("%d %.6v", p, g)
		k, ok := a.shapes[a.at[p]]
		if !ok {
			k.mesh = moved(s, g)
			var err error
			if k.body, err = clearance.NewBody(k.mesh); err != nil {
				return fmt.Errorf("%s: %w", a.m.Parts[p].Name, err)
			}
			a.shapes[a.at[p]] = k
		}
		a.meshes[p], a.bodies[p] = k.mesh, k.body
		b := k.mesh.Bounds()
		all = all.Add(b.Lo).Add(b.Hi)
	}
	if a.size == 0 {
		a.size = r3.Norm(r3.Sub(all.Hi, all.Lo))
	}
	return nil
}

// stands lists where travels of parts stand that are to be elsewhere at the end.
func (a *assembler) stands(parts []int) []Place {
	var out []Place
	for _, p := range parts {
		for _, t := range a.m.Parts[p].Travels {
			if math.Abs(a.q[t]-a.home[t]) > 1e-9 {
				out = append(out, Place{t, a.q[t]})
			}
		}
	}
	return out
}

func moved(s *mesh.Mesh, g geom.Motion) *mesh.Mesh {
	out := &mesh.Mesh{V: make([]geom.Vec, len(s.V)), T: s.T}
	for i, v := range s.V {
		out.V[i] = g.Apply(v)
	}
	return out
}

// ways lists the directions in which a part is tried.
func (a *assembler) ways(p int) []geom.Vec { return a.waysAt(p, a.q) }

// waysAt is ways with the parts as in q.
func (a *assembler) waysAt(p int, q []float64) []geom.Vec {
	out := []geom.Vec{{Z: 1}, {Z: -1}, {X: 1}, {X: -1}, {Y: 1}, {Y: -1}}
	for _, t := range a.m.Parts[p].Travels {
		g := a.carrier(p, q)
		d := g.Turn(a.m.Travels[t].Axis.Dir)
		for _, d := range []geom.Vec{d, r3.Scale(-1, d)} {
			if !slices.ContainsFunc(out, func(o geom.Vec) bool { return r3.Norm(r3.Sub(o, d)) < 1e-9 }) {
				out = append(out, d)
			}
		}
	}
	return out
}

// carrier is how what carries p stands.
func (a *assembler) carrier(p int, q []float64) geom.Motion {
	if c := a.m.Parts[p].Carrier; c >= 0 {
		return a.m.Pose(c, q)
	}
	return geom.Identity()
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
				shut, err := a.blocked(group, d, left)
				if err != nil {
					return nil, err
				}
				if !shut {
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

// blocked tells whether something stands in the way of a group going along d.
func (a *assembler) blocked(group []int, d geom.Vec, left []int) (bool, error) {
	for o := range a.m.Parts {
		if a.bodies[o] == nil || a.m.Parts[o].Glued || slices.Contains(group, o) || !a.m.Parts[o].Frame && !slices.Contains(left, o) {
			continue
		}
		for _, p := range group {
			if ok, err := a.clear(p, o, d); !ok || err != nil {
				return true, err
			}
		}
	}
	return false, nil
}

// clear tells whether part p goes along d, out of the box, past part o.
func (a *assembler) clear(p, o int, d geom.Vec) (bool, error) {
	key := fmt.Sprint(a.at[p], a.at[o], d)
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
	need := a.m.Needs(p, o, 0) - assemblyDeep
	at := glances()
	if a.m.Parts[o].Glued {
		at = at[:1] // it is put round the others: only the place counts
	}
	if a.runsInto(shape, o, d, need, at) {
		return false, nil
	}
	m := &mechanism.Mechanism{
		Parts:   []mechanism.Part{{Frame: true, Carrier: -1}, {Carrier: 0, Travels: []int{0}}},
		Travels: []mechanism.Travel{{Part: 1, Axis: geom.Line{Dir: d}, Hi: a.size}},
		Start:   []float64{0},
	}
	if a.m.Parts[o].Glued {
		k, err := clearance.New(m, 0, 1, a.bodies[o], body)
		if err != nil {
			return false, err
		}
		_, upper, err := k.At(m.Start)
		return upper >= need, err
	}
	return a.free(m, o, body, need)
}

// runsInto tells whether a point of the shape, at shares of its way along d, lies in part o,
// or one of o's in it, deeper than need allows: most ways are blocked, and soon, and a
// point's depth is cheap where that of two solids is dear.
func (a *assembler) runsInto(shape *mesh.Mesh, o int, d geom.Vec, need float64, at []float64) bool {
	other, own := a.tree(a.meshes[o]), a.tree(shape)
	ours, theirs := points(shape), points(a.meshes[o])
	for _, f := range at {
		way := r3.Scale(f*a.size, d)
		if inside(ours, way, other, need) || inside(theirs, r3.Scale(-1, way), own, need) {
			return true
		}
	}
	return false
}

// tree is that of a mesh in place, made when it is first asked for.
func (a *assembler) tree(m *mesh.Mesh) *mesh.Tree {
	if a.trees[m] == nil {
		a.trees[m] = mesh.NewTree(m)
	}
	return a.trees[m]
}

// inside tells whether a point, moved, lies in the mesh of the tree deeper than need.
func inside(ps []geom.Vec, by geom.Vec, tree *mesh.Tree, need float64) bool {
	box := tree.Bounds()
	for _, v := range ps {
		if v = r3.Add(v, by); box.Distance(geom.EmptyBox().Add(v)) > 0 {
			continue
		}
		if need <= 0 && !tree.Inside(v) {
			continue // its distance, which is not negative, need not be known
		}
		if d, _, _ := tree.Signed(v); d < need {
			return true
		}
	}
	return false
}

// mostPoints bounds the points of a mesh that are looked at.
const mostPoints = 300

// points are corners of a mesh and middles of its triangles, some of them if there are many.
func points(m *mesh.Mesh) []geom.Vec {
	n := len(m.V) + len(m.T)
	step := 1 + n/mostPoints
	var out []geom.Vec
	for i := 0; i < n; i += step {
		if i < len(m.V) {
			out = append(out, m.V[i])
			continue
		}
		t := m.Triangle(i - len(m.V))
		out = append(out, r3.Scale(1.0/3, r3.Add(t[0], r3.Add(t[1], t[2]))))
	}
	return out
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

// jam is a way of a part that does not come out, with what is known to stop it there.
// Of the ways the part's own travels come first: they are how it would leave.
func (a *assembler) jam(p int, left []int) Jam {
	out := Jam{Part: p}
	ways := a.ways(p)
	slices.SortStableFunc(ways, func(d, e geom.Vec) int { return a.foreign(p, d) - a.foreign(p, e) })
	for _, d := range ways {
		var by []int
		for o := range a.m.Parts {
			ok, known := a.known[fmt.Sprint(a.at[p], a.at[o], d)]
			if known && !ok && (a.m.Parts[o].Frame || slices.Contains(left, o)) {
				by = append(by, o)
			}
		}
		if len(by) > 0 && (out.By == nil || len(by) < len(out.By)) {
			out.Way, out.By = d, by
		}
	}
	return out
}

// foreign is 0 for the directions of a part's own travels, 1 for others.
func (a *assembler) foreign(p int, d geom.Vec) int {
	for _, t := range a.m.Parts[p].Travels {
		if math.Abs(math.Abs(r3.Dot(a.m.Travels[t].Axis.Dir, d))-1) < 1e-9 {
			return 0
		}
	}
	return 1
}
