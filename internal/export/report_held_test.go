package export

import (
	"math"
	"strings"
	"testing"

	"feint/internal/geom"
	"feint/internal/hands"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/motion"
	"feint/internal/verdict/wording"

	"gonum.org/v1/gonum/spatial/r3"
)

// TestHeld: however the box is held, what is up in the drawing's words is up in the
// picture, nothing is mirrored, and one looks at the face of the cut (definitions).
func TestHeld(t *testing.T) {
	r := geom.Vec{X: 2, Y: -1, Z: 0.5}
	for _, size := range []geom.Vec{{X: 40, Y: 40, Z: 100}, {X: 80, Y: 60, Z: 12}, {X: 30, Y: 80, Z: 40}} {
		s := stageOf(crane(), brick(size.X, size.Y, size.Z))
		for _, up := range append(mechanism.Faces(), r3.Unit(r)) {
			h := s.heldBy(up)
			if got := h.turn.Turn(up); r3.Norm(r3.Sub(got, geom.Vec{Z: 1})) > 1e-12 {
				t.Errorf("%v, %s: up is %v", size, wording.Up(up), got)
			}
			x, y, z := h.turn.Turn(geom.Vec{X: 1}), h.turn.Turn(geom.Vec{Y: 1}), h.turn.Turn(geom.Vec{Z: 1})
			if math.Abs(r3.Dot(r3.Cross(x, y), z)-1) > 1e-12 {
				t.Errorf("%v, %s: mirrored", size, wording.Up(up))
			}
			if d := r3.Dot(h.in, h.cut.Normal); up != r3.Unit(r) && d > -0.5 {
				t.Errorf("%v, %s: the cut is seen at %.2f", size, wording.Up(up), d)
			}
			c := h.camera([][]float64{s.m.Start}, 300)
			at := h.pose(0, s.m.Start)
			if _, top, _ := c.Project(at.Apply(r3.Scale(20, up))); top >= float64(c.H)/2-1 {
				t.Errorf("%v, %s: what is up is drawn at %g of %d", size, wording.Up(up), top, c.H)
			}
		}
	}
}

// walk is the way of a crane's trolley: it runs out, the box is turned onto its left side,
// where it falls back, a hook is taken from one seat to another, the trolley runs again.
func walk() (*mechanism.Mechanism, *hands.Way) {
	m := crane()
	m.Parts = append(m.Parts, mechanism.Part{Name: "hook"}, mechanism.Part{Name: "hook on deck"})
	m.Tools = []mechanism.Tool{{Name: "hook", Seats: []mechanism.Seat{{Part: 3}, {Part: 4}}}}
	run := func(from, to float64) motion.Stroke { return motion.Stroke{Travel: 1, From: from, To: to} }
	right := geom.Vec{X: 1}
	return m, &hands.Way{Start: m.Start, Up: geom.Vec{Z: 1}, Moves: []hands.Move{
		{Kind: hands.Hand, Part: 2, Strokes: []hands.Stroke{{Stroke: run(0, 20)}}, Up: geom.Vec{Z: 1}},
		{Kind: hands.Turn, Part: -1, Up: right, Effects: []hands.Effect{{Travel: 1, From: 20, To: 0, Cause: hands.Fell}}},
		{Kind: hands.Take, Part: 4, From: 3, Up: right},
		{Kind: hands.Hand, Part: 2, Strokes: []hands.Stroke{{Stroke: run(0, 12)}}, Up: right},
	}}
}

// TestShots: every picture of a way in which the box is turned is taken as it is held then,
// with the tool where it is, and the words say so where the move's own do not.
func TestShots(t *testing.T) {
	m, w := walk()
	b := brick(60, 20, 40)
	s := newStage(&ReportInput{Mechanism: m, Meshes: []*mesh.Mesh{b, brick(8, 8, 8), brick(6, 6, 6), brick(3, 3, 3), brick(3, 3, 3)}})
	shots := s.shots(w.Plain(), w)
	up := []geom.Vec{{Z: 1}, {X: 1}, {X: 1}, {X: 1}}
	for i, k := range shots {
		if got := k.stage.turn.Turn(up[i]); math.Abs(got.Z-1) > 1e-12 {
			t.Errorf("move %d: %v is up, want %v", i+1, got, up[i])
		}
		if after := i >= 2; k.absent[3] != after || k.absent[4] == after {
			t.Errorf("move %d: seats without the hook: %v", i+1, k.absent)
		}
		if k.camera.Scale != shots[0].camera.Scale || k.camera.H != shots[0].camera.H {
			t.Errorf("move %d: a picture of another size or scale", i+1)
		}
	}
	if x := shots[0].after[1]; x != 20 || shots[1].after[1] != 0 || shots[1].before[1] != 20 {
		t.Errorf("the trolley stands at %g after the first move, then at %g", x, shots[1].after[1])
	}
	infos := make([]MoveInfo, 4)
	for i := range infos {
		infos[i] = MoveInfo{Part: "x", Words: wording.Move(m, &w.Moves[i])}
	}
	frames, err := s.frames(w.Plain(), w, infos)
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []string{"it stands as drawn", "", "its right side is up", "its right side is up"} {
		if frames[i].Held != want {
			t.Errorf("move %d: held %q, want %q", i+1, frames[i].Held, want)
		}
		if words := "held so that " + wording.Up(up[i]); !strings.Contains(string(frames[i].Drawing), words) {
			t.Errorf("move %d: the picture's name does not say %q", i+1, words)
		}
	}
	if !strings.Contains(string(frames[1].Drawing), ">b<") || strings.Contains(string(frames[1].Drawing), ">a<") {
		t.Error("what falls as the box is turned is the second line, and its arrow does not say b")
	}
	w.Moves[1] = hands.Move{Kind: hands.Turn, Part: -1, Up: geom.Vec{Z: 1}}
	for _, k := range s.shots(&motion.Way{Moves: w.Plain().Moves[:2]}, &hands.Way{Start: w.Start, Up: w.Up, Moves: w.Moves[:2]}) {
		if k.held != "" {
			t.Errorf("nobody turns the box, and it is held so that %s", k.held)
		}
	}
}
