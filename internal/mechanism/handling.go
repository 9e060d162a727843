package mechanism

import "feint/internal/geom"

// Moved tells what moves a travel.
type Moved uint8

// What moves a travel. Whatever moves it, a part may also be pushed by others
// unless the hand holds the travel.
const (
	ByHand    Moved = iota // gripped by the solver and moved at will
	ByContact              // only pushed by other parts; it stays where it is left
	ByGravity              // falls as far as attitude and clearance allow
)

func (b Moved) String() string { return [...]string{"hand", "contact", "gravity"}[b] }

// Spring drives a travel one way.
type Spring struct {
	Toward  int     // +1 drives to rising values, -1 to falling ones
	Preload float64 // at the limit it drives to, N (N mm on a turn or helix), not negative
	Rate    float64 // more for each mm or radian away from that limit, N/mm or N mm/rad, not negative
	Leaf    Arm     // of the part, that bends; zero: something else springs, or it was not said
	Pos     Pos
}

// Detent holds a travel that stands within Width/2 of At until a force along the
// travel exceeds Force.
type Detent struct {
	At, Width float64 // mm or radians
	Force     float64 // N, or N mm on a turn or helix
	Lift      float64 // how far a leaf of the part is bent wherever it does not hold, mm; 0: not said
	Leaf      Arm     // that leaf
	Pos       Pos
}

// Arm is a printed arm that is held at one end and bends, mm.
type Arm struct{ Length, Thickness float64 }

// Latch is a magnet that draws a travel to At from within Reach to either side
// and holds it there until a force along the travel exceeds Force.
type Latch struct {
	At, Reach float64 // mm or radians
	Force     float64 // N, or N mm on a turn or helix
	Pos       Pos
}

// Magnet is a round magnet, or a round piece of steel for one, fixed in a part.
// It is drawn, as the part is, with every travel at 0.
type Magnet struct {
	Name   string
	Steel  bool     // no magnet: a piece of steel that magnets pull
	Center geom.Vec // mm
	North  geom.Vec // unit; along the axis, out of the north pole; of steel, along the axis
	D, H   float64  // diameter and height, mm
	Grade  string   // "N42" and the like; "" for steel
	Mates  string   // name of the magnet or steel that it is meant to attract; may be empty
	Repels string   // name of the magnet that it is meant to repel; may be empty
	Pos    Pos
}

// Tool is one thing that comes out of the box and goes in elsewhere. Each seat
// is a part of the mechanism; only the part of the seat where the tool is
// exists at a time, at the start that of the first seat.
type Tool struct {
	Name  string
	Seats []Seat
	Pos   Pos
}

// Seat is where a tool can be put. Out says at which values of the part's
// travels the tool comes out and goes in; every travel of the part has a bound.
type Seat struct {
	Part int
	Out  []Bound
}

// Faces lists the six attitudes in which a face of the box lies level: which way
// of the box, as drawn, is up.
func Faces() []geom.Vec {
	return []geom.Vec{{Z: 1}, {Z: -1}, {X: 1}, {X: -1}, {Y: 1}, {Y: -1}}
}

// Ups lists the attitudes that a solver may use, that of the start first.
func (m *Mechanism) Ups() []geom.Vec {
	ups := m.Attitudes
	if len(ups) == 0 {
		ups = Faces()
	}
	start := m.Upright
	if start == (geom.Vec{}) {
		start = ups[0]
	}
	out := []geom.Vec{start}
	for _, u := range ups {
		if u != start {
			out = append(out, u)
		}
	}
	return out
}

// HandsOnly tells whether the hand moves every travel at will, so that nothing
// else needs to be asked: no weight, no contact, no spring, no tool.
func (m *Mechanism) HandsOnly() bool {
	for i := range m.Travels {
		t := &m.Travels[i]
		if t.Moved != ByHand || t.Spring != nil || len(t.Latches) > 0 {
			return false
		}
	}
	return len(m.Tools) == 0
}

// Elsewhere tells whether part p is a tool drawn in a place other than its first: at the
// start there is nothing there.
func (m *Mechanism) Elsewhere(p int) bool {
	for i := range m.Tools {
		for _, s := range m.Tools[i].Seats[min(1, len(m.Tools[i].Seats)):] {
			if s.Part == p {
				return true
			}
		}
	}
	return false
}
