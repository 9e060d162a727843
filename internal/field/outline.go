package field

import (
	"math"

	"feint/internal/geom"
)

// Corner is a point of a closed plane outline. Bulge is the tangent of a quarter
// of the angle of the arc to the next corner: 0 straight, positive
// counter-clockwise.
type Corner struct{ X, Y, Bulge float64 }

// Outline is a plane region bounded by closed loops of lines and arcs that do
// not cross. A point is inside where the loops wind round it an odd number of
// times, so that the direction of a loop does not matter.
type Outline struct{ segs []segment }

type segment struct {
	ax, ay, bx, by float64
	bulge          float64
	cx, cy, r      float64 // arcs only
	from, sweep    float64 // arcs only: angle at a, signed angle to b
	axis           bool    // lies on x = 0
}

// NewOutline makes an outline of loops of at least two corners each.
func NewOutline(loops [][]Corner) Outline {
	var o Outline
	for _, l := range loops {
		for i, c := range l {
			n := l[(i+1)%len(l)]
			if c.X == n.X && c.Y == n.Y {
				continue
			}
			o.segs = append(o.segs, newSegment(c, n))
		}
	}
	return o
}

func newSegment(a, b Corner) segment {
	s := segment{ax: a.X, ay: a.Y, bx: b.X, by: b.Y, bulge: a.Bulge}
	s.axis = a.X == 0 && b.X == 0 && a.Bulge == 0
	if a.Bulge == 0 {
		return s
	}
	// centre: half the chord, times (1 - b^2)/(2 b), to the left of the chord
	k := (1 - a.Bulge*a.Bulge) / (4 * a.Bulge)
	s.cx = (a.X+b.X)/2 - k*(b.Y-a.Y)
	s.cy = (a.Y+b.Y)/2 + k*(b.X-a.X)
	s.r = math.Hypot(a.X-s.cx, a.Y-s.cy)
	s.from = math.Atan2(a.Y-s.cy, a.X-s.cx)
	s.sweep = 4 * math.Atan(a.Bulge)
	return s
}

func (s *segment) distance(x, y float64) float64 {
	if s.bulge == 0 {
		dx, dy := s.bx-s.ax, s.by-s.ay
		t := ((x-s.ax)*dx + (y-s.ay)*dy) / (dx*dx + dy*dy)
		t = min(1, max(0, t))
		return math.Hypot(x-s.ax-t*dx, y-s.ay-t*dy)
	}
	a := (math.Atan2(y-s.cy, x-s.cx) - s.from) * sign(s.sweep)
	if a = math.Mod(a+4*math.Pi, 2*math.Pi); a <= math.Abs(s.sweep) {
		return math.Abs(math.Hypot(x-s.cx, y-s.cy) - s.r)
	}
	return min(math.Hypot(x-s.ax, y-s.ay), math.Hypot(x-s.bx, y-s.by))
}

// turns is the angle under which the segment is seen from (x, y).
func (s *segment) turns(x, y float64) float64 {
	ax, ay, bx, by := s.ax-x, s.ay-y, s.bx-x, s.by-y
	cross, dot := ax*by-ay*bx, ax*bx+ay*by
	w := math.Atan2(cross, dot)
	if s.bulge == 0 {
		return w
	}
	if cross == 0 && dot < 0 { // on the chord: half round, the arc's way
		return math.Pi * sign(s.bulge)
	}
	side := (s.bx-s.ax)*(y-s.ay) - (s.by-s.ay)*(x-s.ax)
	if math.Hypot(x-s.cx, y-s.cy) < s.r && side*s.bulge < 0 {
		w += 2 * math.Pi * sign(s.bulge)
	}
	return w
}

func sign(x float64) float64 {
	if x < 0 {
		return -1
	}
	return 1
}

// distance is Distance; with turned set, parts of the outline on x = 0 bound nothing.
func (o Outline) distance(x, y float64, turned bool) float64 {
	d, w := math.Inf(1), 0.0
	for i := range o.segs {
		s := &o.segs[i]
		if !turned || !s.axis {
			d = min(d, s.distance(x, y))
		}
		w += s.turns(x, y)
	}
	if int(math.Round(math.Abs(w)/(2*math.Pi)))%2 == 1 {
		return -d
	}
	return d
}

// Distance is the signed distance of (x, y) from the outline; exact.
func (o Outline) Distance(x, y float64) float64 { return o.distance(x, y, false) }

// Extruded sweeps o from z = 0 to h. Its rims of outer are cut by a 45-degree
// leg of chamfer, which may be 0; outer is the outline without holes. A lower
// bound.
func Extruded(o, outer Outline, h, chamfer float64) Field {
	return func(p geom.Vec) float64 {
		end := max(-p.Z, p.Z-h)
		d := max(o.Distance(p.X, p.Y), end)
		if chamfer > 0 {
			d = max(d, (outer.Distance(p.X, p.Y)+end+chamfer)/math.Sqrt2)
		}
		return d
	}
}

// Revolved turns o, x the radius and y the height, about z; exact.
func Revolved(o Outline) Field {
	// a point of the axis would lie on the edge of the outline, where nothing
	// tells inside from outside
	const beside = 1e-9
	return func(p geom.Vec) float64 { return o.distance(max(beside, math.Hypot(p.X, p.Y)), p.Z, true) }
}
