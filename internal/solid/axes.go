package solid

import (
	"fmt"
	"math"

	"feint/internal/field"
	"feint/internal/geom"
	"feint/internal/mechanism"

	"gonum.org/v1/gonum/spatial/r3"
)

// axis is a line about which surfaces turn, with the division that they share.
type axis struct {
	line geom.Line
	ref  geom.Vec // where the division has a vertex, square to the line
	n    int      // chords
}

// sameAxis is how far two axes may be apart, mm (and radians), to count as one:
// the rounding of a few placements at 256 mm.
const sameAxis = 1e-7

// revolved is the outline of a solid of revolution.
func revolved(p mechanism.Primitive) ([][]field.Corner, error) {
	switch p := p.(type) {
	case mechanism.Cylinder:
		return cylinderOutline(p)
	case mechanism.Cone:
		return coneOutline(p)
	case mechanism.Sphere:
		return sphereOutline(p)
	case mechanism.Revolution:
		return revolutionOutline(p)
	}
	return nil, fmt.Errorf("%T is no solid of revolution", p)
}

// demand is the number of chords that p needs round the z axis of its frame, 0
// if it has no surface about it. Where a section is curved too, both divisions
// share the tolerance.
func demand(p mechanism.Primitive, tol float64) int {
	switch p := p.(type) {
	case mechanism.Groove:
		return ringChords(p.On, p.R, p.Depth, tol)
	case mechanism.Text:
		return ringChords(p.On, p.R, p.Height, tol)
	case mechanism.Stroke:
		return ringChords(p.On, p.R, p.Height, tol)
	case mechanism.Thread:
		return chords(max(p.Root, p.Crest), tol)
	case mechanism.Cylinder, mechanism.Cone, mechanism.Sphere, mechanism.Revolution:
		l, err := revolved(p)
		if err != nil {
			return 0
		}
		if arcs(l) {
			tol *= share
		}
		return chords(widest(l), tol)
	}
	return 0
}

func ringChords(on mechanism.Surface, r, depth, tol float64) int {
	if on == mechanism.Flat {
		return 0
	}
	return chords(r+depth, tol)
}

// chords is segments for a radius that may not have been checked yet.
func chords(r, tol float64) int {
	if !finite(r) || r <= 0 {
		return 0
	}
	return segments(r, tol)
}

// survey notes the axes of a drawing.
func (l *lowering) survey(s *mechanism.Shape, f frame) {
	switch s.Op {
	case mechanism.Place:
		l.survey(s.Args[0], frame{s.Move.Then(f.move), f.mirror})
	case mechanism.Mirror:
		l.survey(s.Args[0], frame{geom.Identity(), &mirrored{f, s.Plane}})
	case mechanism.Leaf:
		if n := demand(s.Prim, l.o.Tolerance); n > 0 {
			line, ref := f.axis()
			a := l.find(line)
			if a == nil {
				l.axes = append(l.axes, axis{line: line, ref: ref})
				a = &l.axes[len(l.axes)-1]
			}
			a.n = max(a.n, n)
		}
	default:
		for _, a := range s.Args {
			l.survey(a, f)
		}
	}
}

func (l *lowering) find(g geom.Line) *axis {
	for i := range l.axes {
		a := &l.axes[i]
		if r3.Norm(r3.Cross(a.line.Dir, g.Dir)) < sameAxis && r3.Norm(r3.Cross(a.line.Dir, r3.Sub(g.Point, a.line.Point))) < sameAxis {
			return a
		}
	}
	return nil
}

// axis is where the z axis of the frame stands, and its x direction.
func (f *frame) axis() (geom.Line, geom.Vec) {
	o, z, x := f.apply(geom.Vec{}), f.apply(geom.Vec{Z: 1}), f.apply(geom.Vec{X: 1})
	return geom.Line{Point: o, Dir: r3.Unit(r3.Sub(z, o))}, r3.Unit(r3.Sub(x, o))
}

// circle is the division of the axis of f, which survey has noted, as seen in
// f's frame.
func (l *lowering) circle(f frame) circle {
	line, x := f.axis()
	a := l.find(line)
	if a == nil { // a figure without width, which is refused where it is divided
		return circle{n: 12}
	}
	y := r3.Sub(f.apply(geom.Vec{Y: 1}), f.apply(geom.Vec{}))
	phase := math.Atan2(r3.Dot(a.ref, y), r3.Dot(a.ref, x))
	step := 2 * math.Pi / float64(a.n)
	phase -= step * math.Round(phase/step)
	if math.Abs(phase) < sameAxis {
		phase = 0
	}
	return circle{n: a.n, phase: phase}
}
