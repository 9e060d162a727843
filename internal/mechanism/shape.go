package mechanism

import "feint/internal/geom"

// Shape is a drawn solid: a primitive, or an operation on shapes. Shapes are
// shared freely and never changed.
type Shape struct {
	Op    Op
	Args  []*Shape    // Join and Common: 1 or more; Cut: the first less all others; Place and Mirror: 1
	Move  geom.Motion // Place only
	Plane geom.Line   // Mirror only: a point of the plane and its unit normal
	Prim  Primitive   // Leaf only
	Note  string      // what the maker says of it, e.g. what goes into a pocket; usually empty
	Pos   Pos
}

// Op is what a Shape does with its arguments.
type Op uint8

// The operations.
const (
	Leaf Op = iota
	Join
	Cut
	Common
	Place
	Mirror
)

// Primitive is one of the data types below; each is drawn about the origin in
// its own frame. Lengths mm, angles radians.
type Primitive interface{ primitive() }

// Edge treats the edges of a block or cylinder.
type Edge struct {
	Round   float64 // radius, or
	Chamfer float64 // leg; at most one of the two is positive
}

// Block spans Lo to Hi; Edge applies to the edges named: "vertical" (parallel
// to z), "top", "bottom", "all".
type Block struct {
	Lo, Hi geom.Vec
	Edge   Edge
	Edges  string
}

// Cylinder stands on z = 0 about the z axis; the rims are treated by Top and Bottom.
type Cylinder struct {
	R, H        float64
	Top, Bottom Edge
}

// Cone has radius R0 at z = 0 and R1 at z = H; either may be 0, not both.
type Cone struct{ R0, R1, H float64 }

// Sphere is centred on the origin.
type Sphere struct{ R float64 }

// Profile is a plane figure: closed loops, the first outside, the others holes.
type Profile struct{ Loops [][]ProfilePoint }

// ProfilePoint is a corner of a loop. Bulge is the tangent of a quarter of the
// angle of the arc to the next corner (0 straight, positive counter-clockwise),
// Round a radius that replaces the corner by an arc.
type ProfilePoint struct {
	X, Y  float64
	Bulge float64
	Round float64
}

// Extrusion sweeps a profile of the x-y plane from z = 0 to H. Chamfer cuts the
// rims of the outer loop at both ends by a 45-degree leg.
type Extrusion struct {
	Profile Profile
	H       float64
	Chamfer float64
}

// Revolution turns a profile, x the radius (never negative) and y the height,
// about z through Angle, counter-clockwise from the x axis.
type Revolution struct {
	Profile Profile
	Angle   float64
}

// Surface is where a groove, a mark or a text lies.
type Surface uint8

// The surfaces.
const (
	Flat  Surface = iota // the plane z = 0, outside towards +z; paths in x, y mm
	Shaft                // a cylinder of radius R about z seen from outside; paths in angle and z
	Bore                 // a hole of radius R about z seen from inside; paths in angle and z
)

// Section is the cross section of a groove.
type Section uint8

// The sections.
const (
	Square Section = iota
	Roofed         // the wall towards rising V slopes by 45 degrees, Width at the floor: prints without support
)

// PathPoint is a point of a path: U is an angle (radians) on a Shaft or Bore and
// x (mm) on a Flat; V is z or y, mm.
type PathPoint struct{ U, V float64 }

// Groove is the cutter of a channel of Width and Depth whose middle follows
// Path; it overshoots its surface so that cutting leaves no skin. On a Shaft
// and on a Flat it reaches inwards, on a Bore outwards. Straight pieces of the
// path are straight in (U, V): helical where both change. Corners and, with
// RoundEnds, the ends are round of half the width.
type Groove struct {
	On        Surface
	R         float64
	Path      []PathPoint
	Width     float64
	Depth     float64
	Section   Section
	RoundEnds bool
}

// Thread is a helical ridge, or its cutter, about z from z = 0 to H: a
// trapezium of CrestWidth at the crest and RootWidth at the root between
// radius Root and radius Crest, Starts times round. Lead is mm a turn, negative
// left-handed.
type Thread struct {
	Root, Crest           float64
	RootWidth, CrestWidth float64
	H, Lead               float64
	Starts                int
}

// Text is lettering of capital height Size on a surface, Height mm proud of it
// (raised) and the same below it, so that it can be joined or cut. It is
// centred on the origin of a Flat, or at angle 0 and z = 0 of a Shaft or Bore,
// reading along rising U; in a Bore along falling U, since it is read from inside.
type Text struct {
	On     Surface
	R      float64
	Words  string
	Size   float64
	Height float64
	Stroke float64 // width of a line, mm
}

// Stroke is a mark: lines of Width along Path, square at the ends and round at
// the corners, Height proud of the surface and the same below it.
type Stroke struct {
	On     Surface
	R      float64
	Path   []PathPoint
	Width  float64
	Height float64
}

// MeshFile is a shape from a file, scaled by Scale (1 for mm).
type MeshFile struct {
	Path   string // absolute
	Name   string // as written in the design
	Object string // for files with several objects; empty takes all
	SHA256 string
	Scale  float64
}

func (Block) primitive()      {}
func (Cylinder) primitive()   {}
func (Cone) primitive()       {}
func (Sphere) primitive()     {}
func (Extrusion) primitive()  {}
func (Revolution) primitive() {}
func (Groove) primitive()     {}
func (Thread) primitive()     {}
func (Text) primitive()       {}
func (Stroke) primitive()     {}
func (MeshFile) primitive()   {}
