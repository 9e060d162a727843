package yield

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/printed"
)

// Side is one part's face towards another: the places where it comes near, each
// with a weight, the weights summing to 1.
type Side struct {
	Places  []printed.Place
	Weights []float64
	// Middle is how far outwards the face lies from the middle of the contact, mm,
	// on average over the places: the radius of a round bought part.
	Middle float64
}

// Contact is how the two parts of a pair meet.
type Contact struct {
	A, B  int
	Sides [2]Side
	Met   bool // false: the parts come nowhere near each other in the poses looked at
}

const (
	// nearBy is the gap beyond which faces do not count as meeting, mm: more than
	// both surfaces of a bad print take by growing.
	nearBy = 1.0
	// closeBy is how much farther than the nearest place of a pose a place may be
	// from the other part and still count, mm: what unequal growth may make touch
	// first.
	closeBy = 0.3
	// spacing is the distance between samples of a face, mm; grooves of printed
	// boxes are 3 mm wide and wider.
	spacing = 1.0
	// mostSamples bounds the samples of one face (triangle).
	mostSamples = 400
	// leastShare is the weight below which a class of places is left out of a
	// side: a corner of the face, not the face.
	leastShare = 0.02
)

// Contacts looks in the poses given, such as those of the way, for the faces with
// which every pair of parts meets, and how they lie on the plate. trees are the
// parts as drawn, nil where a part has no sound mesh. It is a sample: faces that
// meet in other poses only are not seen.
func Contacts(m *mechanism.Mechanism, trees []*mesh.Tree, poses [][]float64, pairs [][2]int) []Contact {
	parts := make([]body, len(m.Parts))
	for i := range parts {
		parts[i] = newBody(&m.Parts[i], trees[i])
	}
	out := make([]Contact, len(pairs))
	for k, p := range pairs {
		out[k] = Contact{A: p[0], B: p[1]}
		a, b := &parts[p[0]], &parts[p[1]]
		var bins [2]classes
		if a.tree != nil && b.tree != nil {
			for _, q := range poses {
				meet(m, a, b, p, q, &bins)
			}
		}
		out[k].Met = len(bins[0]) > 0 && len(bins[1]) > 0
		for s, part := range p {
			out[k].Sides[s] = bins[s].side(m.Parts[part].Material)
		}
	}
	return out
}

// body is a part with what is asked of its mesh.
type body struct {
	tree   *mesh.Tree
	box    geom.Box
	turn   geom.Motion // onto the plate
	low    float64     // z of the lowest point on the plate
	curves []round     // by triangle
	points []sample
}

// sample is a point of the surface.
type sample struct {
	at, n geom.Vec // as drawn
	area  float64
	tri   int
}

func newBody(p *mechanism.Part, t *mesh.Tree) body {
	b := body{tree: t, turn: p.Print, low: math.Inf(1)}
	if b.turn == (geom.Motion{}) {
		b.turn = geom.Identity()
	}
	if t == nil {
		return b
	}
	m := t.Mesh()
	for _, v := range m.V {
		b.low = min(b.low, b.turn.Apply(v).Z)
	}
	b.box = m.Bounds()
	b.curves = rounds(m, b.turn)
	for i := range m.T {
		b.sample(m, i)
	}
	return b
}

// sample spreads points over triangle i, as many as its area asks for: a sequence
// that fills the square evenly (M. Roberts, "The unreasonable effectiveness of
// quasirandom sequences", 2018: steps 1/g and 1/g^2, g the plastic number), its far
// half folded over.
func (b *body) sample(m *mesh.Mesh, i int) {
	const g = 1.32471795724474602596
	t := m.Triangle(i)
	e, f := r3.Sub(t[1], t[0]), r3.Sub(t[2], t[0])
	c := r3.Cross(e, f)
	area := r3.Norm(c) / 2
	if !(area > 0) {
		return
	}
	n := r3.Scale(1/(2*area), c)
	count := min(mostSamples, max(1, int(math.Ceil(area/(spacing*spacing)))))
	for k := range count {
		_, u := math.Modf(0.5 + float64(k)/g)
		_, v := math.Modf(0.5 + float64(k)/(g*g))
		switch {
		case count == 1:
			u, v = 1./3, 1./3
		case u+v > 1:
			u, v = 1-u, 1-v
		}
		at := r3.Add(t[0], r3.Add(r3.Scale(u, e), r3.Scale(v, f)))
		b.points = append(b.points, sample{at, n, area / float64(count), i})
	}
}

// touch is a sample near the other part, in a pose.
type touch struct {
	s    *sample
	gap  float64
	w, n geom.Vec // in the assembly
}

// meet gathers the places where two parts are nearest in one pose.
func meet(m *mechanism.Mechanism, a, b *body, p [2]int, q []float64, bins *[2]classes) {
	pose := [2]geom.Motion{m.Pose(p[0], q), m.Pose(p[1], q)}
	var touches [2][]touch
	least := nearBy
	for s, me := range [2]*body{a, b} {
		other := [2]*body{b, a}[s]
		back := pose[s].Then(pose[1-s].Inverse())
		for i := range me.points {
			pt := &me.points[i]
			at := back.Apply(pt.at)
			if apart(&other.box, at) {
				continue
			}
			gap, tri, _ := other.tree.Near(at, nearBy)
			if tri < 0 {
				continue
			}
			least = min(least, gap)
			touches[s] = append(touches[s], touch{pt, gap, pose[s].Apply(pt.at), pose[s].Turn(pt.n)})
		}
	}
	var mid geom.Vec
	weight := 0.0
	for s := range touches {
		touches[s] = slices.DeleteFunc(touches[s], func(t touch) bool { return t.gap > least+closeBy })
		for _, t := range touches[s] {
			mid = r3.Add(mid, r3.Scale(t.s.area, t.w))
			weight += t.s.area
		}
	}
	if len(touches[0]) == 0 || len(touches[1]) == 0 {
		return
	}
	mid = r3.Scale(1/weight, mid)
	for s, me := range [2]*body{a, b} {
		for _, t := range touches[s] {
			bins[s].add(me, &t, r3.Dot(r3.Sub(t.w, mid), t.n))
		}
	}
}

// apart tells whether a point is beyond nearBy of a box.
func apart(b *geom.Box, p geom.Vec) bool {
	return p.X < b.Lo.X-nearBy || p.Y < b.Lo.Y-nearBy || p.Z < b.Lo.Z-nearBy ||
		p.X > b.Hi.X+nearBy || p.Y > b.Hi.Y+nearBy || p.Z > b.Hi.Z+nearBy
}

// class is a place, coarsely: places of one class differ in growth by some
// hundredths of a millimetre at most for any printer worth using.
type class struct {
	rise, z, arm, diameter int
	curve                  printed.Curve
}

type bin struct {
	weight                 float64
	rise, z, arm, diameter float64 // sums by weight
	curve                  printed.Curve
}

type classes map[class]*bin

// bedHeight is up to which height places are told apart finely, mm: flares end
// below it.
const bedHeight = 1.0

func (c *classes) add(b *body, t *touch, arm float64) {
	if *c == nil {
		*c = classes{}
	}
	n, at := b.turn.Turn(t.s.n), b.turn.Apply(t.s.at)
	r := b.curves[t.s.tri]
	z := at.Z - b.low
	k := class{rise: int(math.Round(n.Z * 5)), arm: int(math.Round(arm / 2)), curve: r.curve, diameter: int(math.Round(r.diameter))}
	switch {
	case math.Abs(n.Z) > 0.99:
		k.z = int(math.Round(z / 0.05)) // it decides at which layer the face ends
	case z < bedHeight:
		k.z = -1 - int(z/0.2)
	}
	o := (*c)[k]
	if o == nil {
		o = &bin{curve: r.curve}
		(*c)[k] = o
	}
	w := t.s.area
	o.weight += w
	o.rise += w * n.Z
	o.z += w * z
	o.arm += w * arm
	o.diameter += w * r.diameter
}

// side is what was gathered, heaviest first. A face that met nothing counts as
// half wall and half level, since nothing is known of its direction.
func (c classes) side(material mechanism.Material) Side {
	if len(c) == 0 {
		p := printed.Place{Z: 10 * bedHeight, Material: material.Name, Bought: material.Bought}
		q := p
		q.Rise = 1
		return Side{Places: []printed.Place{p, q}, Weights: []float64{0.5, 0.5}}
	}
	var s Side
	bins, total := c.sorted(), 0.0
	for _, b := range bins {
		total += b.weight
	}
	for _, b := range bins {
		if b.weight < leastShare*total && len(s.Places) > 0 {
			break
		}
		w := b.weight
		s.Places = append(s.Places, printed.Place{
			Rise: max(-1, min(1, b.rise/w)), Z: b.z / w, Arm: b.arm / w, Curve: b.curve, Diameter: b.diameter / w,
			Material: material.Name, Bought: material.Bought,
		})
		s.Weights = append(s.Weights, w)
	}
	kept := 0.0
	for _, w := range s.Weights {
		kept += w
	}
	for i := range s.Weights {
		s.Weights[i] /= kept
		s.Middle += s.Weights[i] * s.Places[i].Arm
	}
	return s
}

// sorted lists the bins in an order that does not depend on the map.
func (c classes) sorted() []*bin {
	keys := make([]class, 0, len(c))
	for k := range c {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b class) int {
		return cmp.Or(cmp.Compare(c[b].weight, c[a].weight), cmp.Compare(a.rise, b.rise), cmp.Compare(a.z, b.z),
			cmp.Compare(a.arm, b.arm), cmp.Compare(a.diameter, b.diameter), cmp.Compare(a.curve, b.curve))
	})
	out := make([]*bin, len(keys))
	for i, k := range keys {
		out[i] = c[k]
	}
	return out
}
