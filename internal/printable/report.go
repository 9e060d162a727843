package printable

import (
	"feint/internal/geom"
	"feint/internal/mesh"
)

// Piece is one part to be looked at.
type Piece struct {
	Mesh    *mesh.Mesh  // as drawn, sound
	Up      geom.Motion // the drawn way up: turns the part as drawn into the way it lies on the plate (rotation only)
	Density float64     // g/cm3; 0 takes the settings'
	Slides  []Slide     // where other parts slide on it
	Outer   bool        // others lie in it, so that its outside may be drawn smaller
}

// Slide is a sample of a face on which another part slides, as the part is drawn.
type Slide struct {
	Triangle   int
	At, Normal geom.Vec
	Area       float64 // mm2
	Gap        float64 // a side, mm
	Other      int     // who slides there: any number that tells parts apart
	Free       bool    // nothing keeps the two at a gap there; Gap says nothing
}

// Patch is an overhang: faces that hang together and are steeper than allowed.
type Patch struct {
	Triangles []int
	Area      float64  // mm2
	Angle     float64  // of the steepest face, radians from the vertical: pi/2 is a ceiling
	Mildest   float64  // of the least steep face
	Box       geom.Box // on the plate
	At        geom.Vec // as the part is drawn: a place on it
	Bridge    *Bridge  // if it is a level ceiling that is held at both ends
	Supported bool     // it needs support: no bridge that prints
	Support   float64  // volume of the support below it, mm3
	InSlide   float64  // area on which another part slides, mm2
	Height    float64  // of the tallest support below it, mm
}

// Bridge is a level ceiling whose lines can be drawn from one bank to the other.
type Bridge struct {
	Span float64  // longest line, mm
	Dir  geom.Vec // of the lines, as the part lies on the plate
}

// Estimate is what a print takes.
type Estimate struct {
	Grams, Metres, Minutes       float64
	Wall, Skin, Infill, Support  float64 // volumes of plastic, mm3
	Layers                       int
	SupportGrams, SupportMinutes float64 // what of it goes into supports
}

// WayUp is a part in one orientation.
type WayUp struct {
	Name     string      // "as drawn", "+x down", "face of 120 mm2 down"
	Up       geom.Motion // turns the part as drawn so (rotation only)
	Size     geom.Vec    // of its box, mm
	Fits     bool        // on the bed, as it is or turned by a quarter
	Over     float64     // by how much it is too large, mm
	Contact  float64     // area on the plate, mm2
	Stands   bool        // its middle of mass lies over what touches the plate
	Overhang float64     // area steeper than allowed, mm2
	Support  float64     // volume of supports, mm3
	InSlide  float64     // area of supports on sliding faces, mm2
	LongSpan float64     // longest bridge that prints, mm
	Estimate Estimate
	Patches  []Patch // of the drawn way up alone
}

// Thin is a place where a wall or a floor is too thin, or a slit too narrow.
type Thin struct {
	At        geom.Vec // as drawn
	Thickness float64  // least, mm
	Area      float64  // of face concerned, mm2
	Least     float64  // what it should be, mm
	Level     bool     // a floor or a roof: layers count, not lines
	Slit      bool     // the thickness is that of air between two faces
}

// Spare is plastic that could be left out.
type Spare struct {
	At      geom.Vec // middle of the place, as drawn
	Volume  float64  // of the pocket, mm3
	Grams   float64  // saved, never more than what is told
	Minutes float64
	Open    string // from where the pocket would be open: "from below", "from above"; or "at the outside"
	Sides   []Side // of the outside, that could lie farther in all at once
}

// Report is what is to say of one part.
type Report struct {
	Given  WayUp   // the drawn way up
	Ways   []WayUp // all others that were compared, best first
	Best   int     // index into Ways of a better one; -1 if the drawn one is the best
	Why    []string
	Thin   []Thin
	Walls  []Walled   // the thinnest places, apart from each other, thinnest first
	Shares [5]float64 // of the surface, by band of Settings.WallBands; the last thicker
	Webs   []Web      // between arms of tracks, thinnest first
	Spare  []Spare
	Volume float64 // mm3
	Area   float64 // mm2
	Levels []Level // level faces that lie between two layers
}

// Level is a level face of a part as it lies on the plate.
type Level struct {
	Z     float64  // above the plate, mm
	Off   float64  // from the nearest layer, mm, signed: positive where the print comes out too high
	Area  float64  // mm2
	Down  bool     // it looks down
	At    geom.Vec // as drawn
	Gap   float64  // least gap of what slides on it; 0 if nothing does
	Other int      // who does; -1 if nothing does
}
