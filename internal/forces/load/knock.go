package load

import (
	"math"

	"feint/internal/forces"
	"feint/internal/geom"

	"gonum.org/v1/gonum/spatial/r3"
)

// knock: the blow gives the box a speed v with Box v2/2 = Level; what is free to
// travel stays behind. With p = m v.w, w the pull of the travel, its energy in the
// frame of the box is p2/(2 I), I the inertia of the travel (impulsive motion with
// one degree of freedom: E. Whittaker, Analytical Dynamics, 4th ed. (1937), section
// 109). Of that the barrier takes its part at once, and the resistance the rest on
// the way. Friction during the blow itself is left out: it only holds.
func (t *Travel) knock(l Load, way sense) Way {
	i := t.inertia()
	share := 0.0 // of the blow's energy that the travel gets
	if d := t.struck(l); i > 0 && l.Box > 0 {
		share = t.Mass.Mass * t.Mass.Mass * d * d / (i * l.Box)
	}
	s := t.under(r3.Scale(forces.Gravity, l.Down), 0, way, t.Friction)
	w := Way{Drive: s.drive, Resist: s.resist}
	if l.Box <= 0 { // nothing is known of the speed
		w.Free, w.Reach = forces.Maybe, forces.Interval{Hi: math.Inf(1)}
		w.Margin = forces.Interval{Lo: math.Inf(-1), Hi: math.Inf(1)}
		return w
	}
	energy := share * l.Level
	w.Free = forces.Exact(energy).Exceeds(t.Barrier)
	w.Margin = forces.Interval{Lo: math.Inf(1), Hi: math.Inf(1)}
	if share > 0 {
		w.Margin = t.Barrier.Scale(1 / share).Sub(forces.Exact(l.Level))
	}
	w.Reach = carried(forces.Exact(energy).Sub(t.Barrier).Positive(), s.net().Neg())
	return w
}

// struck is how much of the blow's direction drives the travel, mm for turns.
func (t *Travel) struck(l Load) float64 {
	w := t.pull()
	if l.Axis.Dir == (geom.Vec{}) {
		return r3.Norm(w)
	}
	return math.Abs(r3.Dot(r3.Unit(l.Axis.Dir), w))
}

// carried is how far energy, mJ, lasts against a braking force.
func carried(energy, brake forces.Interval) forces.Interval {
	far := func(e, b float64) float64 {
		switch {
		case e <= 0:
			return 0
		case b <= 0:
			return math.Inf(1)
		default:
			return e / b
		}
	}
	return forces.Interval{Lo: far(energy.Lo, brake.Hi), Hi: far(energy.Hi, brake.Lo)}
}
