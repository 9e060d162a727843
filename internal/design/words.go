package design

import (
	"math"

	"go.starlark.net/starlark"

	"feint/internal/geom"
)

// The headings of the reference.
const (
	groupParam   = "Numbers that may be changed"
	groupSolid   = "Solids"
	groupOutline = "Outlines"
	groupCut     = "Grooves, threads, marks and pockets"
	groupPlace   = "Placing and repeating"
	groupMotion  = "Travels"
	groupPart    = "Parts"
	groupAim     = "Start, steps and goal"
	groupHold    = "Springs, detents, magnets and weight"
	groupSheet   = "The sheet"
	groupMath    = "Reckoning"
)

// vocabulary is all the words of the language, in the order of the reference.
func vocabulary() []word {
	var ws []word
	for _, g := range [][]word{
		paramWords(), solidWords(), outlineWords(), cutWords(), markWords(), placeWords(),
		motionWords(), partWords(), holdWords(), aimWords(), chainWords(), sheetWords(), mathWords(),
	} {
		ws = append(ws, g...)
	}
	return ws
}

// constants are the names that stand for a value.
func constants() starlark.StringDict {
	return starlark.StringDict{
		"x":  direction{geom.Vec{X: 1}},
		"y":  direction{geom.Vec{Y: 1}},
		"z":  direction{geom.Vec{Z: 1}},
		"pi": starlark.Float(math.Pi),
	}
}
