package survey

import (
	"cmp"
	"math"
	"slices"

	"feint/internal/forces"
	"feint/internal/forces/friction"
	"feint/internal/forces/load"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Cock is a slide that is pushed off its line: at the start, by a fingertip at the
// farthest place of the part that one comes at.
type Cock struct {
	Part, Travel int
	Length       float64         // over which the slide is guided, mm, to a millimetre or two
	Wide         float64         // of the guide, the way the push is off, mm
	Offset       float64         // of the push from the middle line of the guide, mm
	At           geom.Vec        // where it is pushed, in the assembly, mm
	Friction     forces.Interval // coefficient
}

const (
	// fingertip is the radius of what presses on a face, mm: the pad of a finger
	// touches some 8 mm across (common practice, no source).
	fingertip = 4.0
	// pushing is the least cosine of the angle between a face's normal and the slide
	// at which a finger pushes on the face rather than drags it: 45 degrees.
	pushing = math.Sqrt2 / 2
	// pressed is the distance of the places of a part's surface that are tried, mm.
	pressed = 2.0
)

// Jams is the offset, mm, from which a push jams a slide of the given guided length, mm,
// at a coefficient of friction: length/(2 mu). The couple of a force F at the offset e is
// borne by N = F e/length at either end of the guide; both rub, so that the slide is stuck
// however hard it is pushed as soon as 2 mu N is F.
func Jams(length, mu float64) float64 { return length / (2 * mu) }

// Wedges tells whether a slide can be turned in its guide until two corners bear at all:
// its diagonal, the root of the squares of length and width, must be longer than the
// guide is wide, slack included. A flat lid in a wide recess tips out instead. mm.
func Wedges(length, wide, slack float64) bool { return math.Hypot(length, wide) > wide+slack }

// Cocks gives the slides that are pushed farther off their line than they stand at the
// highest friction, in the order of the travels. trees[i] may be nil.
func Cocks(m *mechanism.Mechanism, trees []*mesh.Tree) []Cock {
	var out []Cock
	for t := range m.Travels {
		if c, ok := CockOf(m, trees, t); ok && c.Offset > Jams(c.Length, c.Friction.Hi) {
			out = append(out, c)
		}
	}
	return out
}

// CockOf measures one travel; false if it is no slide that the hand moves, is not guided,
// or no finger comes at its part.
func CockOf(m *mechanism.Mechanism, trees []*mesh.Tree, travel int) (Cock, bool) {
	t := &m.Travels[travel]
	if t.Kind != mechanism.Slide || t.Moved != mechanism.ByHand || trees[t.Part] == nil {
		return Cock{}, false
	}
	g, at := load.Led(m, trees, travel)
	if g.Length <= 0 {
		return Cock{}, false
	}
	h := &hand{m: m, trees: trees, part: t.Part, bounds: geom.EmptyBox()}
	for i, k := range trees {
		if k != nil {
			h.bounds = h.bounds.Union(k.Mesh().Moved(m.Pose(i, m.Start)).Bounds())
		}
	}
	carrier := m.Pose(m.Parts[t.Part].Carrier, m.Start)
	dir := carrier.Turn(t.Axis.Dir)
	place, off, ok := h.farthest(geom.Line{Point: g.Middle, Dir: dir})
	if !ok {
		return Cock{}, false
	}
	c := Cock{Part: t.Part, Travel: travel, Length: g.Length, At: place, Offset: r3.Norm(off)}
	c.Friction, _ = friction.Between(m.Parts[t.Part].Material.Name, m.Parts[m.Parts[t.Part].Carrier].Material.Name)
	if c.Offset > 0 {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, p := range at {
			x := r3.Dot(p, off) / c.Offset
			lo, hi = min(lo, x), max(hi, x)
		}
		c.Wide = hi - lo
	}
	return c, true
}

// hand is a finger before a part at the start.
type hand struct {
	m      *mechanism.Mechanism
	trees  []*mesh.Tree
	part   int
	bounds geom.Box // of the assembly
}

// touch is a place of the part that may be pressed.
type touch struct {
	at, n, off geom.Vec
	pushes     bool
}

// farthest is the place farthest from a line at which a finger comes at the part, and how
// far off it lies: a face that it can push along the line if there is one, else any face.
func (h *hand) farthest(l geom.Line) (at, off geom.Vec, ok bool) {
	pose := h.m.Pose(h.part, h.m.Start)
	body := h.trees[h.part].Mesh()
	var all []touch
	for i := range body.T {
		t := body.Triangle(i)
		n := pose.Turn(t.Normal())
		for q := range t.Pieces(pressed) {
			c := pose.Apply(r3.Scale(1.0/3, r3.Add(q[0], r3.Add(q[1], q[2]))))
			d := r3.Sub(c, l.Point)
			all = append(all, touch{c, n, r3.Sub(d, r3.Scale(r3.Dot(d, l.Dir), l.Dir)), math.Abs(r3.Dot(n, l.Dir)) > pushing})
		}
	}
	slices.SortStableFunc(all, func(a, b touch) int {
		if a.pushes != b.pushes {
			if a.pushes {
				return -1
			}
			return 1
		}
		return cmp.Compare(r3.Norm2(b.off), r3.Norm2(a.off))
	})
	for i := range all {
		if h.comes(&all[i]) {
			return all[i].at, all[i].off, true
		}
	}
	return at, off, false
}

// comes tells whether a fingertip comes straight at a place from outside.
func (h *hand) comes(k *touch) bool {
	const near = 0.95 * fingertip // it rests on the place itself
	for s := fingertip; ; s += fingertip {
		p := r3.Add(k.at, r3.Scale(s, k.n))
		if h.bounds.Distance(geom.EmptyBox().Add(p)) > fingertip {
			return true
		}
		for i, t := range h.trees {
			if t == nil {
				continue
			}
			back := h.m.Pose(i, h.m.Start).Inverse()
			if _, tri, _ := t.Near(back.Apply(p), near); tri >= 0 {
				return false
			}
		}
	}
}
