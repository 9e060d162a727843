package export

import (
	"math"

	"feint/internal/export/picture"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/motion"

	"gonum.org/v1/gonum/spatial/r3"
)

// path is the line that an arrow follows for one stroke: of a slide the part's
// middle, of a turn or a helix a point of its outside that passes before the eye.
// q is the configuration before the stroke and is left at its end.
func (s *stage) path(part int, k motion.Stroke, q []float64, c *picture.Camera) [][2]float64 {
	q[k.Travel] = k.From
	t := &s.m.Travels[k.Travel]
	steps := 1
	to := k.To
	if t.Kind != mechanism.Slide {
		// More than most of a turn is drawn as that much: the arrow must not run
		// over its own tail.
		const most = 1.7 * math.Pi
		if math.Abs(to-k.From) > most {
			to = k.From + math.Copysign(most, to-k.From)
		}
		steps = 2 + int(math.Abs(to-k.From)/0.12)
	}
	q[k.Travel] = (k.From + to) / 2
	mark := s.anchor(part, t, q)
	var pts [][2]float64
	for i := range steps + 1 {
		q[k.Travel] = k.From + (to-k.From)*float64(i)/float64(steps)
		g := s.pose(part, q)
		x, y, _ := c.Project(g.Apply(mark))
		pts = append(pts, [2]float64{x, y})
	}
	q[k.Travel] = k.To
	return stretched(pts)
}

// anchor is the point that the arrow follows, as the part is drawn.
func (s *stage) anchor(part int, t *mechanism.Travel, q []float64) geom.Vec {
	g := s.pose(part, q)
	back := g.Inverse()
	b := s.box([]int{part}, q)
	mid := r3.Scale(0.5, r3.Add(b.Lo, b.Hi))
	if t.Kind == mechanism.Slide {
		return back.Apply(mid)
	}
	axis := s.axis(part, t, q)
	foot := r3.Add(axis.Point, r3.Scale(r3.Dot(r3.Sub(mid, axis.Point), axis.Dir), axis.Dir))
	radius := 0.0
	s.points([]int{part}, q, func(v geom.Vec) {
		d := r3.Sub(v, axis.Point)
		d = r3.Sub(d, r3.Scale(r3.Dot(d, axis.Dir), axis.Dir))
		radius = max(radius, r3.Norm(d))
	})
	out := r3.Scale(-1, s.in)
	out = r3.Sub(out, r3.Scale(r3.Dot(out, axis.Dir), axis.Dir))
	if r3.Norm(out) < 0.1 { // seen along the axis: to the right of it
		out = r3.Cross(s.in, axis.Dir)
		if r3.Norm(out) < 0.1 {
			out = r3.Cross(geom.Vec{Z: 1}, axis.Dir)
		}
		if r3.Norm(out) < 0.1 {
			out = geom.Vec{X: 1}
		}
	}
	return back.Apply(r3.Add(foot, r3.Scale(1.06*radius, r3.Unit(out))))
}

// axis is where the axis of a travel stands at q: carried by the travels of the
// part that come before it and by what carries the part.
func (s *stage) axis(part int, t *mechanism.Travel, q []float64) geom.Line {
	still := append([]float64{}, q...)
	after := false
	for _, k := range s.m.Parts[part].Travels {
		if after || &s.m.Travels[k] == t {
			after = true
			still[k] = 0
		}
	}
	g := s.pose(part, still)
	return geom.Line{Point: g.Apply(t.Axis.Point), Dir: g.Turn(t.Axis.Dir)}
}

// stretched makes a short arrow long enough to be seen, about its middle.
func stretched(pts [][2]float64) [][2]float64 {
	const least = 26 // pixels
	a, b := pts[0], pts[len(pts)-1]
	l := math.Hypot(b[0]-a[0], b[1]-a[1])
	if len(pts) > 2 || l >= least || l < 1e-6 {
		return pts
	}
	mx, my, f := (a[0]+b[0])/2, (a[1]+b[1])/2, least/l
	for i := range pts {
		pts[i] = [2]float64{mx + f*(pts[i][0]-mx), my + f*(pts[i][1]-my)}
	}
	return pts
}
