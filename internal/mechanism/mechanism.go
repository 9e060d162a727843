package mechanism

import (
	"fmt"

	"feint/internal/geom"
	"feint/internal/stack"
)

// Pos is a place in a design file; Line and Col count from 1, 0 means unknown.
type Pos struct {
	File      string
	Line, Col int
}

func (p Pos) String() string {
	switch {
	case p.File == "":
		return "?"
	case p.Line == 0:
		return p.File
	default:
		return fmt.Sprintf("%s:%d:%d", p.File, p.Line, p.Col)
	}
}

// Mechanism is one design with its params applied.
type Mechanism struct {
	Name      string // the design's short name, from its file
	Title     string
	Designer  string
	Note      string
	License   string
	Revision  string
	SHA256    string   // of the design file, everything it loads and names, and the params set
	Sources   []string // absolute paths of every file read, for watching
	Params    []Param
	Parts     []Part // exactly one is the frame
	Travels   []Travel
	Start     []float64 // a value for every travel
	Goal      Region
	Steps     []Region
	PressFits []PressFit
	Chains    []stack.Chain // of dimensions whose tolerances are to be added up
	Tolerance float64       // largest distance between mesh and drawing, mm

	Attitudes []geom.Vec // which ways of the box may be up, unit; empty: the six faces
	Upright   geom.Vec   // which way is up at the start; the zero vector: the first of Ups
	Tools     []Tool
}

// Param is a number that the maker may change without editing the design.
type Param struct {
	Name     string
	Value    float64
	Default  float64
	Min, Max float64 // infinities where open
	Unit     string  // as the maker wrote it; "mm", "deg", ""
	Note     string
	Pos      Pos
}

// Part is one rigid printed piece.
type Part struct {
	Name     string
	Frame    bool
	Carrier  int   // index of the part that carries it; -1 for the frame
	Travels  []int // 0, 1 or 2 indices into Mechanism.Travels, the carrier's side first
	Shape    *Shape
	Material Material
	Color    string      // "#rrggbb", never empty
	Print    geom.Motion // turns the part as drawn into the way it lies on the plate (rotation only)
	Seam     geom.Vec    // unit vector towards the side, as drawn, on which the seam of its layers is set; zero: not said
	Hidden   bool        // cannot be seen from outside while the box is shut
	Infill   float64     // share of the inside that is filled, 0 to 1; only with Walls
	Walls    float64     // thickness of the printed walls, mm; 0: neither was said
	Glued    bool        // printed in pieces and glued round the others: no order of assembly is asked of it
	Magnets  []Magnet    // and pieces of steel
	Pos      Pos
}

// Material is what a part is made of.
type Material struct {
	Name    string
	Density float64 // g/cm3
	Bought  bool    // not printed: its surfaces do not grow
}

// Kind is the kind of a travel.
type Kind uint8

// The kinds of travel.
const (
	Slide Kind = iota // along the axis, mm
	Turn              // about the axis, radians
	Helix             // about the axis, radians, advancing Lead mm a turn
)

func (k Kind) String() string { return [...]string{"slide", "turn", "helix"}[k] }

// Travel is one degree of freedom of a part relative to the part that carries it.
type Travel struct {
	Name     string // unique within the part
	Part     int
	Kind     Kind
	Axis     geom.Line // in the assembly frame, every travel at 0
	Lo, Hi   float64   // limits; a full turn has Lo 0 and Hi 2 pi
	Full     bool      // a turn without stops
	Lead     float64   // mm a turn, helix only; negative is left-handed
	Forward  string    // how a person calls the way of rising values: "up", "clockwise seen from the lid"
	Backward string
	Marks    []Mark // named places along the travel
	Moved    Moved
	Spring   *Spring // beside what else moves it; nil for none
	Detents  []Detent
	Latches  []Latch
	Pos      Pos
}

// Mark is a named place on a travel.
type Mark struct {
	Name  string
	Value float64
}

// Region is a set of configurations: every bound must hold.
type Region struct {
	Name   string
	Bounds []Bound
	Pos    Pos
}

// Bound keeps one travel within [Lo, Hi]; an infinity leaves a side open. On a
// full turn Lo may exceed Hi: the interval then runs through 0.
type Bound struct {
	Travel int
	Lo, Hi float64
}

// PressFit declares that two parts are meant to overlap by up to Depth mm.
type PressFit struct {
	A, B  int
	Depth float64
	Pos   Pos
}

// Pose is where part stands when the travels have the values q: the motion from
// the assembly frame at zero to the assembly frame at q. It is the product of
// exponentials from the frame outwards (R. Brockett, 1984; K. Lynch and F. Park,
// Modern Robotics, 2017, section 4.1).
func (m *Mechanism) Pose(part int, q []float64) geom.Motion {
	g := geom.Identity()
	for p := part; p >= 0; p = m.Parts[p].Carrier {
		tr := m.Parts[p].Travels
		for i := len(tr) - 1; i >= 0; i-- {
			g = g.Then(m.Travels[tr[i]].Motion(q[tr[i]]))
		}
	}
	return g
}

// Motion is the motion of the travel t at value v.
func (t *Travel) Motion(v float64) geom.Motion {
	switch t.Kind {
	case Slide:
		return geom.Translation(geom.Vec{X: v * t.Axis.Dir.X, Y: v * t.Axis.Dir.Y, Z: v * t.Axis.Dir.Z})
	case Turn:
		return geom.Rotation(t.Axis, v)
	default:
		return geom.Screw(t.Axis, v, t.Lead)
	}
}

// Joint is one travel on the way between two parts: the value of the travel
// enters the relative motion with Sign.
type Joint struct {
	Travel int
	Sign   int
}

// Between lists the joints of the motion of part a relative to part b, in the
// order in which they apply to a point of a: with J the listed motions,
// x -> J[n-1](... J[1](J[0](x))) is Pose(a) followed by the inverse of Pose(b).
// Travels of common carriers cancel and are left out.
func (m *Mechanism) Between(a, b int) []Joint {
	chain := func(p int) (parts []int) {
		for ; p >= 0; p = m.Parts[p].Carrier {
			parts = append(parts, p)
		}
		return parts
	}
	ca, cb := chain(a), chain(b)
	for len(ca) > 0 && len(cb) > 0 && ca[len(ca)-1] == cb[len(cb)-1] {
		ca, cb = ca[:len(ca)-1], cb[:len(cb)-1]
	}
	var js []Joint
	for _, p := range ca {
		tr := m.Parts[p].Travels
		for i := len(tr) - 1; i >= 0; i-- {
			js = append(js, Joint{tr[i], 1})
		}
	}
	for i := len(cb) - 1; i >= 0; i-- {
		for _, t := range m.Parts[cb[i]].Travels {
			js = append(js, Joint{t, -1})
		}
	}
	return js
}

// Needs is the clearance that parts a and b need at growth g, mm: they touch
// where it is reached. A bought part does not grow, and a declared press fit
// may overlap by its depth.
func (m *Mechanism) Needs(a, b int, g float64) float64 {
	need := 0.0
	for _, p := range [2]int{a, b} {
		if !m.Parts[p].Material.Bought {
			need += g
		}
	}
	for _, f := range m.PressFits {
		if (f.A == a && f.B == b) || (f.A == b && f.B == a) {
			need -= f.Depth
		}
	}
	return need
}

// FrameIndex is the index of the frame, -1 if there is none.
func (m *Mechanism) FrameIndex() int {
	for i := range m.Parts {
		if m.Parts[i].Frame {
			return i
		}
	}
	return -1
}
