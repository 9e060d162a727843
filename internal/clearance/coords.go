package clearance

import (
	"fmt"
	"math"

	"feint/internal/geom"
	"feint/internal/mechanism"

	"gonum.org/v1/gonum/spatial/r3"
)

// The tolerances within which two axes count as one line, or as parallel, mm
// and radians. Axes come from one drawing and mostly agree bit for bit; at a
// metre from the place where it is measured the angle costs 1e-9 mm, which
// slack covers.
const (
	sameLine  = 1e-9
	sameAngle = 1e-12
)

// way is how the engines see the motion of a relative to b.
type way uint8

const (
	slides  way = iota // only slides: a translation
	coaxial            // everything along and about one line
	general            // a product of exponentials
)

// step is one factor of the relative motion; its value is sign times the coordinate.
type step struct {
	coord int
	kind  mechanism.Kind
	axis  geom.Line
	lead  float64
	sign  float64
}

// motion of the step when its coordinate is q.
func (s *step) motion(q float64) geom.Motion {
	t := mechanism.Travel{Kind: s.kind, Axis: s.axis, Lead: s.lead}
	return t.Motion(s.sign * q)
}

// chain is the relative motion as a function of the coordinates.
type chain struct {
	way    way
	axis   geom.Line // coaxial only
	coords []Coord
	steps  []step // innermost first
}

// newChain reduces the joints between two parts to coordinates.
func newChain(m *mechanism.Mechanism, a, b int) (*chain, error) {
	joints := m.Between(a, b)
	for _, j := range joints {
		t := &m.Travels[j.Travel]
		if math.IsInf(t.Lo, 0) || math.IsInf(t.Hi, 0) || !(t.Lo <= t.Hi) {
			return nil, fmt.Errorf("%v: travel %q of part %q needs finite limits", t.Pos, t.Name, m.Parts[t.Part].Name)
		}
	}
	c := &chain{}
	c.classify(m, joints)
	for _, j := range joints {
		c.add(m, j)
	}
	if len(c.coords) > MaxCoords {
		return nil, fmt.Errorf("parts %q and %q: %d independent travels lie between them, at most %d are supported",
			m.Parts[a].Name, m.Parts[b].Name, len(c.coords), MaxCoords)
	}
	for i := range c.coords {
		c.close(m, &c.coords[i])
	}
	if c.way == coaxial {
		c.order()
	}
	return c, nil
}

// classify tells which engine serves.
func (c *chain) classify(m *mechanism.Mechanism, joints []mechanism.Joint) {
	c.way = slides
	for _, j := range joints {
		if t := &m.Travels[j.Travel]; t.Kind != mechanism.Slide {
			c.way, c.axis = coaxial, canonical(t.Axis)
			break
		}
	}
	for _, j := range joints {
		t := &m.Travels[j.Travel]
		if c.way == coaxial && (!parallel(t.Axis.Dir, c.axis.Dir) || (t.Kind != mechanism.Slide && offLine(c.axis, t.Axis.Point) > sameLine)) {
			c.way = general
		}
	}
}

// canonical is the same line with the point nearest the origin and a direction
// whose first component that is not zero is positive, so that pairs about one
// line share their trees.
func canonical(l geom.Line) geom.Line {
	d := l.Dir
	if d.X < 0 || (d.X == 0 && (d.Y < 0 || (d.Y == 0 && d.Z < 0))) {
		d = r3.Scale(-1, d)
	}
	d = r3.Add(d, geom.Vec{}) // no negative zeros
	p := r3.Sub(l.Point, r3.Scale(r3.Dot(l.Point, d), d))
	return geom.Line{Point: p, Dir: d}
}

func parallel(a, b geom.Vec) bool { return norm(r3.Cross(a, b)) <= sameAngle }

func offLine(l geom.Line, p geom.Vec) float64 { return norm(r3.Cross(l.Dir, r3.Sub(p, l.Point))) }

// add takes joint j into a coordinate that it shares, or into a new one.
func (c *chain) add(m *mechanism.Mechanism, j mechanism.Joint) {
	t := &m.Travels[j.Travel]
	for i := range c.steps {
		s := &c.steps[i]
		if s.kind != t.Kind || t.Kind == mechanism.Helix || !parallel(s.axis.Dir, t.Axis.Dir) {
			continue
		}
		if t.Kind == mechanism.Turn && offLine(s.axis, t.Axis.Point) > sameLine {
			continue
		}
		if c.way == general && i != len(c.steps)-1 { // only neighbours commute for certain
			continue
		}
		sign := j.Sign
		if r3.Dot(s.axis.Dir, t.Axis.Dir) < 0 {
			sign = -sign
		}
		if s.sign < 0 {
			sign = -sign
		}
		co := &c.coords[s.coord]
		co.Terms = append(co.Terms, mechanism.Joint{Travel: j.Travel, Sign: sign})
		return
	}
	c.steps = append(c.steps, step{coord: len(c.coords), kind: t.Kind, axis: t.Axis, lead: t.Lead, sign: float64(j.Sign)})
	c.coords = append(c.coords, Coord{Terms: []mechanism.Joint{{Travel: j.Travel, Sign: 1}}, Angle: t.Kind != mechanism.Slide})
}

// close sets the range of a coordinate from its terms.
func (c *chain) close(m *mechanism.Mechanism, co *Coord) {
	full := false
	for _, j := range co.Terms {
		t := &m.Travels[j.Travel]
		lo, hi := t.Lo, t.Hi
		if j.Sign < 0 {
			lo, hi = -hi, -lo
		}
		co.Lo += lo
		co.Hi += hi
		full = full || t.Full
	}
	turn := m.Travels[co.Terms[0].Travel].Kind == mechanism.Turn
	if turn && (full || (len(co.Terms) > 1 && co.Hi-co.Lo >= 2*math.Pi)) {
		co.Lo, co.Hi, co.Cyclic = 0, 2*math.Pi, true
	}
}

// order puts the coordinates of a coaxial pair in the order along, round, helixes.
func (c *chain) order() {
	rank := func(s step) int {
		return map[mechanism.Kind]int{mechanism.Slide: 0, mechanism.Turn: 1, mechanism.Helix: 2}[s.kind]
	}
	for i := 1; i < len(c.steps); i++ {
		for k := i; k > 0 && rank(c.steps[k]) < rank(c.steps[k-1]); k-- {
			c.steps[k], c.steps[k-1] = c.steps[k-1], c.steps[k]
			c.coords[k], c.coords[k-1] = c.coords[k-1], c.coords[k]
		}
	}
	for i := range c.steps {
		c.steps[i].coord = i
	}
}

// inverse is the chain of the motion of b relative to a.
func (c *chain) inverse() *chain {
	o := *c
	o.steps = make([]step, len(c.steps))
	for i, s := range c.steps {
		s.sign = -s.sign
		o.steps[len(c.steps)-1-i] = s
	}
	return &o
}

// at carries the chain into the frame that to leads to.
func (c *chain) at(to geom.Motion) *chain {
	o := *c
	o.steps = append([]step(nil), c.steps...)
	for i := range o.steps {
		a := &o.steps[i].axis
		a.Point, a.Dir = to.Apply(a.Point), to.Turn(a.Dir)
		if c.way == coaxial { // exactly, not but for rounding
			*a = geom.Line{Dir: geom.Vec{Z: math.Copysign(1, a.Dir.Z)}}
		}
	}
	return &o
}
