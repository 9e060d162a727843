package picture

import (
	"image/color"
	"math"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Model is one part as it stands in a picture.
type Model struct {
	Mesh  *mesh.Mesh // nil draws nothing
	Pose  geom.Motion
	Color color.NRGBA
	Hatch int  // which of the hatchings its cut faces bear
	Whole bool // the cut leaves it whole
	Faded bool // drawn faintly, so that others stand out
	Skin  bool // a surface that bounds nothing: the cut takes of it away, but has no face to fill
}

// Plane cuts: what lies on the side of Normal is taken away.
type Plane struct {
	Point, Normal geom.Vec
}

// fine is how many samples a pixel has in each direction. Three give lines a
// width of a third of a pixel to be smoothed from.
const fine = 3

// nowhere is the depth of the ground.
const nowhere = math.MaxFloat32

// sample is what one line of sight meets first.
type sample struct {
	depth  float32
	model  int16   // index, -1 for the ground
	cut    bool    // on a face of the cut
	normal [3]int8 // a unit vector times 127: enough for light and creases, and small
}

type painter struct {
	cam    Camera // in samples
	w, h   int
	buf    []sample
	models []Model
	plane  *Plane
	wind   []int16 // entries less exits of one model before the plane, by sample
}

// Render draws the models as c sees them, cut by the plane if there is one. The
// eye must see the face of the cut; if it does not, the other side is taken away.
func Render(models []Model, c Camera, plane *Plane) *Picture {
	p := &painter{models: models, w: c.W * fine, h: c.H * fine}
	p.cam = c
	p.cam.W, p.cam.H, p.cam.Scale = p.w, p.h, c.Scale*fine
	p.buf = make([]sample, p.w*p.h)
	for i := range p.buf {
		p.buf[i] = sample{depth: nowhere, model: -1}
	}
	if plane != nil {
		n := r3.Unit(plane.Normal)
		if r3.Dot(n, c.In) > 0 {
			n = r3.Scale(-1, n)
		}
		p.plane = &Plane{plane.Point, n}
		p.wind = make([]int16, p.w*p.h)
	}
	for i := range models {
		if models[i].Mesh != nil {
			p.model(i)
		}
	}
	return &Picture{Image: p.develop(), Spots: p.spots()}
}

// model draws one model, and the faces where the plane cuts it.
func (p *painter) model(i int) {
	k := &p.models[i]
	moved := k.Mesh.Moved(k.Pose)
	cut := p.plane != nil && !k.Whole
	if cut {
		clear(p.wind)
	}
	for t := range moved.T {
		tri := moved.Triangle(t)
		p.triangle(i, &tri, cut)
	}
	if cut && !k.Skin {
		p.fill(i)
	}
}

func packed(n geom.Vec) [3]int8 {
	return [3]int8{int8(math.Round(127 * n.X)), int8(math.Round(127 * n.Y)), int8(math.Round(127 * n.Z))}
}

func (s *sample) towards(v geom.Vec) float64 {
	return (float64(s.normal[0])*v.X + float64(s.normal[1])*v.Y + float64(s.normal[2])*v.Z) / 127
}

// corner is a corner of a triangle on the screen.
type corner struct {
	x, y  int64   // in 1/sub of a sample
	depth float64 // mm
	side  float64 // distance from the plane, positive where taken away
}

// sub divides a sample: whole numbers make the question on which side of an edge
// a sample lies exact, so that triangles that share an edge share it out without
// gap or double. 2^20 samples across still fit: (2^20 * 2^8)^2 = 2^56.
const sub = 1 << 8

func (p *painter) corner(v geom.Vec) corner {
	x, y, d := p.cam.Project(v)
	c := corner{x: int64(math.Round(x * sub)), y: int64(math.Round(y * sub)), depth: d}
	if p.plane != nil {
		c.side = r3.Dot(p.plane.Normal, r3.Sub(v, p.plane.Point))
	}
	return c
}

// triangle draws one triangle. Where the plane cuts the model away it only
// counts: each line of sight enters by a face turned to the eye and leaves by
// one turned away.
func (p *painter) triangle(model int, t *geom.Triangle, cut bool) {
	n := t.Normal()
	a, b, c := p.corner(t[0]), p.corner(t[1]), p.corner(t[2])
	area := (b.x-a.x)*(c.y-a.y) - (b.y-a.y)*(c.x-a.x)
	if area == 0 {
		return
	}
	turn := int16(-1)
	if area < 0 { // y runs down: what is counter-clockwise to the eye has a negative area
		b, c, area, turn = c, b, -area, 1
	}
	normal := packed(n)
	p.scan(a, b, c, area, func(at int, u, v, w float64) {
		if cut && u*a.side+v*b.side+w*c.side > 0 {
			p.wind[at] += turn
			return
		}
		if turn < 0 {
			return // turned away, something of the same part hides it
		}
		d := float32(u*a.depth + v*b.depth + w*c.depth)
		if s := &p.buf[at]; d < s.depth {
			*s = sample{depth: d, model: int16(model), normal: normal}
		}
	})
}

// scan calls f for every sample inside the triangle with its shares of the
// corners. A sample on an edge belongs to the triangle of which the edge is a top
// or a left one.
func (p *painter) scan(a, b, c corner, area int64, f func(at int, u, v, w float64)) {
	x0, x1 := span(a.x, b.x, c.x, p.w)
	y0, y1 := span(a.y, b.y, c.y, p.h)
	inv := 1 / float64(area)
	for y := y0; y <= y1; y++ {
		py := int64(y)*sub + sub/2
		for x := x0; x <= x1; x++ {
			px := int64(x)*sub + sub/2
			u, v, w := edge(b, c, px, py), edge(c, a, px, py), edge(a, b, px, py)
			if u < 0 || v < 0 || w < 0 || u == 0 && !owns(b, c) || v == 0 && !owns(c, a) || w == 0 && !owns(a, b) {
				continue
			}
			f(y*p.w+x, float64(u)*inv, float64(v)*inv, float64(w)*inv)
		}
	}
}

// span is the range of samples between the least and the greatest of three.
func span(a, b, c int64, n int) (lo, hi int) {
	lo = max(0, int(math.Floor(float64(min(a, b, c))/sub-0.5)))
	hi = min(n-1, int(math.Ceil(float64(max(a, b, c))/sub-0.5)))
	return lo, hi
}

// edge is twice the area of a, b and the point, positive inside.
func edge(a, b corner, x, y int64) int64 { return (b.x-a.x)*(y-a.y) - (b.y-a.y)*(x-a.x) }

// owns tells whether an edge that runs from a to b is a top or a left one; of
// two triangles that share it, it is so for one only.
func owns(a, b corner) bool { return a.y == b.y && b.x > a.x || b.y < a.y }

// fill draws the cut face of a model: the lines of sight that are inside it when
// they come to the plane.
func (p *painter) fill(model int) {
	n := p.plane.Normal
	slope := r3.Dot(n, p.cam.In)
	if slope == 0 {
		return // seen edge on
	}
	normal := packed(n)
	for at, k := range p.wind {
		if k <= 0 {
			continue
		}
		x, y := float64(at%p.w)+0.5, float64(at/p.w)+0.5
		q := r3.Add(p.cam.Center, r3.Add(
			r3.Scale((x-float64(p.w)/2)/p.cam.Scale, p.cam.Right),
			r3.Scale((float64(p.h)/2-y)/p.cam.Scale, p.cam.Up)))
		d := float32(r3.Dot(n, r3.Sub(p.plane.Point, q)) / slope)
		if s := &p.buf[at]; d < s.depth {
			*s = sample{depth: d, model: int16(model), cut: true, normal: normal}
		}
	}
}
