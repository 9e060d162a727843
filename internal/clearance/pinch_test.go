package clearance

import (
	"context"
	"math"
	"testing"

	"feint/internal/mechanism"
)

// A bar in a slot that is too narrow for it lies in both walls: no shift takes it
// out, though each wall by itself is left by one. Closed form: half the difference
// of widths, the bar straight in the middle, and more to the side.
func TestBarBetweenTwoWalls(t *testing.T) {
	if testing.Short() {
		t.Skip("long with the race detector, which uses -short; the plain run has it")
	}
	m := pairing([]mechanism.Travel{slide(v(1, 0, 0), -3, 3), slide(v(0, 1, 0), -0.3, 0.3)}, nil)
	walls := join(block(-20, 20, 2.88, 9, -5, 5), block(-20, 20, -9, -2.88, -5, 5))
	mp := mapOf(t, m, block(-2, 2, -3, 3, -4, 4), walls)
	const width = 0.02
	across := 0
	for i, k := range mp.Coords() {
		if k.Terms[0].Travel == 1 {
			across = i
		}
	}
	for _, need := range []float64{-0.1, -0.2} {
		if err := mp.Refine(context.Background(), []float64{need}, width); err != nil {
			t.Fatal(err)
		}
		cells := 0
		for c := range mp.Cells() {
			cells++
			lo, hi := c.Lo[across], c.Hi[across]
			worst, best := math.Max(math.Abs(lo), math.Abs(hi)), 0.0
			if lo > 0 || hi < 0 {
				best = math.Min(math.Abs(lo), math.Abs(hi))
			}
			if c.Lower > -0.12-worst+1e-9 || c.Upper < -0.12-best-1e-9 {
				t.Fatalf("cell %v to %v: bounds %g to %g, in truth %g to %g", c.Lo[:2], c.Hi[:2], c.Lower, c.Upper, -0.12-worst, -0.12-best)
			}
			if c.At(need) == Undecided && c.Upper-c.Lower > width+1e-9 {
				t.Fatalf("need %g: cell %v to %v is not known: %g to %g", need, c.Lo[:2], c.Hi[:2], c.Lower, c.Upper)
			}
		}
		if cells > 2000 {
			t.Errorf("need %g: %d cells", need, cells)
		}
	}
}

// The bar goes right through two walls that are shorter than it: where an end is flush
// with the walls' far or near side the faces lie in one plane, which no sideways shift
// parts and no division of a cell. Closed form as above, as long as both walls are met
// over more of their length than the bar lies deep in them.
func TestFlushEndsBetweenTwoWalls(t *testing.T) {
	if testing.Short() {
		t.Skip("long with the race detector, which uses -short; the plain run has it")
	}
	m := pairing([]mechanism.Travel{slide(v(1, 0, 0), -6.5, 5), slide(v(0, 1, 0), -0.1, 0.3)}, nil)
	walls := join(block(-2, 2, 2.88, 9, -5, 5), block(-2, 2, -9, -2.88, -5, 5))
	mp := mapOf(t, m, block(-5, 5, -3, 3, -4, 4), walls)
	const need, width = -0.1526, 0.02
	across := 0
	for i, k := range mp.Coords() {
		if k.Terms[0].Travel == 1 {
			across = i
		}
	}
	if err := mp.Refine(context.Background(), []float64{need}, width); err != nil {
		t.Fatal(err)
	}
	for c := range mp.Cells() {
		worst, best := max(math.Abs(c.Lo[across]), math.Abs(c.Hi[across])), 0.0
		if c.Lo[across] > 0 || c.Hi[across] < 0 {
			best = min(math.Abs(c.Lo[across]), math.Abs(c.Hi[across]))
		}
		if c.Lower > -0.12-worst+1e-9 || c.Upper < -0.12-best-1e-9 {
			t.Fatalf("cell %v to %v: bounds %g to %g, in truth %g to %g", c.Lo[:2], c.Hi[:2], c.Lower, c.Upper, -0.12-worst, -0.12-best)
		}
		if c.At(need) == Undecided && (-0.12-worst > need+width || -0.12-best < need-width) {
			t.Fatalf("cell %v to %v is not known: %g to %g, in truth %g to %g", c.Lo[:2], c.Hi[:2], c.Lower, c.Upper, -0.12-worst, -0.12-best)
		}
	}
}
