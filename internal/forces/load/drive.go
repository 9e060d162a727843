package load

import (
	"math"

	"feint/internal/forces"
	"feint/internal/geom"
	"feint/internal/mechanism"

	"gonum.org/v1/gonum/spatial/r3"
)

// sense is +1 for rising and -1 for falling values of a travel.
type sense float64

const (
	forward  sense = 1
	backward sense = -1
)

// arm is the centre of mass seen from the axis.
func (t *Travel) arm() geom.Vec { return r3.Sub(t.Mass.Centre, t.Axis.Point) }

// pull is the vector w such that a force f at the centre of mass works f.w for
// each mm or radian of rising value: the axis for a slide, axis x arm for a turn,
// and for a helix that and its advance along the axis.
func (t *Travel) pull() geom.Vec {
	u := t.Axis.Dir
	switch t.Kind {
	case mechanism.Slide:
		return u
	case mechanism.Turn:
		return r3.Cross(u, t.arm())
	default:
		return r3.Add(r3.Cross(u, t.arm()), r3.Scale(t.Lead/(2*math.Pi), u))
	}
}

// state is the push and the resistance of one way of a travel.
type state struct{ drive, resist forces.Interval }

// net is the least and the most by which the drive exceeds the resistance.
func (s state) net() forces.Interval { return s.drive.Sub(s.resist) }

// under gives push and resistance where every gram of what moves feels the
// acceleration a, m/s2, and the travel a push more along rising values; mu replaces
// the friction of the travel.
func (t *Travel) under(a geom.Vec, more float64, way sense, mu forces.Interval) state {
	work := t.Mass.Mass*r3.Dot(a, t.pull()) + more
	drive := forces.Exact(work).Add(t.Bias).Scale(float64(way))
	return state{drive: drive, resist: t.rub(a, way, mu).Add(t.Hold)}
}

// rub is the resistance of friction at the guide.
func (t *Travel) rub(a geom.Vec, way sense, mu forces.Interval) forces.Interval {
	u, m := t.Axis.Dir, t.Mass.Mass
	along := m * r3.Dot(a, u)
	across := m * r3.Norm(r3.Sub(a, r3.Scale(r3.Dot(a, u), u)))
	side := t.sideways(along, across)
	switch t.Kind {
	case mechanism.Slide:
		return side.Mul(mu)
	case mechanism.Turn:
		if t.Guide.Radius == 0 {
			return forces.Interval{Hi: unknownIf(across > 0 || along != 0)}
		}
		thrust := forces.Exact(math.Abs(along) * t.Guide.Collar)
		return side.Scale(t.Guide.Radius).Add(thrust).Mul(mu)
	default:
		if t.Guide.Radius == 0 {
			return forces.Interval{Hi: unknownIf(across > 0 || along != 0)}
		}
		return side.Scale(t.Guide.Radius).Mul(mu).Add(t.thread(along, way, mu))
	}
}

func unknownIf(loaded bool) float64 {
	if loaded {
		return math.Inf(1)
	}
	return 0
}

// sideways is the sum of the forces between part and guide across the axis. At
// least it is the load across the axis; where it presses into a corner of two walls,
// up to Guide.Corner of it. Where the guide's length L is known, a load
// that acts c beyond its middle is borne by its two ends, in all max(1, 2 c/L) of
// it, and for a slide a load along the axis e beside the middle adds a couple of
// e/L of it at each end: that is how a slide cocks, and for 2 mu e/L >= 1 no force
// moves it. The couple about the axis is left out; it adds to what holds.
func (t *Travel) sideways(along, across float64) forces.Interval {
	out := forces.Exact(across)
	out.Hi *= max(1, t.Guide.Corner)
	l := t.Guide.Length
	if l <= 0 {
		return out
	}
	d := r3.Sub(t.Mass.Centre, t.Guide.Middle)
	c := r3.Dot(d, t.Axis.Dir)
	out.Hi *= max(1, 2*math.Abs(c)/l)
	if t.Kind == mechanism.Slide {
		e := r3.Norm(r3.Sub(d, r3.Scale(c, t.Axis.Dir)))
		out.Hi += 2 * math.Abs(along) * e / l
	}
	return out
}

// thread is the friction torque of a helix under the axial load: what has to be
// added to the frictionless balance f lead/(2 pi) to give Shigley's raising and
// lowering torques (package screw has the source). With f the friction mu sec(flank)
// and k = tan(lead angle) it is f r F (1 + k2)/(1 -+ f k) plus the collar's.
func (t *Travel) thread(along float64, way sense, mu forces.Interval) forces.Interval {
	r, load := t.Guide.Radius, math.Abs(along)
	k := math.Abs(t.Lead) / (2 * math.Pi * r)
	rises := along*t.Lead*float64(way) < 0 // against the load
	one := func(mu float64) float64 {
		f := mu / math.Cos(t.Guide.Flank)
		d := 1 + f*k
		if rises {
			d = 1 - f*k
		}
		if d <= 0 {
			return unknownIf(load > 0)
		}
		return load * (f*r*(1+k*k)/d + mu*t.Guide.Collar)
	}
	return mu.Map(one)
}

// inertia is the mass that a rising value moves: kg for a slide, kg mm2 for a turn
// and a helix.
func (t *Travel) inertia() float64 {
	if t.Kind == mechanism.Slide {
		return t.Mass.Mass
	}
	i := t.Mass.About(t.Axis)
	if t.Kind == mechanism.Helix {
		l := t.Lead / (2 * math.Pi)
		i += t.Mass.Mass * l * l
	}
	return i
}
