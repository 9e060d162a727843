package printable

import (
	"math"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/solid"
)

// Closed form: a tube of 20 x 20 mm with a hole of 10 x 10, 8 mm high, whose lowest
// 0.4 mm spread by 0.15: (20.3^2 - 9.7^2 - (20^2 - 10^2)) x 0.4 mm3 more, whichever of
// its ends lies on the plate; a body that stands above the plate stays as it is.
func TestFlared(t *testing.T) {
	box := func(x, z0, z1 float64) *mechanism.Shape {
		return &mechanism.Shape{Prim: mechanism.Block{Lo: geom.Vec{X: -x, Y: -x, Z: z0}, Hi: geom.Vec{X: x, Y: x, Z: z1}}}
	}
	m, err := solid.Build(&mechanism.Shape{Op: mechanism.Cut, Args: []*mechanism.Shape{box(10, 0, 8), box(5, -1, 9)}}, solid.Options{})
	if err != nil {
		t.Fatal(err)
	}
	more := (20.3*20.3 - 9.7*9.7 - 300) * 0.4
	for _, up := range []geom.Motion{geom.Identity(), geom.Rotation(geom.Line{Dir: geom.Vec{X: 1}}, math.Pi)} {
		k, err := Flared(Piece{Mesh: m, Up: up}, 0.15, 0.4, 1)
		if err != nil {
			t.Fatal(err)
		}
		if d := k.Volume() - m.Volume(); math.Abs(d-more) > 0.01 {
			t.Errorf("%g mm3 more, want %g", d, more)
		}
		for _, d := range mesh.Check(k) {
			if !d.Harmless {
				t.Errorf("%v", d)
			}
		}
		// the far end is as drawn: a place 0.1 mm outside it lies outside
		far := geom.Vec{X: 10.1, Z: 7.5}
		near := geom.Vec{X: 10.1, Z: 0.2}
		if up.R[2].Z < 0 {
			far, near = near, far
			near.Z, far.Z = 7.8, 0.5
		}
		tree := mesh.NewTree(k)
		if tree.Inside(far) || !tree.Inside(near) {
			t.Errorf("far end inside %v, near end inside %v", tree.Inside(far), tree.Inside(near))
		}
	}
	if k, err := Flared(Piece{Mesh: m, Up: geom.Identity()}, 0, 0.4, 1); err != nil || k != m {
		t.Errorf("no flare: %v", err)
	}
}
