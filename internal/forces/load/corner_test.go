package load

import (
	"math"
	"testing"

	"feint/internal/geom"
)

// Statics, by hand: a load between two frictionless walls whose normals are an angle a
// apart presses on both with 1/(2 cos(a/2)) of it: the square root of 2 together in a
// square channel, 2/sqrt(3) in a hexagonal one, 2 in a groove of 60 degrees; next to
// nothing more than 1 in a bore; and walls that only face each other make no corner.
func TestCorner(t *testing.T) {
	ring := func(degrees ...float64) []piece {
		var out []piece
		for _, d := range degrees {
			s, c := math.Sincos(d * math.Pi / 180)
			out = append(out, piece{normal: geom.Vec{Y: c, Z: s}, area: 1})
		}
		return append(out, piece{normal: geom.Vec{X: 1}, area: 3}) // an end: it does not lead
	}
	var bore []float64
	for i := range 48 {
		bore = append(bore, float64(i)*7.5)
	}
	for _, c := range []struct {
		name  string
		walls []float64
		want  float64
		near  float64
	}{
		{"square", []float64{0, 90, 180, 270}, math.Sqrt2, 1e-9},
		{"floor and two sides", []float64{0, 90, 180}, math.Sqrt2, 1e-9},
		{"hexagon", []float64{0, 60, 120, 180, 240, 300}, 2 / math.Sqrt(3), 1e-9},
		{"groove", []float64{30, 150}, 2, 1e-9},
		{"bore", bore, 1, 0.005},
		{"two that face", []float64{0, 180}, 1, 1e-9},
	} {
		if got := corner(geom.Vec{X: 1}, ring(c.walls...)); math.Abs(got-c.want) > c.near {
			t.Errorf("%s: %g, want %g", c.name, got, c.want)
		}
	}
}
