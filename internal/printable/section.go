package printable

import (
	"math"
	"sort"

	"feint/internal/mesh"
)

// flat is a point of a section.
type flat struct{ x, y float64 }

func (a flat) sub(b flat) flat      { return flat{a.x - b.x, a.y - b.y} }
func (a flat) cross(b flat) float64 { return a.x*b.y - a.y*b.x }
func (a flat) dot(b flat) float64   { return a.x*b.x + a.y*b.y }
func (a flat) length() float64      { return math.Hypot(a.x, a.y) }

// island is one region of a section: an outer loop, counter-clockwise, and its
// holes, clockwise.
type island struct {
	area, girth float64 // of the region, mm2; of all its loops, mm
	corner      float64 // sum over the corners, see core
	corners     int     // corners sharper than those of a facetted circle
	loops       int
}

// core is the area of the island that lies deeper than t below its border:
// A - P t + t^2 K, with K the sum of tan(a/2) over corners that stick out by the
// angle a and of a/2 over those that point inwards, whose border at distance t is
// an arc (a circle gives pi, a square 4). It holds while no two walls meet, and
// the area is taken for 0 where it says less: a region as wide as its walls.
func (i *island) core(t float64) float64 {
	if inner := i.area - i.girth*t + t*t*i.corner; inner > 0 && t*i.girth < 2*i.area {
		return min(inner, i.area)
	}
	return 0
}

// sharp is the angle from which a corner makes the nozzle slow down, radians:
// more than the 15 degrees between facets of a coarse circle.
const sharp = 20 * math.Pi / 180

// sections cuts m, which stands on z = 0, by level planes. Planes that would
// meet a vertex are shifted by nudge, so that every cut is between vertices.
type sections struct {
	m    *mesh.Mesh
	by   []int32   // triangles by rising lowest corner
	low  []float64 // of the triangles in that order
	open []int32   // triangles that the last plane may have met
	next int
}

// nudge is an odd fraction of a micron: vertices lie on a grid of 2^-16 mm, or
// where a turn has put them.
const nudge = 1.234567e-7

func newSections(m *mesh.Mesh) *sections {
	s := &sections{m: m, by: make([]int32, len(m.T)), low: make([]float64, len(m.T))}
	low := make([]float64, len(m.T))
	for i, t := range m.T {
		s.by[i] = int32(i)
		low[i] = min(m.V[t[0]].Z, m.V[t[1]].Z, m.V[t[2]].Z)
	}
	sort.SliceStable(s.by, func(a, b int) bool { return low[s.by[a]] < low[s.by[b]] })
	for k, i := range s.by {
		s.low[k] = low[i]
	}
	return s
}

// at gives the islands of the section at height z; heights must rise from call
// to call. A section that does not close (a mesh that is not closed) loses loops.
func (s *sections) at(z float64) []island {
	z += nudge
	for s.next < len(s.by) && s.low[s.next] < z {
		s.open = append(s.open, s.by[s.next])
		s.next++
	}
	keep := s.open[:0]
	starts := map[[2]int32]cut{}
	for _, i := range s.open {
		t := s.m.T[i]
		if max(s.m.V[t[0]].Z, s.m.V[t[1]].Z, s.m.V[t[2]].Z) <= z {
			continue
		}
		keep = append(keep, i)
		c := s.cut(t, z)
		starts[c.from] = c
	}
	s.open = keep
	return islands(chain(starts))
}

// cut is where a triangle meets the plane: from the mesh edge on which it enters
// to that on which it leaves, with the inside on the left.
type cut struct {
	from, to [2]int32
	p        flat
}

// cut: the plane meets two edges of the triangle. Seen from above, the solid
// lies to the left of the line that runs from the edge going down to the one
// going up.
func (s *sections) cut(t [3]int32, z float64) cut {
	var c cut
	for k := range 3 {
		a, b := t[k], t[(k+1)%3]
		up := s.m.V[a].Z <= z && s.m.V[b].Z > z
		down := s.m.V[a].Z > z && s.m.V[b].Z <= z
		key := [2]int32{min(a, b), max(a, b)}
		switch {
		case down:
			c.from, c.p = key, s.cross(key, z)
		case up:
			c.to = key
		}
	}
	return c
}

func (s *sections) cross(e [2]int32, z float64) flat {
	a, b := s.m.V[e[0]], s.m.V[e[1]]
	f := (z - a.Z) / (b.Z - a.Z)
	return flat{a.X + f*(b.X-a.X), a.Y + f*(b.Y-a.Y)}
}

// chain joins the cuts to loops, in a fixed order.
func chain(starts map[[2]int32]cut) [][]flat {
	keys := make([][2]int32, 0, len(starts))
	for k := range starts {
		keys = append(keys, k)
	}
	sort.Slice(keys, func(i, j int) bool {
		if keys[i][0] != keys[j][0] {
			return keys[i][0] < keys[j][0]
		}
		return keys[i][1] < keys[j][1]
	})
	var loops [][]flat
	for _, k := range keys {
		var loop []flat
		for c, ok := starts[k]; ok; c, ok = starts[c.to] {
			delete(starts, c.from)
			loop = append(loop, c.p)
		}
		if len(loop) > 2 {
			loops = append(loops, loop)
		}
	}
	return loops
}

func signedArea(l []flat) float64 {
	a := 0.0
	for i, p := range l {
		a += p.cross(l[(i+1)%len(l)])
	}
	return a / 2
}

// islands gives every hole to the smallest outer loop around it.
func islands(loops [][]flat) []island {
	var out []island
	var outer []int
	for i, l := range loops {
		if a := signedArea(l); a > 0 {
			out = append(out, measured(l, a))
			outer = append(outer, i)
		}
	}
	for _, l := range loops {
		a := signedArea(l)
		if a >= 0 {
			continue
		}
		best := -1
		for k, o := range outer {
			if within(l[0], loops[o]) && (best < 0 || signedArea(loops[o]) < signedArea(loops[outer[best]])) {
				best = k
			}
		}
		if best < 0 {
			continue
		}
		h := measured(l, a)
		b := &out[best]
		b.area, b.girth, b.corner = b.area+h.area, b.girth+h.girth, b.corner+h.corner
		b.corners, b.loops = b.corners+h.corners, b.loops+1
	}
	return out
}

// measured is the part that one loop has in its island.
func measured(l []flat, area float64) island {
	i := island{area: area, loops: 1}
	n := len(l)
	for k, p := range l {
		a, b := p.sub(l[(k+n-1)%n]), l[(k+1)%n].sub(p)
		i.girth += b.length()
		turn := math.Atan2(a.cross(b), a.dot(b))
		if turn > 0 {
			i.corner += math.Tan(min(turn, 0.8*math.Pi) / 2)
		} else {
			i.corner += turn / 2
		}
		if math.Abs(turn) > sharp {
			i.corners++
		}
	}
	return i
}

// within tells whether p lies within the loop (even-odd rule).
func within(p flat, l []flat) bool {
	in := false
	for i, a := range l {
		b := l[(i+1)%len(l)]
		if (a.y > p.y) != (b.y > p.y) && p.x < a.x+(p.y-a.y)/(b.y-a.y)*(b.x-a.x) {
			in = !in
		}
	}
	return in
}
