package proof_test

import (
	"context"
	"errors"
	"testing"

	"feint/internal/diagram"
	"feint/internal/mechanism"
	"feint/internal/proof"
)

// A wall across two travels, known by hand: of 0..8 by 0..8 the strip from 4 to 5
// of the first is blocked. The start cannot come past it.
func wall(t *testing.T) (*mechanism.Mechanism, *proof.Closure, []proof.Cover) {
	t.Helper()
	m, s := board(-1, 8, 8)
	free := s.Not(s.Runs(0, diagram.Run{Lo: 4, Hi: 5}))
	c := &proof.Closure{Space: s, Travels: []int{0, 1}, Free: free, Reached: s.Runs(0, diagram.Run{Lo: 0, Hi: 4})}
	cover := proof.Cover{
		Coords: []proof.Coord{{{Travel: 0, Sign: 1}}, {{Travel: 1, Sign: 1}}},
		Blocks: []proof.Block{{Lo: []float64{4, 0}, Hi: []float64{5, 5}}, {Lo: []float64{4, 5}, Hi: []float64{5, 8}}},
	}
	return m, c, []proof.Cover{cover}
}

func TestCovered(t *testing.T) {
	ctx := context.Background()
	m, c, covers := wall(t)
	looked, err := proof.Covered(ctx, m, c, nil, covers, 200)
	if err != nil || looked < 20 {
		t.Fatalf("a wall wholly claimed: %d places, %v", looked, err)
	}
	covers[0].Blocks = covers[0].Blocks[:1] // nobody has shown the upper part blocked
	if _, err := proof.Covered(ctx, m, c, nil, covers, 200); !errors.Is(err, proof.ErrRefused) {
		t.Errorf("a wall claimed in part: %v", err)
	}
	avoid := &mechanism.Region{Bounds: []mechanism.Bound{{Travel: 0, Lo: 4, Hi: 5}, {Travel: 1, Lo: 5, Hi: 8}}}
	if _, err := proof.Covered(ctx, m, c, avoid, covers, 200); err != nil {
		t.Errorf("the rest is to be avoided: %v", err)
	}
	avoid.Bounds[1].Lo = 7.5
	if _, err := proof.Covered(ctx, m, c, avoid, covers, 200); !errors.Is(err, proof.ErrRefused) {
		t.Errorf("only a part of the rest is to be avoided: %v", err)
	}
}
