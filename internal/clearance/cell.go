package clearance

import "feint/internal/mechanism"

// MaxCoords is the largest number of coordinates of one map.
const MaxCoords = 4

// Coord is one coordinate of a pair's relative motion: the signed sum of the
// travels in Terms, mm or radians.
type Coord struct {
	Terms  []mechanism.Joint
	Lo, Hi float64 // the coordinate's range, from the travels' limits
	Cyclic bool    // a full turn: Lo 0, Hi 2 pi, the ends are joined
	Angle  bool    // radians, not mm
}

// Cell is a closed box of coordinates with bounds of the clearance in it, mm.
// Only the first len(Coords) entries of Lo and Hi count. Cell limits are dyadic
// fractions of the coordinate's range: Lo + (Hi-Lo) k/2^n, computed so that
// neighbours share them bit for bit.
type Cell struct {
	Lo, Hi [MaxCoords]float64
	Lower  float64 // clearance >= Lower everywhere in the cell; -Inf if unknown
	Upper  float64 // clearance <= Upper everywhere in the cell; +Inf if unknown
}

// State is what a cell tells at a threshold.
type State uint8

// The states of a cell.
const (
	Undecided State = iota
	Free
	Blocked
)

// At is the state of the cell where the pair needs the clearance need, mm.
func (c *Cell) At(need float64) State {
	switch {
	case c.Lower >= need:
		return Free
	case c.Upper < need:
		return Blocked
	default:
		return Undecided
	}
}
