package hands_test

import (
	"context"
	"math"
	"testing"

	"feint/internal/forces"
	"feint/internal/forces/load"
	"feint/internal/forces/mass"
	"feint/internal/geom"
	"feint/internal/hands"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/motion"
)

// TestAttitudes: a lid that slides along z, shut at the start, on an inclined plane: it
// runs where the slide is steeper than the angle of friction, tan(incline) > mu (C. A.
// Coulomb, 1781; any textbook). A second slide along x is kept by a wall.
func TestAttitudes(t *testing.T) {
	y := newToy()
	lid := y.slide("lid", mechanism.ByHand, geom.Vec{Z: 1}, 0.5)
	bar := y.slide("bar", mechanism.ByHand, geom.Vec{X: 1}, 0.5)
	// a ring about z on which nothing acts: its start lies at the seam of its turn
	ring := y.slide("ring", mechanism.ByHand, geom.Vec{Z: 1}, 0)
	y.m.Travels[ring].Kind, y.m.Travels[ring].Full, y.m.Travels[ring].Hi = mechanism.Turn, true, 2*math.Pi
	y.pair(t, bar, lid, func(b, _ int) bool { return b < 2 })
	y.goal(lid, 10)
	box := load.NewBox(y.m, make([]*mesh.Mesh, len(y.m.Parts)))
	mu := forces.Interval{Lo: 0.2, Hi: 0.5}
	for p := range box.Mass {
		box.Mass[p] = mass.Properties{Mass: 0.01}
	}
	for k := range box.Friction {
		box.Friction[k] = mu
	}
	downs := load.Sphere(300)
	as, err := hands.Attitudes(context.Background(), &hands.Case{Mechanism: y.m, Maps: y.maps, Box: box}, 0, downs, hands.Options{Slide: 1})
	if err != nil {
		t.Fatal(err)
	}
	count := map[motion.Answer]int{}
	for i, a := range as {
		incline := math.Asin(downs[i].Z) // of the slide's rising way below the level
		want := motion.No
		switch {
		case math.Tan(incline) > mu.Hi:
			want = motion.Yes
		case math.Tan(incline) > mu.Lo:
			want = motion.Undecided
		}
		count[want]++
		if a.Opens != want {
			t.Errorf("down %+v (incline %.1f deg): %v, want %v", downs[i], incline*180/math.Pi, a.Opens, want)
		}
		if runs := len(a.Loose) > 0; runs != (want != motion.No) || len(a.Sure) > 0 != (want == motion.Yes) {
			t.Errorf("down %+v: loose %v, surely %v", downs[i], a.Loose, a.Sure)
		}
	}
	if len(count) != 3 {
		t.Errorf("only %v occur", count)
	}
}
