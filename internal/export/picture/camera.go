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

// LookAlong is a camera that looks along in with up upright, framing all of box
// in w x h pixels with a margin, a share of the smaller side. in and up must not
// be parallel.
func LookAlong(in, up geom.Vec, box geom.Box, w, h int, margin float64) Camera {
	c := Camera{In: r3.Unit(in), W: w, H: h}
	c.Right = r3.Unit(r3.Cross(c.In, up))
	c.Up = r3.Cross(c.Right, c.In)
	lo, hi := math.Inf(1), math.Inf(-1)
	bottom, top := lo, hi
	for _, p := range corners(box) {
		x, y := r3.Dot(p, c.Right), r3.Dot(p, c.Up)
		lo, hi, bottom, top = min(lo, x), max(hi, x), min(bottom, y), max(top, y)
	}
	mid := r3.Scale(0.5, r3.Add(box.Lo, box.Hi))
	c.Center = r3.Add(mid, r3.Add(
		r3.Scale((lo+hi)/2-r3.Dot(mid, c.Right), c.Right),
		r3.Scale((bottom+top)/2-r3.Dot(mid, c.Up), c.Up)))
	room := margin * float64(min(w, h))
	c.Scale = min((float64(w)-2*room)/max(hi-lo, 1e-9), (float64(h)-2*room)/max(top-bottom, 1e-9))
	return c
}

func corners(b geom.Box) [8]geom.Vec {
	var out [8]geom.Vec
	for i := range out {
		p := b.Lo
		if i&1 != 0 {
			p.X = b.Hi.X
		}
		if i&2 != 0 {
			p.Y = b.Hi.Y
		}
		if i&4 != 0 {
			p.Z = b.Hi.Z
		}
		out[i] = p
	}
	return out
}

// Project gives the pixel of p, y downwards, and its depth, mm.
func (c *Camera) Project(p geom.Vec) (x, y, depth float64) {
	d := r3.Sub(p, c.Center)
	return float64(c.W)/2 + c.Scale*r3.Dot(d, c.Right), float64(c.H)/2 - c.Scale*r3.Dot(d, c.Up), r3.Dot(d, c.In)
}
