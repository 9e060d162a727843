package printable

import (
	"math"
	"testing"

	"feint/internal/geom"
)

// well is a solid block with a well open above: outside x, y, z 60 x 50 x 30 mm from
// (-30, -25, 0), the well 20 x 16 mm in the middle, down to z = 10.
func well(t *testing.T) Piece {
	t.Helper()
	return piece(t, cutOff(brick(-30, 30, -25, 25, 0, 30), brick(-10, 10, -8, 8, 10, 31)))
}

// A box with walls of 20 and 17 mm and a floor of 10 mm, 2.4 mm to be kept: all but the
// top could lie farther in. The volume that goes is that of the closed form; the mass is
// less, since the inside is sparse.
func TestShaved(t *testing.T) {
	s := Default()
	p := well(t)
	r, err := Look(p, s, 2)
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range r.Spare {
		if len(k.Sides) > 0 {
			t.Errorf("not the outer part: %+v", k)
		}
	}
	p.Outer = true
	if r, err = Look(p, s, 2); err != nil {
		t.Fatal(err)
	}
	if len(r.Spare) == 0 || len(r.Spare[0].Sides) != 5 {
		t.Fatalf("%+v", r.Spare)
	}
	k := r.Spare[0]
	for _, d := range k.Sides {
		want := math.Abs(d.Out.X)*17.6 + math.Abs(d.Out.Y)*14.6 + math.Abs(d.Out.Z)*7.6
		if math.Abs(d.Depth-want) > 1e-9 || d.Out.Z > 0 {
			t.Errorf("%v by %g, want %g", d.Out, d.Depth, want)
		}
	}
	near(t, "volume", k.Volume, 60*50*30-24.8*20.8*22.4, 1e-9)
	if e := &r.Given.Estimate; !(k.Grams > 0.5*e.Grams && k.Grams < e.Grams && k.Minutes > 0 && k.Minutes < e.Minutes) {
		t.Errorf("saves %g of %g g, %g of %g min", k.Grams, e.Grams, k.Minutes, e.Minutes)
	}
	// what slides on a side, or in what is left out, keeps it
	p.Slides = []Slide{{At: geom.Vec{X: -20, Y: 0, Z: 30}, Normal: geom.Vec{Z: 1}}}
	if r, err = Look(p, s, 2); err != nil {
		t.Fatal(err)
	}
	for _, d := range r.Spare[0].Sides {
		if d.Out.X < 0 {
			t.Errorf("a part slides there: %+v", d)
		}
	}
	// a block without anything within has no wall
	solid := piece(t, brick(0, 40, 0, 40, 0, 40))
	solid.Outer = true
	if r, err = Look(solid, s, 2); err != nil {
		t.Fatal(err)
	}
	for _, k := range r.Spare {
		if len(k.Sides) > 0 || k.Minutes < 0 {
			t.Errorf("%+v", k)
		}
	}
}
