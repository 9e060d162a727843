package clearance

import (
	"context"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
)

// A thin wide sill right through a pin: wherever the sill lies within the pin,
// its faces are deep in the pin although all the corners that are near are
// shallow. Such places must be told blocked at small depths, not left undecided
// at any width: a whole region would otherwise be divided to dust. Closed form:
// with the sill from s to s + 0.7 and the pin from 0 to 4 (2 half wide), the sill's
// upper face is min(s + 0.7, 2) deep.
func TestSillThroughPin(t *testing.T) {
	m := &mechanism.Mechanism{
		Parts: []mechanism.Part{{Name: "sill", Frame: true, Carrier: -1}, {Name: "pin", Carrier: 0, Travels: []int{0, 1}}},
		Travels: []mechanism.Travel{
			{Name: "up", Part: 1, Axis: geom.Line{Dir: geom.Vec{Z: 1}}, Lo: -0.5, Hi: 0.5},
			{Name: "along", Part: 1, Axis: geom.Line{Dir: geom.Vec{X: 1}}, Lo: -3, Hi: 3},
		},
		Start: []float64{0, 0},
	}
	a, err := NewBody(block(-20, 20, -10, 10, 0, 0.7))
	if err != nil {
		t.Fatal(err)
	}
	b, err := NewBody(block(-2, 2, -2, 2, 0, 4))
	if err != nil {
		t.Fatal(err)
	}
	mp, err := New(m, 0, 1, a, b)
	if err != nil {
		t.Fatal(err)
	}
	for _, need := range []float64{-0.1, -0.2, -0.3} {
		if err := mp.Refine(context.Background(), []float64{need}, 0.02); err != nil {
			t.Fatal(err)
		}
		n := 0
		for c := range mp.Cells() {
			n++
			if c.Hi[0] < 0.38 && c.At(need) != Blocked {
				t.Fatalf("need %g: %v to %v is %v, bounds %g to %g", need, c.Lo[:2], c.Hi[:2], c.At(need), c.Lower, c.Upper)
			}
		}
		if n > 2000 {
			t.Errorf("need %g: %d cells for a few straight borders", need, n)
		}
	}
}
