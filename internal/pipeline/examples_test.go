package pipeline

import (
	"context"
	"path/filepath"
	"testing"

	"feint/internal/verdict"
)

// The three revisions of the lighthouse were drawn to be told apart: in the first
// the column's slot is so tall that the bolt finds it half in line; in the second
// the pins have 0.08 mm a side in their grooves (3.5 - 3.34 across), which a print
// that stands proud by 0.05 mm a surface closes; in the third they have 0.25 mm.
// Two surfaces bind at half the gap, closed form; facets and the curved walls of
// the grooves take less than 0.01 mm of it. The moves were counted by hand, on the
// drawing of the grooves.
func TestLighthouseRevisions(t *testing.T) {
	if testing.Short() {
		t.Skip("minutes with the race detector, which uses -short; the plain run has it")
	}
	o := Options{Cache: store(t)}
	for _, c := range []struct {
		file  string
		want  verdict.Kind
		moves int
		bind  float64
	}{
		{"lighthouse-1.star", verdict.Shortcut, 13, 0.25 / 2},
		{"lighthouse-2.star", verdict.Stuck, 14, 0.08 / 2},
		{"lighthouse.star", verdict.Works, 14, 0.25 / 2},
	} {
		t.Run(c.file, func(t *testing.T) {
			out, err := Prove(context.Background(), filepath.Join("../../examples/lighthouse", c.file), o)
			if err != nil {
				t.Fatal(err)
			}
			d := out.Document
			if out.Verdict.Kind != c.want || !d.Certified {
				t.Errorf("verdict %s, certified %v: %q", d.Verdict, d.Certified, d.Doubts)
			}
			// the shortcut of the first revision is met on its very border, so its
			// moves are only told to be fewer than those of the meant way
			exact := c.want != verdict.Shortcut
			if d.Moves == nil || *d.Moves > c.moves || exact && (*d.Moves != c.moves || *d.MovesLeast != c.moves) {
				t.Errorf("moves %v, least %v, want %d", d.Moves, d.MovesLeast, c.moves)
			}
			within(t, "bind", d.Fit.Bind, c.bind, 0.01)
		})
	}
}

// The ferry's panels all have 0.25 mm a side: closed form, half of it. Its moves
// were counted by hand.
func TestFerry(t *testing.T) {
	if testing.Short() {
		t.Skip("slow with the race detector, which uses -short; the plain run has it")
	}
	out, err := Prove(context.Background(), "../../examples/ferry/ferry.star", Options{})
	if err != nil {
		t.Fatal(err)
	}
	d := out.Document
	if out.Verdict.Kind != verdict.Works || !d.Certified || d.Moves == nil || *d.Moves != 7 {
		t.Errorf("verdict %s, certified %v, moves %v: %q", d.Verdict, d.Certified, d.Moves, d.Doubts)
	}
	within(t, "bind", d.Fit.Bind, 0.125, 0.005)
}
