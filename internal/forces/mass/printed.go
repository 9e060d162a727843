package mass

import (
	"fmt"
	"math"

	"feint/internal/forces"
	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Fill is how a part is printed: Wall mm of material under every surface (walls, floors
// and roofs alike), and within it the share Infill, 0 to 1, of material.
type Fill struct{ Wall, Infill float64 }

// fineness is about how many cells cover the surface of the core in the finer of two
// divisions; it leaves a per cent of the core's volume at most on the shapes tested.
const fineness = 8000

// Printed is a part of walls and infill. The mass is that of the mesh's own volume less
// what infill leaves out of the core, the places deeper than the wall; the core is found
// by dividing space until cells are small, cut by a plane where its surface goes. The
// interval is the mass with twice the difference of two such divisions. Slicers lay walls
// and infill by rules of their own: weigh a print where it matters.
func Printed(t *mesh.Tree, density float64, f Fill) (Properties, forces.Interval, error) {
	if !(f.Wall >= 0) || !(f.Infill >= 0 && f.Infill <= 1) {
		return Properties{}, forces.Interval{}, fmt.Errorf("walls of %g mm and infill of %g: give walls of 0 or more and infill from 0 to 1", f.Wall, f.Infill)
	}
	solid := Solid(t.Mesh(), density)
	if solid.Mass == 0 || f.Infill == 1 {
		return solid, forces.Exact(solid.Mass), nil
	}
	size := math.Sqrt(t.Mesh().Area() / fineness)
	core := deep(t, f.Wall, size)
	coarse := deep(t, f.Wall, 2*size)
	gone := core.properties(density*perCubicMM*(f.Infill-1), middle(t.Mesh()))
	off := 2 * math.Abs(core.v-coarse.v) * density * perCubicMM * (1 - f.Infill)
	p := Together(solid, gone)
	return p, forces.About(p.Mass, off), nil
}

// deep gives the moments, about the middle of the bounds, of what lies deeper in the
// solid than wall, with cells no larger than size.
func deep(t *mesh.Tree, wall, size float64) moments {
	b := t.Mesh().Bounds()
	d := r3.Sub(b.Hi, b.Lo)
	c := core{t: t, wall: wall, size: size, at: middle(t.Mesh())}
	c.visit(geom.Vec{}, max(d.X, d.Y, d.Z)/2)
	return c.sum
}

type core struct {
	t          *mesh.Tree
	wall, size float64
	at         geom.Vec
	sum        moments
}

// visit adds what of the cube about p (from the middle) of half width h is core.
func (c *core) visit(p geom.Vec, h float64) {
	d, _, _ := c.t.Signed(r3.Add(p, c.at))
	depth := -d - c.wall
	reach := h * math.Sqrt(3)
	switch {
	case depth <= -reach:
		return
	case depth >= reach:
		c.add(p, h, 1)
		return
	case 2*h <= c.size:
		// a plane at the depth, across an axis of the cube: exact there, near enough askew
		c.add(p, h, max(0, min(1, 0.5+depth/(2*h))))
		return
	}
	for i := range 8 {
		o := geom.Vec{X: -h / 2, Y: -h / 2, Z: -h / 2}
		if i&1 != 0 {
			o.X = h / 2
		}
		if i&2 != 0 {
			o.Y = h / 2
		}
		if i&4 != 0 {
			o.Z = h / 2
		}
		c.visit(r3.Add(p, o), h/2)
	}
}

func (c *core) add(p geom.Vec, h, share float64) {
	v := 8 * h * h * h * share
	c.sum.v += v
	c.sum.x = r3.Add(c.sum.x, r3.Scale(v, p))
	c.sum.square(p, v)
	own := v * h * h / 3 // of a cube about its middle: (2h)2/12
	c.sum.xx.XX += own
	c.sum.xx.YY += own
	c.sum.xx.ZZ += own
}
