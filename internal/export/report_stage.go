package export

import (
	"image/color"
	"math"
	"strconv"

	"feint/internal/export/picture"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// slender is the share of the frame's depth, across the cut, up to which a part
// is left whole: rods and pins are not cut lengthwise, as is the practice of
// technical drawing (ISO 128).
const slender = 0.45

// A part that would all but vanish with what is cut away stays whole as well, if
// it is thin enough not to hide the cut: a bar that sticks out to the eye. At most
// stub of its depth is left behind the cut, and what it covers of the picture is
// at most thin of what the frame does.
const (
	stub = 0.35
	thin = 0.15
)

// stage is how the box stands for its pictures: the cut, what it leaves whole,
// and from where one looks.
type stage struct {
	m      *mechanism.Mechanism
	meshes []*mesh.Mesh
	cut    picture.Plane
	whole  []bool
	in     geom.Vec    // direction of sight
	turn   geom.Motion // how the box is turned from the drawing
}

func newStage(in *ReportInput) *stage {
	s := &stage{m: in.Mechanism, meshes: in.Meshes, whole: make([]bool, len(in.Mechanism.Parts)), turn: geom.Identity()}
	s.place(in.Cut)
	s.in = sight(s.cut.Normal)
	s.leave(in.Whole)
	return s
}

// sight is the direction in which one looks at a cut.
func sight(n geom.Vec) geom.Vec {
	if math.Abs(n.Z) > 0.9 { // cut level: look down on it from the front
		in := r3.Unit(geom.Vec{X: -0.32, Y: 0.62, Z: -1})
		if n.Z < 0 {
			in.Z = -in.Z
		}
		return in
	}
	// cut upright: look at it from a little above, to the side
	side := r3.Unit(r3.Cross(n, geom.Vec{Z: 1}))
	return r3.Unit(r3.Add(r3.Scale(-1, n), r3.Add(r3.Scale(0.45, side), geom.Vec{Z: -0.42})))
}

// pose is how a part stands in the picture.
func (s *stage) pose(part int, q []float64) geom.Motion {
	return s.m.Pose(part, q).Then(s.turn)
}

// place chooses the cut through the middle of the frame: level for a flat box,
// else upright across the shorter side, so that the long sides are seen.
func (s *stage) place(given *picture.Plane) {
	b := s.box(s.frame(), s.m.Start)
	mid := r3.Scale(0.5, r3.Add(b.Lo, b.Hi))
	size := r3.Sub(b.Hi, b.Lo)
	switch {
	case given != nil:
		s.cut = picture.Plane{Point: given.Point, Normal: r3.Unit(given.Normal)}
	case size.Z < 0.6*min(size.X, size.Y):
		s.cut = picture.Plane{Point: mid, Normal: geom.Vec{Z: 1}}
	case size.X < 0.8*size.Y:
		s.cut = picture.Plane{Point: mid, Normal: geom.Vec{X: 1}}
	default:
		s.cut = picture.Plane{Point: mid, Normal: geom.Vec{Y: -1}}
	}
}

// leave marks the parts that the cut leaves whole.
func (s *stage) leave(named []int) {
	for _, i := range named {
		if i >= 0 && i < len(s.whole) {
			s.whole[i] = true
		}
	}
	if named != nil {
		return
	}
	depth := s.depth(s.frame())
	for i := range s.m.Parts {
		one := []int{i}
		s.whole[i] = !s.m.Parts[i].Frame && (s.depth(one) <= slender*depth ||
			s.behind(one) <= stub && s.front(one) <= thin*s.front(s.frame()))
	}
}

// behind is the share of the parts' depth that the cut leaves.
func (s *stage) behind(parts []int) float64 {
	lo, hi := s.reach(parts, s.cut.Normal)
	at := r3.Dot(s.cut.Normal, s.cut.Point)
	return min(1, max(0, (at-lo)/max(hi-lo, 1e-9)))
}

// front is the area of the box that the parts cover on the plane of the cut, mm2.
func (s *stage) front(parts []int) float64 {
	n := s.cut.Normal
	side := geom.Vec{X: 1}
	if math.Abs(n.X) > 0.9 {
		side = geom.Vec{Y: 1}
	}
	u := r3.Unit(r3.Cross(n, side))
	v := r3.Cross(n, u)
	u0, u1 := s.reach(parts, u)
	v0, v1 := s.reach(parts, v)
	return max(0, u1-u0) * max(0, v1-v0)
}

// reach is the range of the parts along a direction, at the start; empty (the
// first above the second) where there is nothing.
func (s *stage) reach(parts []int, dir geom.Vec) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	s.points(parts, s.m.Start, func(v geom.Vec) {
		d := r3.Dot(dir, v)
		lo, hi = min(lo, d), max(hi, d)
	})
	return lo, hi
}

func (s *stage) frame() []int {
	if f := s.m.FrameIndex(); f >= 0 && s.has(f) {
		return []int{f}
	}
	return s.all()
}

func (s *stage) all() []int {
	var out []int
	for i := range s.m.Parts {
		out = append(out, i)
	}
	return out
}

func (s *stage) has(i int) bool {
	return i < len(s.meshes) && s.meshes[i] != nil && len(s.meshes[i].V) > 0
}

// depth is the extent of parts across the cut, at the start.
func (s *stage) depth(parts []int) float64 {
	lo, hi := s.reach(parts, s.cut.Normal)
	return max(0, hi-lo)
}

// points calls f for the finite corners of the parts' meshes at q.
func (s *stage) points(parts []int, q []float64, f func(v geom.Vec)) {
	for _, i := range parts {
		if !s.has(i) {
			continue
		}
		g := s.pose(i, q)
		for _, v := range s.meshes[i].V {
			if v = g.Apply(v); finite(v) {
				f(v)
			}
		}
	}
}

func finite(v geom.Vec) bool {
	return !math.IsNaN(v.X+v.Y+v.Z) && !math.IsInf(v.X, 0) && !math.IsInf(v.Y, 0) && !math.IsInf(v.Z, 0)
}

// box is the box around the parts at q; without any point a box of 1 mm.
func (s *stage) box(parts []int, q []float64) geom.Box {
	b := geom.EmptyBox()
	s.points(parts, q, func(v geom.Vec) { b = b.Add(v) })
	if b.Lo.X > b.Hi.X {
		return geom.Box{Hi: geom.Vec{X: 1, Y: 1, Z: 1}}
	}
	return b
}

// camera frames all parts at all the given configurations in a picture of width
// w whose height follows from them.
func (s *stage) camera(qs [][]float64, w int) picture.Camera {
	e := s.extent(qs)
	return picture.LookAlong(s.in, geom.Vec{Z: 1}, e, w, tall(e, w), 0.05)
}

// extent is the room that all parts take on the picture, at all the given configurations, mm.
func (s *stage) extent(qs [][]float64) picture.Extent {
	right, upward := picture.Axes(s.in, geom.Vec{Z: 1})
	e := picture.NoExtent()
	for _, q := range qs {
		s.points(s.all(), q, func(v geom.Vec) { e = e.Add(v, right, upward) })
	}
	if e.Left > e.Right {
		e = picture.Extent{Right: 1, Top: 1}
	}
	return e
}

// tall is the height of a picture of width w of an extent, pixels.
func tall(e picture.Extent, w int) int {
	ew, eh := e.Size()
	return int(float64(w) * min(1.35, max(0.5, eh/max(ew, 1e-9))))
}

// models are the parts at q; all but those in full are faded where full is given.
func (s *stage) models(q []float64, full map[int]bool) []picture.Model {
	out := make([]picture.Model, len(s.m.Parts))
	for i := range s.m.Parts {
		out[i] = picture.Model{
			Pose: s.pose(i, q), Color: colorOf(s.m.Parts[i].Color),
			Hatch: i, Whole: s.whole[i], Faded: full != nil && !full[i],
		}
		if s.has(i) {
			out[i].Mesh = s.meshes[i]
		}
	}
	return out
}

// colorOf reads "#rrggbb"; anything else is a grey.
func colorOf(s string) color.NRGBA {
	if len(s) == 7 && s[0] == '#' {
		if v, err := strconv.ParseUint(s[1:], 16, 32); err == nil {
			return color.NRGBA{R: uint8(v >> 16), G: uint8(v >> 8), B: uint8(v), A: 255}
		}
	}
	return color.NRGBA{R: 150, G: 150, B: 150, A: 255}
}
