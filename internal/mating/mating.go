package mating

import (
	"feint/internal/geom"
)

// DefaultNear is the largest gap at which faces count as sliding on each other,
// mm. Sliding fits of printed parts have 0.2 to 0.5 mm a side (common practice,
// no source); beyond 0.6 mm nothing guides.
const DefaultNear = 0.6

// DefaultSpacing is the distance between samples of a face, mm: a groove of a
// printed box is 3 mm wide and wider, which gives its walls two rows or more.
const DefaultSpacing = 1.5

// Options are the settings of Find. The zero value takes the defaults.
type Options struct {
	Near    float64     // largest gap, mm; 0 takes DefaultNear
	Spacing float64     // between samples, mm; 0 takes DefaultSpacing
	Configs [][]float64 // configurations to look at beside those found, such as those of a way
	Workers int         // 0: as many as there are processors
}

// Contact is a place where a part slides on another: where its face is nearest
// to the other part while some travel moves the two along the face.
type Contact struct {
	Part, Other int
	Triangle    int      // of the part's mesh
	At, Normal  geom.Vec // on the part as drawn, mm; the normal points outwards
	Area        float64  // of face that the sample stands for, mm2
	Gap         float64  // to the other part's surface, mm
	Config      []float64
	Travel      int // a travel that moves the two along the face there
}

// Fit is one place of the mechanism where two parts guide each other with one
// gap: a rod in its bore, a pin in its groove, a panel in its bed, a bolt in its
// gate.
type Fit struct {
	Outer, Inner int         // the part with the hollow, and the part in it
	Gap          float64     // a side, mm: the smallest that was found
	Config       []float64   // configuration in which the fit has most faces in contact
	Travel       int         // travel along which the two slide there
	Axis         geom.Line   // of that sliding in Config, outer part as drawn
	Round        bool        // the hollow is round about Axis
	Radius       float64     // of the hollow, mm; 0 where it is not round
	Wide         float64     // how far apart the facing walls of the hollow are, mm
	Area         float64     // of the outer's faces in contact, mm2
	Box          geom.Box    // of the outer's contacts, as drawn
	Contacts     []Contact   // of the outer part in Config
	Relative     geom.Motion // carries the inner part as drawn to where it stands to the outer part as drawn
}
