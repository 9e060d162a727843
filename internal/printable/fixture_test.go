package printable

import (
	"math"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/solid"
)

func leaf(p mechanism.Primitive) *mechanism.Shape { return &mechanism.Shape{Prim: p} }

func at(s *mechanism.Shape, x, y, z float64) *mechanism.Shape {
	return &mechanism.Shape{Op: mechanism.Place, Args: []*mechanism.Shape{s}, Move: geom.Translation(geom.Vec{X: x, Y: y, Z: z})}
}

func cutOff(a *mechanism.Shape, b ...*mechanism.Shape) *mechanism.Shape {
	return &mechanism.Shape{Op: mechanism.Cut, Args: append([]*mechanism.Shape{a}, b...)}
}

func join(a ...*mechanism.Shape) *mechanism.Shape {
	return &mechanism.Shape{Op: mechanism.Join, Args: a}
}

// brick spans the given room.
func brick(x0, x1, y0, y1, z0, z1 float64) *mechanism.Shape {
	return leaf(mechanism.Block{Lo: geom.Vec{X: x0, Y: y0, Z: z0}, Hi: geom.Vec{X: x1, Y: y1, Z: z1}})
}

func build(t testing.TB, s *mechanism.Shape, tol float64) *mesh.Mesh {
	t.Helper()
	m, err := solid.Build(s, solid.Options{Tolerance: tol})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func piece(t testing.TB, s *mechanism.Shape) Piece {
	return Piece{Mesh: build(t, s, 0.002), Up: geom.Identity()}
}

// near compares with a relative tolerance.
func near(t *testing.T, what string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*max(1e-12, math.Abs(want))) {
		t.Errorf("%s: got %.6g, want %.6g (within %g of it)", what, got, want, rel)
	}
}

func deg(a float64) float64 { return a * math.Pi / 180 }
