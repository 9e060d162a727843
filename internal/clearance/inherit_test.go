package clearance

import (
	"bytes"
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"feint/internal/mechanism"
	"feint/internal/mesh"
)

// someBlocks is a part of blocks, apart or overlapping, within a span of 16 mm.
func someBlocks(rng *rand.Rand, n int) []*mesh.Mesh {
	var out []*mesh.Mesh
	side := func(size float64) (lo, hi float64) {
		lo = 12*rng.Float64() - 8
		return lo, lo + 0.5 + size*rng.Float64()
	}
	for range n {
		x0, x1 := side(4)
		y0, y1 := side(4)
		z0, z1 := side(4)
		out = append(out, block(x0, x1, y0, y1, z0, z1))
	}
	return out
}

// A map that took over what it could from that of the parts before one changed is
// held to the clearance at single places: that at each the bounds of the cell hold it.
func TestInherit(t *testing.T) {
	motions := map[string]*mechanism.Mechanism{
		"slides":  pairing([]mechanism.Travel{slide(v(1, 0, 0), -9, 9)}, []mechanism.Travel{slide(v(0, 1, 0), -9, 9)}),
		"coaxial": pairing([]mechanism.Travel{slide(v(0, 0, 1), -9, 9), fullTurn(zAxis)}, nil),
	}
	seeds := uint64(12)
	if testing.Short() {
		seeds = 1
	}
	needs, more := []float64{-0.1, 0, 0.15}, []float64{-0.3, 0.5}
	ctx := context.Background()
	for name, m := range motions {
		kept := 0
		for seed := range seeds {
			rng := rand.New(rand.NewPCG(seed, 8))
			one, two := someBlocks(rng, 3), someBlocks(rng, 3)
			was := mapOf(t, m, join(one...), join(two...))
			if err := was.Refine(ctx, needs, 0.2); err != nil {
				t.Fatal(err)
			}
			before, part := mesh.NewTree(join(one...)), &one
			onA := rng.IntN(2) == 0
			if !onA {
				before, part = mesh.NewTree(join(two...)), &two
			}
			switch rng.IntN(3) {
			case 0:
				*part = (*part)[1:]
			case 1:
				*part = append(*part, someBlocks(rng, 1)...)
			case 2:
				(*part)[0] = someBlocks(rng, 1)[0]
			}
			now := mapOf(t, m, join(one...), join(two...))
			if err := now.Inherit(ctx, was, Changed(mesh.NewTree(join(*part...)), before, onA)); err != nil {
				t.Fatal(err)
			}
			kept += stale(&now.root)
			anew := mapOf(t, m, join(one...), join(two...))
			holdsAt(t, name, seed, now, rng)
			for _, n := range [][]float64{needs, more} {
				if err := now.Refine(ctx, n, 0.2); err != nil {
					t.Fatal(err)
				}
				now = savedAndRead(t, m, now, join(one...), join(two...))
				holdsAt(t, name, seed, now, rng)
				if err := anew.Refine(ctx, n, 0.2); err != nil {
					t.Fatal(err)
				}
				if got, want := undecided(now, n), undecided(anew, n); got > 1.3*want+0.1 {
					t.Errorf("%s, seed %d, needs %g: %g of the map is left open, %g where nothing is taken over", name, seed, n, got, want)
				}
			}
		}
		if kept < 500 && !testing.Short() {
			t.Errorf("%s: only %d cells were taken over", name, kept)
		}
	}
}

// stale counts the cells taken over.
func stale(c *cell) int {
	switch {
	case c.kids != nil:
		return stale(&c.kids[0]) + stale(&c.kids[1])
	case c.fresh:
		return 0
	default:
		return 1
	}
}

func holdsAt(t *testing.T, name string, seed uint64, m *Map, rng *rand.Rand) {
	t.Helper()
	var cells []Cell
	for c := range m.Cells() {
		cells = append(cells, c)
	}
	for range 60 {
		c := &cells[rng.IntN(len(cells))]
		q := make([]float64, 2)
		for i := range q {
			q[i] = c.Lo[i] + (c.Hi[i]-c.Lo[i])*rng.Float64()
		}
		lo, hi := m.exact(q, 300) // bounds of the truth however soon it ends
		if c.Lower > hi+1e-6 || c.Upper < lo-1e-6 {
			t.Fatalf("%s, seed %d: at %v the clearance is %g to %g, the cell %v to %v claims %g to %g", name, seed, q, lo, hi, c.Lo[:2], c.Hi[:2], c.Lower, c.Upper)
		}
	}
}

// undecided is how much of the map is neither free nor blocked at some of the needs.
func undecided(m *Map, needs []float64) float64 {
	sum := 0.0
	for c := range m.Cells() {
		for _, n := range needs {
			if c.At(n) == Undecided {
				sum += (c.Hi[0] - c.Lo[0]) * (c.Hi[1] - c.Lo[1])
				break
			}
		}
	}
	return sum
}

func savedAndRead(t *testing.T, m *mechanism.Mechanism, x *Map, a, b *mesh.Mesh) *Map {
	t.Helper()
	var buf bytes.Buffer
	if err := x.Save(&buf); err != nil {
		t.Fatal(err)
	}
	bodyA, err := NewBody(a)
	if err != nil {
		t.Fatal(err)
	}
	bodyB, err := NewBody(b)
	if err != nil {
		t.Fatal(err)
	}
	out, err := Load(&buf, m, x.a, x.b, bodyA, bodyB)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// What changes far from the other part leaves all of the map as it was; what is
// added round the other part leaves nothing of it.
func TestInheritFarAndRound(t *testing.T) {
	m := pairing([]mechanism.Travel{slide(v(1, 0, 0), -3, 3)}, []mechanism.Travel{slide(v(0, 1, 0), -3, 3)})
	bar, pin := block(-8, 8, -1, 1, -1, 1), block(-1, 1, -1, 1, 1.2, 5)
	was := mapOf(t, m, bar, pin)
	ctx := context.Background()
	if err := was.Refine(ctx, []float64{0.1}, 0.1); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name  string
		added *mesh.Mesh
		all   bool
	}{
		{"far", block(-8, 8, -1, 1, -9, -4), true},
		{"round", block(-30, 30, -30, 30, -40, 40), false},
	} {
		bigger := join(bar, c.added)
		now := mapOf(t, m, bigger, pin)
		if err := now.Inherit(ctx, was, Changed(mesh.NewTree(bigger), mesh.NewTree(bar), true)); err != nil {
			t.Fatal(err)
		}
		fresh := false
		now.leaves(&now.root, whole(), func(x *cell, _ dyadic) bool {
			fresh = fresh || x.fresh
			return true
		})
		switch {
		case c.all && fresh:
			t.Errorf("%s: some of the map was given up", c.name)
		case !c.all && stale(&now.root) > 0 && !(now.root.kids == nil && math.IsInf(now.root.upper, 1) && len(now.inherited) == 0):
			t.Errorf("%s: %d cells were taken over", c.name, stale(&now.root))
		}
	}
	if err := mapOf(t, m, bar, pin).Inherit(ctx, mapOf(t, pairing([]mechanism.Travel{slide(v(1, 0, 0), -4, 3)}, []mechanism.Travel{slide(v(0, 1, 0), -3, 3)}), bar, pin), Change{}); err == nil {
		t.Error("a map of other travels was taken over")
	}
}
