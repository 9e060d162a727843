package seat

import (
	"math"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Seat is the pocket of a round magnet in the part as drawn.
type Seat struct {
	Across float64    // the least width of the pocket round the magnet, mm
	Ends   [2]float64 // from the magnet's middle to the pocket's end against the axis and along it, mm; +Inf where it is open
	Mouth  [2]float64 // from the magnet's middle to the face round the opening on that side, mm; +Inf where the side is closed or no face was met
}

const (
	spokes = 24   // directions looked in round the axis: on a pocket of n flats the width is seen to r(1 - cos(pi/spokes))
	inner  = 0.8  // share of the magnet's radius at which is looked along the axis, beside the middle itself
	rim    = 1.0  // how far beyond the pocket's wall the face round its opening is looked for, mm
	nearby = 20.0 // a wall farther than this across, or than this and the magnet's height along, is none of the pocket, mm
)

// Of measures the seat of a magnet of diameter d and height h at centre, its axis along the
// unit vector axis. ok is false where the magnet lies in plastic: the pocket is not drawn,
// or the magnet does not fit it as drawn.
func Of(m *mesh.Mesh, centre, axis geom.Vec, d, h float64) (s Seat, ok bool) {
	c := caster{m}
	x, y := geom.Across(axis)
	round := func(i int) geom.Vec {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / spokes)
		return r3.Add(r3.Scale(cos, x), r3.Scale(sin, y))
	}
	s.Across = math.Inf(1)
	var wall [spokes]float64
	for i := range spokes {
		for _, z := range [3]float64{-0.4 * h, 0, 0.4 * h} {
			at, leaves := c.first(r3.Add(centre, r3.Scale(z, axis)), round(i))
			if leaves {
				return Seat{}, false // it began within plastic
			}
			if z == 0 || at < wall[i] {
				wall[i] = at
			}
		}
	}
	for i := range spokes / 2 {
		s.Across = min(s.Across, wall[i]+wall[i+spokes/2])
	}
	for side, sign := range [2]float64{-1, 1} {
		dir := r3.Scale(sign, axis)
		s.Ends[side], s.Mouth[side] = c.end(centre, dir, d/2, h, round), math.Inf(1)
		if math.IsInf(s.Ends[side], 1) {
			s.Mouth[side] = c.mouth(centre, dir, wall, h, round)
		}
	}
	return s, true
}

// caster looks along rays.
type caster struct{ m *mesh.Mesh }

// end is how far the pocket reaches from the middle: the nearest wall met by any of the
// rays through the magnet.
func (c caster) end(centre, dir geom.Vec, r, h float64, round func(int) geom.Vec) float64 {
	least := math.Inf(1)
	for i := -1; i < spokes; i += 2 {
		from := centre
		if i >= 0 {
			from = r3.Add(centre, r3.Scale(inner*r, round(i)))
		}
		if at, _ := c.first(from, dir); at < least {
			least = at
		}
	}
	if least > h/2+nearby {
		return math.Inf(1)
	}
	return least
}

// mouth is how far from the middle the face round the opening lies: looked for from
// outside, a little beyond the wall, the highest that is met.
func (c caster) mouth(centre, dir geom.Vec, wall [spokes]float64, h float64, round func(int) geom.Vec) float64 {
	far := h/2 + nearby
	most := math.Inf(-1)
	for i := range spokes {
		if math.IsInf(wall[i], 1) || wall[i] > nearby {
			continue
		}
		from := r3.Add(centre, r3.Add(r3.Scale(wall[i]+rim, round(i)), r3.Scale(far, dir)))
		if at, leaves := c.first(from, r3.Scale(-1, dir)); !leaves && at < 2*far {
			most = max(most, far-at)
		}
	}
	if math.IsInf(most, -1) {
		return math.Inf(1)
	}
	return most
}

// first is the distance to the first face on the ray, infinite for none, and whether the
// ray leaves the solid there (T. Moeller and B. Trumbore, "Fast, minimum storage
// ray/triangle intersection", Journal of Graphics Tools 2 (1997) 21). Rays through an edge
// count for both its faces.
func (c caster) first(p, dir geom.Vec) (at float64, leaves bool) {
	at = math.Inf(1)
	for i := range c.m.T {
		t := c.m.Triangle(i)
		e1, e2 := r3.Sub(t[1], t[0]), r3.Sub(t[2], t[0])
		h := r3.Cross(dir, e2)
		det := r3.Dot(e1, h)
		if det == 0 {
			continue
		}
		s := r3.Sub(p, t[0])
		u := r3.Dot(s, h) / det
		q := r3.Cross(s, e1)
		v := r3.Dot(dir, q) / det
		if u < -edge || v < -edge || u+v > 1+edge {
			continue
		}
		if d := r3.Dot(e2, q) / det; d > 0 && d < at {
			at, leaves = d, det < 0
		}
	}
	return at, leaves
}

// edge is by how much of a triangle a ray may miss it and still meet it: the rounding of the
// products above is a thousand times less, and no ray slips between two faces.
const edge = 1e-9
