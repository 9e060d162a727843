package screw

import (
	"math"

	"feint/internal/forces"
)

// Thread is a helix under load. Lengths are mm (or any one unit: torques then
// come in force times that unit).
type Thread struct {
	Mean   float64 // diameter on which the flanks touch, positive
	Lead   float64 // advance a turn, not negative; pitch times starts
	Flank  float64 // angle of a flank against the plane across the axis, radians; 0 for a square thread, 14.5 degrees for Acme
	Collar float64 // mean diameter on which the thrust rubs, 0 for none
}

// Torques of one load at one pair of friction coefficients.
type Torques struct {
	Raise float64 // turns the load up, infinite where the thread jams
	Lower float64 // turns it down; negative if it must be held back
}

// Under gives the torques at axial load f and friction mu of the thread and
// collar of the collar, both static.
//
//	raise = f d/2 (l + pi mu d sec a)/(pi d - mu l sec a) + f collar dc/2
//	lower = f d/2 (pi mu d sec a - l)/(pi d + mu l sec a) + f collar dc/2
//
// Source: R. G. Budynas and J. K. Nisbett, Shigley's Mechanical Engineering
// Design, 9th ed. (2011), section 8-2, equations 8-1 to 8-6. For a sharp thread of
// large lead sec a stands, as there, for the angle in the axial plane.
func (t Thread) Under(f, mu, collar float64) Torques {
	sec := mu / math.Cos(t.Flank)
	c := f * collar * t.Collar / 2
	r := f * t.Mean / 2
	out := Torques{Raise: math.Inf(1), Lower: r*(math.Pi*sec*t.Mean-t.Lead)/(math.Pi*t.Mean+sec*t.Lead) + c}
	if d := math.Pi*t.Mean - sec*t.Lead; d > 0 {
		out.Raise = r*(t.Lead+math.Pi*sec*t.Mean)/d + c
	}
	return out
}

// Efficiency is the share of the turning work that lifts the load f, 0 where the
// thread jams.
func (t Thread) Efficiency(f, mu, collar float64) float64 {
	return f * t.Lead / (2 * math.Pi * t.Under(f, mu, collar).Raise)
}

// LeadAngle is that of the helix on its mean diameter, radians.
func (t Thread) LeadAngle() float64 { return math.Atan2(t.Lead, math.Pi*t.Mean) }

// Holds answers whether an axial load of any size leaves the helix where it is,
// for friction anywhere in mu and collar: by the thread alone where tan(lead
// angle) < mu sec a (Shigley, equation 8-3), with a collar where lower is positive.
func (t Thread) Holds(mu, collar forces.Interval) forces.Answer {
	switch {
	case t.Under(1, mu.Lo, collar.Lo).Lower > 0:
		return forces.Yes
	case t.Under(1, mu.Hi, collar.Hi).Lower <= 0:
		return forces.No
	default:
		return forces.Maybe
	}
}

// Steepest is the lead angle, radians, up to which an axial load leaves the helix where it
// is: lower of Under is 0 at atan(mu sec a) + atan(collar dc/d), since with tan(phi) =
// mu sec a and lead angle b it is f d/2 tan(phi - b) + f collar dc/2.
func (t Thread) Steepest(mu, collar float64) float64 {
	if t.Mean <= 0 {
		return 0
	}
	return math.Atan(mu/math.Cos(t.Flank)) + math.Atan(collar*t.Collar/t.Mean)
}

// Range is the interval of both torques over intervals of load and friction; they
// rise with each of them, but lower falls with the load where it is negative.
func (t Thread) Range(f, mu, collar forces.Interval) (raise, lower forces.Interval) {
	a, b := t.Under(f.Lo, mu.Lo, collar.Lo), t.Under(f.Hi, mu.Hi, collar.Hi)
	c, d := t.Under(f.Hi, mu.Lo, collar.Lo), t.Under(f.Lo, mu.Hi, collar.Hi)
	return forces.Hull(a.Raise, b.Raise), forces.Hull(a.Lower, b.Lower, c.Lower, d.Lower)
}
