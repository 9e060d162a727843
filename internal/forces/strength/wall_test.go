package strength

import (
	"math"
	"testing"

	"feint/internal/geom"
	"feint/internal/mesh"
)

// Closed form: a slab of 2 mm is 2 mm thick wherever its middle is nearer to both faces
// than to an edge, and no wall of it is thinner.
func TestWallsOfSlab(t *testing.T) {
	ws := Walls(mesh.NewTree(block(geom.Vec{}, geom.Vec{X: 30, Y: 20, Z: 2})), 800)
	if len(ws) < 550 { // a millimetre off the edges lie 576 of 800
		t.Fatalf("%d walls", len(ws))
	}
	flat := 0
	for _, w := range ws {
		if w.Thick < 2*(1-1e-4) {
			t.Fatalf("%+v", w)
		}
		if math.Abs(w.Thick-2) < 1e-3 {
			flat++
		}
	}
	if flat < len(ws)*9/10 {
		t.Errorf("%d of %d are 2 mm", flat, len(ws))
	}
}

// Closed form: the web between a pocket and the outside, 0.6 mm, is the thinnest of a
// box, and it is found where it is.
func TestThinnestWeb(t *testing.T) {
	m, err := mesh.Arrange([]*mesh.Mesh{block(geom.Vec{}, geom.Vec{X: 30, Y: 20, Z: 10}), block(geom.Vec{X: 5, Y: 5, Z: 0.6}, geom.Vec{X: 25, Y: 15, Z: 11})},
		func(in []bool) bool { return in[0] && !in[1] }, mesh.Options{})
	if err != nil {
		t.Fatal(err)
	}
	w := Walls(mesh.NewTree(m), 1500)[0]
	near(t, "web", w.Thick, 0.6, 1e-4)
	if w.At.Z > 0.61 || w.At.X < 4 || w.At.X > 26 {
		t.Errorf("at %v", w.At)
	}
	if Walls(mesh.NewTree(&mesh.Mesh{}), 10) != nil {
		t.Error("nothing has walls")
	}
}

// Published: lid twist, men 4.3 +- 1.5, women 3.3 +- 0.9 N m; grip 231 +- 67.7 N at 38 mm;
// finger pull 18 N at most (MIL-STD-1472E). Weak is below and strong above the means.
func TestHands(t *testing.T) {
	twist, grip, pull := HandOf(Twist), HandOf(Grip), HandOf(Pull)
	if !(twist.Weak < 3.3-0.9 && twist.Strong > 4.3+1.5 && twist.Weak > 0) {
		t.Errorf("%+v", twist)
	}
	near(t, "two deviations", grip.Strong-grip.Weak, 4*67.7, 1e-12)
	if pull.Weak > 18 || pull.Strong < 18 {
		t.Errorf("%+v", pull)
	}
	for _, h := range Hands() {
		if h.Source == "" || h.Weak >= h.Strong {
			t.Errorf("%+v", h)
		}
	}
	if HandOf("fly").Strong != 0 {
		t.Error("hands do not fly")
	}
}

func BenchmarkFeatures(b *testing.B) {
	m := block(geom.Vec{}, geom.Vec{X: 30, Y: 20, Z: 6})
	for b.Loop() {
		Features(m, Of("PLA"), geom.Vec{Z: 1})
	}
}
