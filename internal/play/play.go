package play

import (
	"math"
	"sync"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// Touch is the distance at which parts count as touching, mm: half of the
	// 0.01 mm to which clearances are told.
	Touch = 0.005
	// MaxPush is how far a part is pushed before it counts as unguided, mm.
	// Guides of printed boxes have gaps of some tenths (common practice).
	MaxPush = 2.0
	// MaxTip is the same for tipping, radians (about 5.7 degrees).
	MaxTip = 0.1
	// axesOfSlide is about how many axes a part is tipped that slides and does not turn,
	// its own first; others are tipped about two.
	axesOfSlide = 3
	// directions round the axis in which a part is pushed.
	directions = 8
)

// Push is a sideways push: its unit direction in the assembly frame and how far
// the part goes, mm.
type Push struct {
	Dir  geom.Vec
	Far  float64
	Open bool // it met nothing within MaxPush
}

// Tilt is a tip about an axis through the middle of the part: the axis, unit, in the
// assembly frame, and how far it goes either way, radians.
type Tilt struct {
	Axis  geom.Vec
	Angle float64
	Open  bool // one way round it met nothing within MaxTip
}

// Play is the play of one part as drawn, at the start.
type Play struct {
	Part      int
	Middle    geom.Vec // of its box, in the assembly frame, about which it was tipped
	Tilts     []Tilt   // one for every axis tried
	Turn      float64  // of these the largest about its own slide, radians: 0 where it may turn there
	Guides    []int    // the parts it was pushed against
	Pushes    []Push   // one for every direction tried
	Sideways  float64  // the farthest push, mm
	Tip       float64  // the largest angle by which it tips either way, radians
	TipReach  float64  // how far that carries its farthest point, mm
	Unguided  bool     // some push or tip met nothing within MaxPush or MaxTip
	Immovable bool     // it touches or overlaps its guide at the start: nothing measured
}

// Most is how far any point of the part may come off its straight line, mm. For
// a straight guide of length L and gap s, pushing by t and tipping by a obey
// |t| + |a| L/2 <= s, so a point at distance r from the middle of the guide
// moves by at most the larger of s and 2 s r/L: of the two measured extremes.
func (p *Play) Most() float64 { return max(p.Sideways, p.TipReach) }

// Toward is how far a point of the part at x may come in the unit direction d, both in
// the assembly frame at the start, mm: of pushing and of tipping the larger, as for Most.
func (p *Play) Toward(x, d geom.Vec) float64 {
	far := 0.0
	for _, k := range p.Pushes {
		far = max(far, k.Far*r3.Dot(k.Dir, d))
	}
	arm := r3.Sub(x, p.Middle)
	for _, k := range p.Tilts {
		far = max(far, k.Angle*math.Abs(r3.Dot(r3.Cross(k.Axis, arm), d)))
	}
	return far
}

// Measure gives the play of every part that travels, in the order of the parts.
// trees[i] is that of the mesh of part i as drawn; nil ones (parts without a sound
// mesh) are left out, as a part and as a guide.
func Measure(m *mechanism.Mechanism, trees []*mesh.Tree) []Play {
	return MeasureParts(m, trees, Movers(m, trees))
}

// Movers lists the parts that have play: those that travel and have a mesh.
func Movers(m *mechanism.Mechanism, trees []*mesh.Tree) []int {
	var out []int
	for i := range m.Parts {
		if len(m.Parts[i].Travels) > 0 && trees[i] != nil {
			out = append(out, i)
		}
	}
	return out
}

// MeasureParts is Measure for some of the Movers. What it tells of a part with one
// guide hangs on the meshes of the two alone.
func MeasureParts(m *mechanism.Mechanism, trees []*mesh.Tree, parts []int) []Play {
	out := make([]Play, len(parts))
	var wg sync.WaitGroup
	for k, i := range parts {
		wg.Go(func() { out[k] = measurePart(m, trees[i].Mesh().Bounds(), trees, i) })
	}
	wg.Wait()
	return out
}

// measurePart measures one part, drawn within box.
func measurePart(m *mechanism.Mechanism, box geom.Box, trees []*mesh.Tree, part int) Play {
	p := Play{Part: part}
	b := &bench{m: m, trees: trees, part: part}
	b.guides = []int{m.Parts[part].Carrier}
	p.Guides = b.guides
	dirs, axes := freeDirections(m, part)
	b.place(box)
	if b.measure(&p, dirs, axes, true); p.Unguided {
		// the carrier alone does not hold it: let everything else help.
		b.guides = nil
		for i := range m.Parts {
			if i != part {
				b.guides = append(b.guides, i)
			}
		}
		p = Play{Part: part, Guides: b.guides}
		b.measure(&p, dirs, axes, false)
	}
	return p
}

// bench is one part among its guides at the start configuration.
type bench struct {
	m      *mechanism.Mechanism
	trees  []*mesh.Tree
	part   int
	guides []int
	pose   geom.Motion
	centre geom.Vec // middle of the part as posed
	reach  float64  // its farthest vertex from there, mm
}

func (b *bench) place(box geom.Box) {
	b.pose = b.m.Pose(b.part, b.m.Start)
	b.centre = b.pose.Apply(r3.Scale(0.5, r3.Add(box.Lo, box.Hi)))
	b.reach = r3.Norm(r3.Sub(box.Hi, box.Lo)) / 2
}

// measure measures p. With heldOnly it leaves off as soon as the guides prove not to
// hold the part.
func (b *bench) measure(p *Play, dirs, axes []geom.Vec, heldOnly bool) {
	if b.touches() {
		p.Immovable = true
		return
	}
	for _, d := range dirs {
		far, stopped := b.advance(pushed(d))
		p.Pushes = append(p.Pushes, Push{d, far, !stopped})
		p.Sideways = max(p.Sideways, far)
		if p.Unguided = p.Unguided || !stopped; p.Unguided && heldOnly {
			return
		}
	}
	p.Middle = b.centre
	for i, a := range axes {
		tilt := Tilt{Axis: a}
		for _, sign := range []float64{1, -1} {
			tip, stopped := b.advance(tipped(geom.Line{Point: b.centre, Dir: r3.Scale(sign, a)}, b.reach))
			tilt.Angle = max(tilt.Angle, tip)
			tilt.Open = tilt.Open || !stopped
			if p.Unguided = p.Unguided || !stopped; p.Unguided && heldOnly {
				return
			}
		}
		p.Tip = max(p.Tip, tilt.Angle)
		p.Tilts = append(p.Tilts, tilt)
		if i == 0 && len(axes) == axesOfSlide {
			p.Turn = tilt.Angle
		}
	}
	p.TipReach = 2 * b.reach * math.Sin(p.Tip/2)
}

// touches tells whether the part touches a guide, or overlaps it.
func (b *bench) touches() bool {
	for _, o := range b.guides {
		if o < 0 || b.trees[o] == nil {
			continue
		}
		rel := b.pose.Then(b.m.Pose(o, b.m.Start).Inverse())
		if d, _, _ := b.trees[b.part].Distance(b.trees[o], rel, 2*Touch); d <= Touch {
			return true
		}
	}
	return false
}

// freeDirections lists where a part may be pushed and about what it may be
// tipped although no travel takes it there, in the assembly frame at the start.
func freeDirections(m *mechanism.Mechanism, part int) (push, tip []geom.Vec) {
	var slides, turns []geom.Vec
	carrier := m.Pose(m.Parts[part].Carrier, m.Start)
	for _, t := range m.Parts[part].Travels {
		dir := carrier.Turn(m.Travels[t].Axis.Dir)
		if m.Travels[t].Kind == mechanism.Slide {
			slides = append(slides, dir)
		} else {
			turns = append(turns, dir)
		}
	}
	switch {
	case len(slides) == 2 && r3.Norm(r3.Cross(slides[0], slides[1])) > 1e-6:
		n := r3.Unit(r3.Cross(slides[0], slides[1]))
		push = []geom.Vec{n, r3.Scale(-1, n)}
	case len(slides) > 0:
		push = circle(slides[0])
	default:
		push = append([]geom.Vec{turns[0], r3.Scale(-1, turns[0])}, circle(turns[0])...) // off its line first: there it is held by others if by any
	}
	axis := push[0]
	if len(turns) > 0 {
		axis = turns[0]
	} else if len(slides) > 0 {
		axis = slides[0]
		tip = append(tip, axis)
	}
	c := circle(axis)
	return push, append(tip, c[0], c[directions/4])
}

// circle gives unit vectors evenly round a.
func circle(a geom.Vec) []geom.Vec {
	e := geom.Vec{X: 1}
	if math.Abs(a.X) > 0.7 {
		e = geom.Vec{Y: 1}
	}
	u := r3.Unit(r3.Cross(a, e))
	v := r3.Cross(a, u)
	out := make([]geom.Vec, directions)
	for i := range out {
		s, c := math.Sincos(2 * math.Pi * float64(i) / directions)
		out[i] = r3.Add(r3.Scale(c, u), r3.Scale(s, v))
	}
	return out
}
