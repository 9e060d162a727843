package strength

import (
	"cmp"
	"math"
	"slices"

	"feint/internal/geom"
	"feint/internal/mesh"

	"gonum.org/v1/gonum/spatial/r3"
)

// Section is one connected piece of a plane section, with its holes.
type Section struct {
	Area   float64  // mm2
	Centre geom.Vec // of the area, mm
	// X and Y span the plane; with the normal they are right-handed.
	X, Y, Normal geom.Vec
	// second moments of the area about the centre, mm4: integrals of x2, y2 and x y
	IXX, IYY, IXY float64
	loops         [][]point
	lo, hi        point // bounds of the loops
}

// point is a place in the plane, from the section's origin along X and Y.
type point struct{ x, y float64 }

// Cut gives the pieces of the section of m by the plane through p.Point across p.Dir (a
// unit vector), largest first. The mesh is closed and faces outwards. Corners that lie in
// the plane count as above it.
func Cut(m *mesh.Mesh, p geom.Line) []Section {
	x, y := geom.Across(p.Dir)
	h := make([]float64, len(m.V))
	for i, v := range m.V {
		h[i] = r3.Dot(v, p.Dir)
	}
	return cut(m, m.T, h, r3.Dot(p.Point, p.Dir), p, x, y)
}

// cut is Cut with the triangles that may meet the plane, the heights of all corners and of
// the plane, and the axes of the plane.
func cut(m *mesh.Mesh, ts [][3]int32, h []float64, level float64, p geom.Line, x, y geom.Vec) []Section {
	c := cutter{next: map[edge]edge{}, at: map[edge]point{}, h: h, level: level}
	for _, t := range ts {
		c.triangle(m, t, func(v geom.Vec) point {
			d := r3.Sub(v, p.Point)
			return point{r3.Dot(d, x), r3.Dot(d, y)}
		})
	}
	return gather(c.chains(), p, x, y)
}

type edge struct{ a, b int32 }

// cutter collects the segments of a section by the edges of the mesh they start on.
type cutter struct {
	next  map[edge]edge
	at    map[edge]point
	order []edge
	h     []float64 // of every corner
	level float64   // of the plane
}

// triangle adds the segment in which t meets the plane, material on its left.
func (c *cutter) triangle(m *mesh.Mesh, t [3]int32, place func(geom.Vec) point) {
	var from, to edge
	n := 0
	for i := range t {
		a, b := t[i], t[(i+1)%3]
		up := c.h[a] < c.level && c.h[b] >= c.level
		if !up && !(c.h[a] >= c.level && c.h[b] < c.level) {
			continue
		}
		n++
		e := edge{min(a, b), max(a, b)}
		if _, ok := c.at[e]; !ok {
			// from the lower to the higher number, so that both triangles find one point
			u := (c.h[e.a] - c.level) / (c.h[e.a] - c.h[e.b])
			c.at[e] = place(r3.Add(m.V[e.a], r3.Scale(u, r3.Sub(m.V[e.b], m.V[e.a]))))
		}
		// the corners run counter-clockwise seen from outside: seen from above, the side
		// on which the boundary falls below the plane begins the segment
		if up {
			to = e
		} else {
			from = e
		}
	}
	if n == 2 {
		c.next[from] = to
		c.order = append(c.order, from)
	}
}

// chains follows the segments into closed loops; open chains of a faulty mesh are left
// out.
func (c *cutter) chains() [][]point {
	done := map[edge]bool{}
	var out [][]point
	for _, s := range c.order {
		var loop []point
		e, ok := s, true
		for ok && !done[e] {
			done[e] = true
			loop = append(loop, c.at[e])
			e, ok = c.next[e]
		}
		if ok && e == s && len(loop) > 2 {
			out = append(out, loop)
		}
	}
	return out
}

// moments of a loop by Green's theorem: area, first and second moments about the origin.
func moments(l []point) (a, sx, sy, xx, yy, xy float64) {
	for i, p := range l {
		q := l[(i+1)%len(l)]
		k := p.x*q.y - q.x*p.y
		a += k / 2
		sx += k * (p.x + q.x) / 6
		sy += k * (p.y + q.y) / 6
		xx += k * (p.x*p.x + p.x*q.x + q.x*q.x) / 12
		yy += k * (p.y*p.y + p.y*q.y + q.y*q.y) / 12
		xy += k * (p.x*q.y + 2*p.x*p.y + 2*q.x*q.y + q.x*p.y) / 24
	}
	return a, sx, sy, xx, yy, xy
}

// gather gives every hole to the smallest loop around it and sums the moments.
func gather(loops [][]point, p geom.Line, x, y geom.Vec) []Section {
	type outer struct {
		area  float64
		loops [][]point
	}
	var outs []*outer
	var holes [][]point
	for _, l := range loops {
		if a, _, _, _, _, _ := moments(l); a > 0 {
			outs = append(outs, &outer{a, [][]point{l}})
		} else if a < 0 {
			holes = append(holes, l)
		}
	}
	slices.SortStableFunc(outs, func(a, b *outer) int { return cmp.Compare(a.area, b.area) })
	for _, h := range holes {
		for _, o := range outs {
			if within(h[0], o.loops[0]) {
				o.loops = append(o.loops, h)
				break
			}
		}
	}
	var out []Section
	for _, o := range slices.Backward(outs) {
		s := Section{X: x, Y: y, Normal: p.Dir, loops: o.loops}
		var sx, sy float64
		for _, l := range o.loops {
			a, bx, by, xx, yy, xy := moments(l)
			s.Area, sx, sy = s.Area+a, sx+bx, sy+by
			s.IXX, s.IYY, s.IXY = s.IXX+xx, s.IYY+yy, s.IXY+xy
		}
		if s.Area <= 0 {
			continue
		}
		cx, cy := sx/s.Area, sy/s.Area
		s.IXX, s.IYY, s.IXY = s.IXX-s.Area*cx*cx, s.IYY-s.Area*cy*cy, s.IXY-s.Area*cx*cy
		s.Centre = r3.Add(p.Point, r3.Add(r3.Scale(cx, x), r3.Scale(cy, y)))
		s.centred(cx, cy)
		out = append(out, s)
	}
	return out
}

// centred moves the loops so that they are seen from the centre, and takes their bounds.
func (s *Section) centred(cx, cy float64) {
	s.lo, s.hi = point{math.Inf(1), math.Inf(1)}, point{math.Inf(-1), math.Inf(-1)}
	for i, l := range s.loops {
		moved := make([]point, len(l))
		for k, q := range l {
			p := point{q.x - cx, q.y - cy}
			moved[k] = p
			s.lo = point{min(s.lo.x, p.x), min(s.lo.y, p.y)}
			s.hi = point{max(s.hi.x, p.x), max(s.hi.y, p.y)}
		}
		s.loops[i] = moved
	}
}

// within tells whether p lies inside the loop (crossings of a ray along x).
func within(p point, l []point) bool {
	in := false
	for i, a := range l {
		b := l[(i+1)%len(l)]
		if (a.y > p.y) != (b.y > p.y) && p.x < a.x+(p.y-a.y)/(b.y-a.y)*(b.x-a.x) {
			in = !in
		}
	}
	return in
}

// holds tells whether the place of the plane, from the centre, is material.
func (s *Section) holds(p point) bool {
	if p.x < s.lo.x || p.x > s.hi.x || p.y < s.lo.y || p.y > s.hi.y {
		return false
	}
	in := false
	for _, l := range s.loops {
		if within(p, l) {
			in = !in
		}
	}
	return in
}

// BendingPer is the largest stress, MPa, that a bending moment of 1 N mm causes when a
// force along the unit vector f of the plane makes it (skew bending: W. D. Pilkey,
// Analysis and Design of Elastic Beams (2002), chapter 1).
func (s *Section) BendingPer(f geom.Vec) float64 {
	fx, fy := r3.Dot(f, s.X), r3.Dot(f, s.Y)
	det := s.IXX*s.IYY - s.IXY*s.IXY
	if det <= 0 {
		return math.Inf(1)
	}
	kx, ky := (s.IYY*fx-s.IXY*fy)/det, (s.IXX*fy-s.IXY*fx)/det
	most := 0.0
	for _, l := range s.loops {
		for _, p := range l {
			most = max(most, math.Abs(kx*p.x+ky*p.y))
		}
	}
	return most
}

// Thinnest is the square root of twelve times the least second moment over the area: the
// thickness of the rectangle that bends as easily.
func (s *Section) Thinnest() float64 {
	mid, d := (s.IXX+s.IYY)/2, (s.IXX-s.IYY)/2
	return math.Sqrt(12 * max(0, mid-math.Hypot(d, s.IXY)) / s.Area)
}
