package picture

import (
	"math"

	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// Camera is an orthographic view.
type Camera struct {
	Center        geom.Vec // what stands in the middle of the picture
	Right, Up, In geom.Vec // unit vectors; In points into the picture
	Scale         float64  // pixels a mm
	W, H          int      // pixels
}

// Extent is the room that points take on the plane of a picture, mm.
type Extent struct{ Left, Right, Bottom, Top float64 }

// NoExtent holds no point.
func NoExtent() Extent {
	i := math.Inf(1)
	return Extent{i, -i, i, -i}
}

// Axes are the directions to the right and upwards of a picture looked at along
// in, up upright. in and up must not be parallel.
func Axes(in, up geom.Vec) (right, upward geom.Vec) {
	right = r3.Unit(r3.Cross(in, up))
	return right, r3.Cross(right, r3.Unit(in))
}

// Add is the least extent that holds e and p.
func (e Extent) Add(p, right, upward geom.Vec) Extent {
	x, y := r3.Dot(p, right), r3.Dot(p, upward)
	return Extent{min(e.Left, x), max(e.Right, x), min(e.Bottom, y), max(e.Top, y)}
}

// Size is the width and the height, mm.
func (e Extent) Size() (w, h float64) { return e.Right - e.Left, e.Top - e.Bottom }

// LookAlong is a camera that looks along in with up upright, framing e in w x h
// pixels with a margin, a share of the smaller side.
func LookAlong(in, up geom.Vec, e Extent, w, h int, margin float64) Camera {
	c := Camera{In: r3.Unit(in), W: w, H: h}
	c.Right, c.Up = Axes(in, up)
	c.Center = r3.Add(r3.Scale((e.Left+e.Right)/2, c.Right), r3.Scale((e.Bottom+e.Top)/2, c.Up))
	room := margin * float64(min(w, h))
	ew, eh := e.Size()
	c.Scale = min((float64(w)-2*room)/max(ew, 1e-9), (float64(h)-2*room)/max(eh, 1e-9))
	return c
}

// Project gives the pixel of p, y downwards, and its depth, mm.
func (c *Camera) Project(p geom.Vec) (x, y, depth float64) {
	d := r3.Sub(p, c.Center)
	return float64(c.W)/2 + c.Scale*r3.Dot(d, c.Right), float64(c.H)/2 - c.Scale*r3.Dot(d, c.Up), r3.Dot(d, c.In)
}
