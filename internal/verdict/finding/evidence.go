package finding

import (
	"feint/internal/forces/survey"
	"feint/internal/geom"
	"feint/internal/hands"
	"feint/internal/printable"
	"feint/internal/printed"
)

// Evidence is what is known beside the motion: what the checker said, and what
// was measured on the meshes.
type Evidence struct {
	Checked  bool     // the checker ran and agreed with every answer
	Refused  []string // answers that the checker did not agree with, in words; any makes the verdict undecided
	Checks   []Check  // what the checker did
	Limits   *bool    // whether it confirmed the limits beyond the growths asked; nil where it was not asked
	Defects  []Defect
	Skipped  []Skip
	Clashes  []Overlap
	Play     []Play
	Remedies []Remedy
	Together []Together        // shortcuts measured with parts pushed, one alone and two at once
	Gates    []Gate            // on the way, that a turn sets and a slide goes through
	Pries    []Pry             // lids that are tipped against what holds them
	Climbs   []Climb           // how deep parts stand in the tracks of others
	Assembly *hands.Assembly   // in which order the parts go in; nil where it was not asked
	Handling []hands.Row       // how it stands tilting, shaking, spinning and knocks; nil where it was not asked
	Hands    *hands.Result     // what more than the hand moves; nil where the hand moves everything at will
	Forces   *survey.Survey    // magnets, strength, cautions; nil if nobody looked
	Printing *printable.Survey // how the parts print and fit; nil if nobody looked
	Printer  *printed.Model    // on which copies are foretold; nil: the unknown printer
	Bounds   geom.Box          // of all parts in the start configuration, mm; the zero box or an empty one is "unknown"
}

// Check is one thing that the checker looked at.
type Check struct {
	Name   string // "solution walked with exact distances"
	Agreed bool   // false: refused, or could not be told
	Detail string
}

// Defect is a fault of a part's mesh: a hole, a flipped face, a crossing.
type Defect struct {
	Part   int
	Kind   string   // "hole", "not manifold", "flipped", "crosses itself", ...
	At     geom.Vec // where, as the part is drawn, mm
	Count  int      // how many of this kind in the part, this one the first; 0 counts as 1
	Detail string   // may be empty
}

// Skip is a pair of parts whose clearance is not known.
type Skip struct {
	A, B int
	Why  string
}

// Overlap is an overlap in the start configuration.
type Overlap struct {
	A, B  int
	Depth float64  // mm beyond what a declared press fit allows, positive; a lower bound
	At    geom.Vec // the deepest place found, assembly in the start configuration, mm; the zero Vec is "not known"
}

// Play is how far a part can be pushed or tipped within its own guide.
type Play struct {
	Part int
	Side float64 // mm, sideways
	Tip  float64 // radians
	Turn float64 // radians, about a guide that is meant to keep it from turning

	// SideOpen, TipOpen and TurnOpen: it went that far, which is as far as was tried, and
	// met nothing.
	SideOpen, TipOpen, TurnOpen bool
	// Unheld are the directions in which a push met nothing, unit, as the box is drawn.
	Unheld []geom.Vec
}

// Climb is a part that stands in a track of another, one way out of it.
type Climb struct {
	Inner, Outer int
	At           geom.Vec // the middle of the place, assembly, mm
	Depth        float64  // how far it must go to be clear of the track's edge, mm, as drawn
	Play         float64  // how far it can go that way within the play of both, mm, as drawn
	Playing      int      // how many parts' play that is
}

// Together is a shortcut past a step that two parts squeeze through, measured with each
// pushed within its guide, alone and both at once.
type Together struct {
	Step        int // into Mechanism.Steps
	Parts       [2]int
	Alone, Both float64 // growth at and below which there is room with one of them pushed at most, and with both, mm a surface
}

// Pry is a lid on its way out past what stops it at the start, as it stands and tipped as
// far as its play lets it.
type Pry struct {
	Lid, Latch int
	Overlap    float64 // on the way, mm, as drawn
	Left       float64 // of it once the lid is tipped, mm, as drawn; negative where it passes
	Angle      float64 // of that tip, radians
}

// Gate is what a slide of the way goes through after a turn has set it, as drawn.
type Gate struct {
	Slides, Turns int     // the parts
	Travel        int     // the turn
	At            float64 // where the way sets it, radians
	Half          float64 // half the window of the turn in which the slide has room, radians
	Radius        float64 // from the axis of the turn to the edge of the gate, mm
	Side          float64 // play of both parts sideways, mm
	Turn          float64 // play of both parts about the axis, where they are meant not to turn, radians
}

// Remedy is a value of one param at which the room of the shortcut past a step is
// so small that the step holds, measured on the meshes where the shortcut has
// least room.
type Remedy struct {
	Step     int // into Mechanism.Steps
	Param    string
	Unit     string
	From, To float64
	Costs    float64 // room that the meant way loses at its tightest place, mm; 0 if none
}

// Known tells whether the bounds of the assembly were given.
func (e *Evidence) Known() bool {
	b := e.Bounds
	return b.Lo.X <= b.Hi.X && b.Lo.Y <= b.Hi.Y && b.Lo.Z <= b.Hi.Z && b != geom.Box{}
}
