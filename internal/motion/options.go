package motion

import (
	"math"
	"slices"

	"feint/internal/diagram"
)

// PlayOf is how far a part can leave its straight line within its guide.
type PlayOf struct {
	Part     int
	Guides   []int   // the parts that guide it; none means every part may be met with play
	Sideways float64 // mm, as drawn (growth 0)
}

func (p *PlayOf) guides(a, b int) bool {
	return p.Part == a && slices.Contains(p.Guides, b) || p.Part == b && slices.Contains(p.Guides, a)
}

// Options say what is asked and how finely; the zero value of a field takes its
// default.
type Options struct {
	Growth      [2]float64 // asked, mm; both 0: as drawn only
	Search      [2]float64 // growths searched for leak and bind; default 0.0713 below and 0.3487 above those asked
	Resolution  float64    // of leak and bind, mm of growth; default 0.01
	FirstWidth  float64    // at which maps are first asked, mm of clearance; default 0.32
	FinestWidth float64    // at which they are last asked; default 0.01
	FinestDepth float64    // and for overlaps; default twice that
	DepthStep   float64    // of Judge: overlaps are rounded up to this before what is free is looked for, and what is blocked is looked for by itself; 0: neither, mm
	LiftTurn    float64    // unit of turns that enter a difference, radians; default 0.25 degree
	LiftSlide   float64    // unit of slides that enter a difference, mm; default 0.02
	LiftHalves  int        // how often these may be halved where it matters; default 2, negative: never
	CountSlide  float64    // one configuration is so much of a slide, mm; default 0.1
	CountTurn   float64    // and so much of a turn, radians; default 0.5 degree
	Play        []PlayOf
	PlayLater   func() []PlayOf // of Solve, in place of Play: called once, where play is first needed
	// Asked, if not nil, is called once, when the answers at the growths asked stand: its
	// Result has these, the certificates of all answers "no", and of how far beyond the
	// answers hold no more than they say themselves. It is sure if none is Undecided; then
	// it has the way too, and of play as much as stands at the loose end. The maps and the spaces of the certificates rest until it has
	// returned, and the spaces are Solve's from then on until Solve has.
	Asked func(r *Result, sure bool) error
	// Walks, if not nil, tells whether moves that are a way as drawn surely are one at a
	// greater growth too. It is asked of the tight end where the maps leave that open.
	Walks func(moves []Move, growth float64) (bool, error)
	// Progress is told what is being asked; done of total, 0 of 0 if not known.
	Progress func(what string, done, total int)
}

func (o Options) withDefaults() Options {
	set := func(x *float64, v float64) {
		if *x == 0 {
			*x = v
		}
	}
	if o.Search == [2]float64{} {
		// off the round numbers in which gaps are drawn: at a growth at which a gap just
		// closes no width decides
		o.Search = [2]float64{min(o.Growth[0], 0) - 0.0713, max(o.Growth[1], 0) + 0.3487}
	}
	set(&o.Resolution, 0.01)
	set(&o.FirstWidth, 0.32)
	set(&o.FinestWidth, 0.01)
	set(&o.FinestDepth, 2*o.FinestWidth) // the depth of an overlap is dear, and 0.01 mm of growth is 0.02 of depth
	set(&o.LiftTurn, math.Pi/720)
	set(&o.LiftSlide, 0.02)
	set(&o.CountSlide, 0.1)
	set(&o.CountTurn, math.Pi/360)
	if o.LiftHalves == 0 {
		o.LiftHalves = 2
	}
	if o.Progress == nil {
		o.Progress = func(string, int, int) {}
	}
	return o
}

// Certificate is an answer "no" that can be checked without redoing the search:
// Reached holds Start, is closed under every move within Free, and misses Goal.
// Level k of Space is the travel Travels[k], cut into equal units; Free covers
// every configuration that may be free at Growth (for a step: outside its
// region).
type Certificate struct {
	What    string
	Growth  float64
	Space   *diagram.Space
	Travels []int
	Free    diagram.Set
	Reached diagram.Set
	Start   []int32
	Goal    diagram.Set
	Levels  [][]int // by part that travels, the levels it moves
	Avoid   int     // the step whose region is cut out of Free, -1 if none
}
