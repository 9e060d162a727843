package printable

import (
	"math"
	"testing"

	"feint/internal/mesh"
)

// TestWalls: a box of walls of 1.2 and 3 mm on a floor of 10 mm: closed forms of the
// shares, less what lies in corners, and the thinnest places are on the thin wall.
func TestWalls(t *testing.T) {
	// 40 x 30 outside, walls of 1.2 mm at the long sides, 3 mm at the short ones, 20 high
	m := build(t, cutOff(brick(0, 40, 0, 30, 0, 30), brick(3, 37, 1.2, 28.8, 10, 31)), 0.01)
	s, tree := Default(), mesh.NewTree(m)
	thinnest, shares := walls(places(m), tree, &s, 2)
	if len(thinnest) == 0 {
		t.Fatal("no wall")
	}
	for _, k := range thinnest {
		if math.Abs(k.Thick-1.2) > 1e-3 || k.At.Y > 1.3 && k.At.Y < 28.7 || k.At.Z < 9 {
			t.Errorf("%+v", k)
		}
	}
	// a block's sides lie straight through of each other up to its very edges
	block := build(t, brick(0, 4, 0, 4, 0, 40), 0.01)
	if _, shares := walls(places(block), mesh.NewTree(block), &s, 2); math.Abs(shares[3]-640/block.Area()) > 0.02 {
		t.Errorf("a block of 4 x 4 x 40 mm: %v", shares)
	}
	// 1.2 mm: between two and four lines of 0.45; 3 mm: below the third band
	long, short := 4*34*20.0/m.Area(), 4*27.6*20.0/m.Area()
	near(t, "long walls", shares[1], long, 0.1)
	near(t, "short walls", shares[2], short, 0.12)
	sum := 0.0
	for _, k := range shares {
		sum += k
	}
	near(t, "all", sum, 1, 1e-9)
	if shares[0] > 0.002 {
		t.Errorf("a share of %g is thinner than two lines", shares[0])
	}
	// the map says the same of the pieces, and leaves none out
	areas, whole := [5]float64{}, 0.0
	for _, k := range WallMap(m, tree, &s, 2) {
		a := area2(k.Piece[0], k.Piece[1], k.Piece[2]) / 2
		areas[k.Band] += a
		whole += a
	}
	near(t, "the map's area", whole, m.Area(), 1e-6)
	near(t, "the map's long walls", areas[1]/whole, long, 0.1)
}
