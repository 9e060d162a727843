package motion

import "math"

import "feint/internal/clearance"

// Answer is yes, no, or honestly neither.
type Answer uint8

// The answers.
const (
	Undecided Answer = iota
	Yes
	No
)

func (a Answer) String() string { return [...]string{"undecided", "yes", "no"}[a] }

// Stroke is one straight run of one travel, mm or radians. On a full turn To
// may lie beyond the range: the sign of To-From tells the way round.
type Stroke struct {
	Travel   int
	From, To float64
}

// Move is the motion of one part while the others rest.
type Move struct {
	Part      int
	Strokes   []Stroke
	Clearance float64 // certified least clearance of the part to any other along the move, mm (a lower bound)
	Against   int     // the part it is least clear of, -1 if none
}

// Way is a sequence of moves from the start into the goal that exists at Growth.
type Way struct {
	Growth float64
	Moves  []Move
	Fewest bool // no way has fewer moves: the generous reading agrees
	Least  int  // no way has fewer moves than this

	room float64 // the growth within what is free at which it was kept
}

// Strokes counts the strokes of a way.
func (w *Way) Strokes() int {
	n := 0
	for i := range w.Moves {
		n += len(w.Moves[i].Strokes)
	}
	return n
}

// Limit is a growth, mm, known to lie within [Lo, Hi]. Below means that it lies
// below the growths searched (Lo is then -Inf), Above that it lies above them.
type Limit struct {
	Lo, Hi       float64
	Below, Above bool
}

// Seen tells whether the question was answered with yes at some growth: else all
// that is known is that the limit lies below Hi.
func (l *Limit) Seen() bool { return !l.Below && !math.IsInf(l.Lo, -1) }

// Open tells whether no growth is known above which the answer is no: all that is
// known is that the limit lies above Lo.
func (l *Limit) Open() bool { return l.Above || math.IsInf(l.Hi, 1) }

// Opening is the answer to "does it open" at one growth.
type Opening struct {
	Growth float64
	Opens  Answer
	Start  Answer // whether the start itself is free
	Goal   Answer // whether the start is already in the goal
	Moves  int    // of the shortest way found strictly, 0 if none
}

// Step is what was found about one step of the design.
type Step struct {
	Index       int     // into Mechanism.Steps
	Unavoidable Answer  // as drawn
	Bypass      *Limit  // growth at and below which a way avoids it; nil where none was found down to the loosest growth
	HoldsTo     float64 // the least growth at which it is known that no way avoids it; +Inf if at none
	BypassPlay  *Limit  // the same with the parts' play used against the maker; nil as above
	Shortcut    *Way    // a way that avoids it, at the greatest growth where one was found
}

// Fit is the fit window and what limits it.
type Fit struct {
	Leak, LeakPlay *Limit // greatest bypass growth of all steps; nil if no step can be avoided
	Bind           *Limit
	Tightest       Tightest
}

// Tightest is where the meant way has least room, as drawn.
type Tightest struct {
	A, B      int
	At        []float64 // configuration
	Clearance float64   // mm, a lower bound
}

// Space counts configurations at Resolution.
type Space struct {
	Travels                         int
	Configurations, Free, Reachable float64
	Resolution                      string  // what one configuration is: "0.1 mm and 0.5 deg"
	FreeUpper, ReachableUpper       float64 // generous counts
}

// Required is a place that every way passes although no step names it: the
// travel must come to Value or beyond (Rising) or to Value or below.
type Required struct {
	Travel int
	Value  float64
	Rising bool
}

// Reset tells whether and in how many moves the box is put back from the goal.
type Reset struct {
	Possible Answer
	Moves    int
}

// SheetCell is a cell of a Sheet with what the motion says of it, as drawn.
type SheetCell struct {
	Lo, Hi    [2]float64
	State     clearance.State
	Reachable bool // some reachable configuration has the pair here
	OnWay     bool // the way taken passes here
	Loose     bool // not free as drawn, but surely free at the sheet's loose growth
}

// SheetShortcut is a way that leaves out a step, in the coordinates of a sheet.
type SheetShortcut struct {
	Step   int     // into Mechanism.Steps
	Growth float64 // at which it exists
	Way    [][2]float64
}

// Sheet is the unrolled map of a coaxial pair: how the one part stands to the
// other, along and round.
type Sheet struct {
	A, B   int
	Coords [2]clearance.Coord // along (mm), round (radians)
	Cells  []SheetCell
	Way    [][2]float64 // the way taken, in these coordinates, corner by corner

	Growth    float64         // the loose end: the loosest growth asked, or that of a looser shortcut
	Shortcuts []SheetShortcut // those that run otherwise here than the way taken
}

// Result is all that motion has to say of a mechanism.
type Result struct {
	Asked [2]float64 // growth range asked
	Drawn Opening
	Tight Opening // at Asked[1]
	// TightByBind is that the answer at the tight end rests on what Fit.Bind does.
	TightByBind bool
	Loose       Opening // at Asked[0]
	Way         *Way    // as drawn; nil if none was found strictly
	Steps       []Step
	Fit         Fit
	Space       Space
	Required    []Required
	Reset       Reset
	Idle        []int // travelling parts that the mechanism opens without
	Sheets      []Sheet
	Nodes       int // diagram nodes made, a measure of the work

	Certificates []Certificate // of the answers "no" at the growths asked, for a checker
	// AtBind is a way at the greatest growth at which it is known to open; Beyond are the
	// certificates of the least growths above which it is told not to, or a step not to be
	// avoided: without a space where it is the start that is not free. Both are there if
	// Options.Asked was.
	AtBind *Way
	Beyond []Certificate
	// Sides are the certificates of Required, in its order, and Without the ways that move
	// none of Idle, as drawn. Free in Sides leaves out what lies beyond the value.
	Sides   []Certificate
	Without []*Way
	// Ladder shows that no way has fewer moves than Way.Least; it is there if Options.Asked
	// was, where Way is and any move is needed.
	Ladder *Ladder

	world *world // for what is asked afterwards
}
