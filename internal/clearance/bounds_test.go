package clearance

import (
	"context"
	"math"
	"testing"

	"feint/internal/mechanism"
)

// A square pin in a square groove has half the difference of widths to either
// side, less how far it is off the middle. Closed form.
func TestPinInGroove(t *testing.T) {
	m := pairing([]mechanism.Travel{slide(v(0, 1, 0), -1, 1), slide(v(1, 0, 0), -3, 3)}, nil)
	groove := join(block(-20, 20, -9, -2.3, -5, 5), block(-20, 20, 2.3, 9, -5, 5))
	mp := mapOf(t, m, block(-2, 2, -2, 2, -4, 4), groove)
	needs := []float64{0.1, 0.2}
	if err := mp.Refine(context.Background(), needs, 0.01); err != nil {
		t.Fatal(err)
	}
	across := 0
	for i, k := range mp.Coords() {
		if k.Terms[0].Travel == 0 {
			across = i
		}
	}
	for c := range mp.Cells() {
		lo, hi := c.Lo[across], c.Hi[across]
		worst := math.Max(math.Abs(lo), math.Abs(hi))
		best := 0.0
		if lo > 0 || hi < 0 {
			best = math.Min(math.Abs(lo), math.Abs(hi))
		}
		if c.Lower > 0.3-worst+1e-9 || c.Upper < 0.3-best-1e-9 {
			t.Fatalf("cell %v to %v: bounds %g to %g, in truth %g to %g", c.Lo[:2], c.Hi[:2], c.Lower, c.Upper, 0.3-worst, 0.3-best)
		}
	}
}

// A square pin that is pushed into the side of its groove lies as deep as it was pushed
// beyond their gap of 0.3. Closed form.
func TestPinDeeper(t *testing.T) {
	m := pairing([]mechanism.Travel{slide(v(0, 1, 0), -1, 1), slide(v(1, 0, 0), -3, 3)}, nil)
	groove := join(block(-20, 20, -9, -2.3, -5, 5), block(-20, 20, 2.3, 9, -5, 5))
	mp := mapOf(t, m, block(-2, 2, -2, 2, -4, 4), groove)
	for _, k := range []struct {
		off, depth float64
		deeper     bool
	}{{0, 1e-5, false}, {0.3, 1e-5, false}, {0.302, 1e-5, true}, {-0.35, 0.04, true}, {-0.35, 0.06, false}} {
		got, err := mp.Deeper([]float64{k.off, 1.7}, k.depth)
		if err != nil || got != k.deeper {
			t.Errorf("%g off the middle, deeper than %g: %v (%v)", k.off, k.depth, got, err)
		}
	}
	if _, err := mp.Deeper(nil, 1); err == nil {
		t.Error("a configuration without values is read")
	}
}

// A prism in a tube of as many sides: faces to face the gap is the difference of
// the inner radii; turned by half a side the corners come nearest. Closed form.
func TestCoaxialPrisms(t *testing.T) {
	const n, r, bore = 48, 6.0, 6.3
	m := pairing([]mechanism.Travel{slide(v(0, 0, 1), -5, 5), fullTurn(zAxis)}, nil)
	mp := mapOf(t, m, prism(ngon(n, r, 0), -10, 10), tube(n, bore, 10, -30, 30))
	for _, c := range []struct{ turn, want float64 }{
		{0, (bore - r) * math.Cos(math.Pi/n)},
		{math.Pi / n, bore*math.Cos(math.Pi/n) - r},
	} {
		for _, z := range []float64{-4, 0, 3} {
			lo, hi, err := mp.At([]float64{z, c.turn})
			if err != nil || lo > c.want+1e-6 || hi < c.want-1e-6 || hi-lo > 1e-4 {
				t.Errorf("turn %.4f: %g to %g, want %g (%v)", c.turn, lo, hi, c.want, err)
			}
		}
	}
}

// The map of the conforming pair from its meshes, as a proof of it with its fit window
// asks it: as drawn and at the tight end of the asked range to 0.08 mm, beyond the limit
// (0.1756, at the pin) coarsely and below it to 0.01; nothing at overlaps, since the
// generous reading already tells that there is no shortcut.
func BenchmarkRodSleeve(b *testing.B) {
	rod, sl := rodMesh(), sleeveMesh()
	for b.Loop() {
		mp := mapOf(b, rodSleeve(), rod, sl)
		for _, ask := range []struct {
			needs []float64
			width float64
		}{
			{[]float64{0}, 0.32},
			{[]float64{0}, 0.08},
			{[]float64{0.1}, 0.08},
			{[]float64{0.1974, 0.1674}, 0.32},
			{[]float64{0.1674}, 0.08},
			{[]float64{0.1674}, 0.02},
			{[]float64{0.1674}, 0.01},
		} {
			if err := mp.Refine(context.Background(), ask.needs, ask.width); err != nil {
				b.Fatal(err)
			}
		}
	}
}
