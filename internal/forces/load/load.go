package load

import (
	"math"

	"feint/internal/forces"
	"feint/internal/forces/mass"
	"feint/internal/geom"
	"feint/internal/mechanism"
)

// Travel is what the forces need to know of one travel, in the frame of the box
// and in one configuration.
type Travel struct {
	Kind     mechanism.Kind
	Axis     geom.Line       // where it now is, unit direction; rising values go along or right-handed about it
	Lead     float64         // mm a turn, helix only, signed as in mechanism.Travel
	Mass     mass.Properties // of everything that moves with the travel, in place
	Friction forces.Interval // coefficient at the guide
	Guide    Guide
	Hold     forces.Interval // of detents, magnets and fit, against either way: N, or N mm for turn and helix; not below 0
	Bias     forces.Interval // of springs: positive drives forward; N or N mm
	Barrier  forces.Interval // energy to leave the detent or magnet, mJ (N mm); only a knock asks for it
}

// Guide is how a part is led. Zero fields are unknown and widen the answers.
type Guide struct {
	Length float64  // over which the part is held, along the axis, mm
	Middle geom.Vec // of that length, in the frame of the box, mm; only with Length
	Width  float64  // of the part across the axis where it is held, mm
	Radius float64  // of the bearing surface or thread about the axis, mm: turn and helix
	Collar float64  // mean radius on which axial thrust rubs, mm: turn and helix
	Flank  float64  // half the thread's angle, radians; 0 for a square thread
	Corner float64  // how much more than the load across may press where two walls make a corner: slide; below 1 counts as 1
}

// Kind is a kind of load.
type Kind uint8

// The loads.
const (
	Tilt  Kind = iota // rests in an attitude
	Shake             // moved to and fro at Level g in any direction, or along Axis.Dir
	Spin              // turned steadily about Axis at Level rpm
	Knock             // given a blow of Level mJ in any direction, or along Axis.Dir
)

func (k Kind) String() string { return [...]string{"tilt", "shake", "spin", "knock"}[k] }

// Unit is the unit in which levels and margins of the load are told.
func (k Kind) Unit() string { return [...]string{"deg", "g", "rpm", "mJ"}[k] }

// Least is the level below which a load is next to nothing, in that unit.
func (k Kind) Least() float64 { return [...]float64{0.1, 0.05, 1, 0.05}[k] }

// Load is one handling of the box.
type Load struct {
	Kind  Kind
	Down  geom.Vec  // unit, which way of the box points to the ground; the zero vector is any attitude
	Level float64   // g, rpm or mJ; not used by Tilt
	Axis  geom.Line // Spin: the axis. Shake and Knock: the direction if Dir is not zero
	Box   float64   // kg, mass of the whole box; Knock only
}

// Freed is the answer for one travel, forward (rising values) and backward.
type Freed struct{ Forward, Backward Way }

// Way is what a load does to one way of a travel.
type Way struct {
	Free   forces.Answer
	Drive  forces.Interval // N or N mm along the way; negative drives the other way
	Resist forces.Interval // N or N mm against the way, of friction and holds
	Margin forces.Interval // in the load's unit, radians for Tilt: how much more it takes (positive, held) or is too much (negative); 0 for a Tilt to any attitude
	Reach  forces.Interval // Knock: how far one blow carries it, mm or radians; else 0 if held and infinite if free
}

// Shaken is the largest acceleration, in g, of a to-and-fro of hz turns a second and
// amplitude mm (half the stroke): (2 pi f)2 A.
func Shaken(hz, amplitude float64) float64 {
	w := 2 * math.Pi * hz
	return w * w * amplitude * 1e-3 / forces.Gravity
}

// Levels of shaking at which a box is asked, g: a walk with the box in a bag, a
// curious hand, an angry one. By convention, no source.
func Levels() [3]float64 { return [3]float64{3, 5, 10} }
