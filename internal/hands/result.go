package hands

import (
	"errors"

	"feint/internal/diagram"
	"feint/internal/geom"
	"feint/internal/motion"
)

// Cause tells why a travel moved that the hand did not move.
type Cause uint8

// The causes.
const (
	Pushed Cause = iota // by the part moved, or by one that it pushed
	Fell
	Sprung // by a spring or a magnet
)

func (c Cause) String() string { return [...]string{"pushed", "fell", "sprung"}[c] }

// Effect is what else happens in a move, mm or radians.
type Effect struct {
	Travel   int
	From, To float64
	Cause    Cause
}

// Stroke is one straight run of the hand with what comes of it.
type Stroke struct {
	motion.Stroke
	Effects []Effect
}

// Kind is the kind of a move.
type Kind uint8

// The kinds of move.
const (
	Hand Kind = iota // the hand moves a part
	Turn             // the box is turned so that Up is up
	Take             // a tool is taken out and put in elsewhere
)

func (k Kind) String() string { return [...]string{"hand", "turn", "take"}[k] }

// Move is one move of a way.
type Move struct {
	Kind    Kind
	Part    int // moved by the hand; of a tool the part of the seat that it is put into; else -1
	From    int // Take: the part of the seat that it is taken from
	Up      geom.Vec
	Strokes []Stroke
	Effects []Effect // after the last stroke, or of turning or taking
	After   []float64
}

// Way is a sequence of moves from the start into the goal.
type Way struct {
	Growth float64
	Start  []float64 // where everything has come to rest before the first move
	Up     geom.Vec  // at the start
	Moves  []Move
	Fewest bool // no way has fewer moves
	Least  int  // no way has fewer than this
	// Rounding is by travel how far a value that is pushed to, or fallen to, may be off that
	// of the bodies, mm or radians: what the lattice and the maps leave open.
	Rounding []float64
}

// Strokes counts the strokes of the hand; turning the box and taking a tool are
// one each.
func (w *Way) Strokes() int {
	n := 0
	for i := range w.Moves {
		n += max(1, len(w.Moves[i].Strokes))
	}
	return n
}

// Opening is the answer to "does it open" at one growth.
type Opening struct {
	Growth float64
	Opens  motion.Answer
	Start  motion.Answer // whether there is a situation at rest to begin with
	Put    motion.Answer // whether the goal holds as soon as the box is put down
	Moves  int
	Way    *Way // one of the fewest moves, where it opens
}

// No is an answer "no" of the directed law that hands that reach everything would not
// give: what rests on it rests on that law.
type No struct {
	What   string
	Growth float64
	Avoid  int // the step that cannot be avoided, -1 where it does not open
	// Detail is what somebody asked to follow it looked at, and Err what that found: nil
	// where it agrees.
	Detail string
	Err    error
	fewest bool // of the number of moves
}

// AtLimit is a way at a growth at which a limit is told to lie no lower: where it binds, or
// where step Avoid can be left out.
type AtLimit struct {
	Avoid int // -1 of the bind
	Way   *Way
}

// Closure is what an answer "no" of the directed law rests on: Reached holds Start, is
// closed under every move of the board, and misses Goal. It holds while its board does.
type Closure struct {
	Board   *Board
	Parts   [][2]int // of the board's pairs
	Travels []int    // by level, -1 for those beside the travels
	Tools   []int    // by tool, its level
	Growth  float64
	Avoid   int
	Start   diagram.Set
	Reached diagram.Set
	Goal    diagram.Set
	// Back is all that may come of what is reached of the goal, and Home where everything
	// stands as at the start, where the way back is asked for.
	Back, Home diagram.Set
}

// ErrNotFollowed says that nobody was asked to follow an answer.
var ErrNotFollowed = errors.New("that parts which only fall or are pushed come no further is followed by no second method")

// Step is what was found of one step of the design.
type Step struct {
	Unavoidable motion.Answer // as drawn
	Loose       motion.Answer // unavoidable at the loose end
	Shortcut    *Way          // a way that avoids it, as drawn or else at the loose end
	// Bypass is the growth below which it can be avoided, where Limited, and HoldsTo the
	// least growth at which it surely cannot; Bypass is nil where no growth is known at
	// which it can.
	Limited bool
	Bypass  *motion.Limit
	HoldsTo float64
}

// Trap tells of situations that can be reached and from which the goal cannot.
type Trap struct {
	Exists motion.Answer
	In     *Way // a shortest way into one, nil if none is sure
	// Followed is whether somebody who was asked to follow it agrees, Undecided where
	// that could not be told or nobody was asked, and Detail what was looked at, or why.
	Followed motion.Answer
	Detail   string
}

// Return tells of the way back to the start, once the goal is met.
type Return struct {
	Way      *Way // from the start into the goal and on to the start; nil if none is known
	Followed motion.Answer
	Detail   string
}

// Result is what the directed law of motion has to say.
type Result struct {
	Ups     []geom.Vec // the attitudes, that of the start first
	Asked   [2]float64
	Drawn   Opening
	Tight   Opening
	Loose   Opening
	Way     *Way // as drawn; nil if none was found
	Steps   []Step
	Bind    *motion.Limit // above it no way is left; nil where it was not asked
	Noes    []No          // of the openings and steps
	AtLimit []AtLimit     // ways on which limits beyond the growths asked rest
	Beyond  []No          // and answers "no"; a limit of hands that reach everything has none
	Trap    Trap
	Reset   motion.Reset
	Return  Return   // what Reset rests on; Followed as of Trap
	Alone   bool     // whether some answer rests on the directed law alone: see Over
	Pushers []Pusher // what pushes what, where that was asked
	Reached float64  // situations at rest within reach as drawn, in units of the lattice
	Unit    [2]float64
	Nodes   int

	solver *solver // for what is asked afterwards
}
