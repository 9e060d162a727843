package proof_test

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/mesh"
	"feint/internal/proof"

	"gonum.org/v1/gonum/spatial/r3"
)

// scene is a mechanism of one travel a part, invented for these tests.
type scene struct {
	m      *mechanism.Mechanism
	meshes []*mesh.Mesh
}

func newScene(frame *mesh.Mesh) *scene {
	return &scene{m: &mechanism.Mechanism{Parts: []mechanism.Part{{Name: "frame", Frame: true, Carrier: -1}}}, meshes: []*mesh.Mesh{frame}}
}

// add adds a part with one travel and tells its number.
func (s *scene) add(name string, shape *mesh.Mesh, tr mechanism.Travel) int {
	t := len(s.m.Travels)
	s.m.Parts = append(s.m.Parts, mechanism.Part{Name: name, Travels: []int{t}})
	tr.Part, tr.Name = len(s.m.Parts)-1, name
	s.m.Travels = append(s.m.Travels, tr)
	s.m.Start = append(s.m.Start, 0)
	s.meshes = append(s.meshes, shape)
	return t
}

func slide(by mechanism.Moved, dir geom.Vec, hi float64) mechanism.Travel {
	return mechanism.Travel{Axis: geom.Line{Dir: dir}, Hi: hi, Moved: by}
}

// plain carries what falls by gravity if its slide leans downwards by more than 30
// degrees, and what is on a spring.
func (s *scene) plain(t int, _ []float64, up geom.Vec) (forwards, backwards bool) {
	tr := &s.m.Travels[t]
	if tr.Spring != nil {
		return tr.Spring.Toward > 0, tr.Spring.Toward < 0
	}
	if tr.Moved != mechanism.ByGravity {
		return false, false
	}
	d := r3.Dot(tr.Axis.Dir, up)
	return d < -0.5, d > 0.5
}

// way makes a way with a tolerance of 0.05 for everything.
func (s *scene) way(start []float64, deeds ...proof.Deed) *proof.Directed {
	d := &proof.Directed{Up: s.m.Ups()[0], Start: start, Deeds: deeds}
	for range s.m.Travels {
		d.Near = append(d.Near, 0.05)
	}
	return d
}

// hand is a stroke of the travel t, which is that of part t+1.
func hand(t int, from, to float64, told ...float64) proof.Deed {
	return proof.Deed{Strokes: []proof.Stroke{{Part: t + 1, Travel: t, From: from, To: to}}, Told: told}
}

func box(up geom.Vec, told ...float64) proof.Deed {
	return proof.Deed{Kind: proof.TurnBox, Up: up, Told: told}
}

func (s *scene) led(d *proof.Directed) (*proof.DirectedReport, error) {
	return proof.Led(context.Background(), s.m, trees(s.meshes...), s.plain, d)
}

func at(x, y, z float64) geom.Vec { return geom.Vec{X: x, Y: y, Z: z} }

// far is a frame that nothing meets.
func far() *mesh.Mesh { return block(at(-99, -99, -99), at(-98, -98, -98)) }

// ramp is a prism whose face looks to +x and +y, inclined so that a unit along x takes
// what leans on it ratio units along y. Its corner is at the origin.
func ramp(ratio, long float64) *mesh.Mesh {
	m := &mesh.Mesh{V: []geom.Vec{at(0, 0, 0), at(-long, 0, 0), at(-long, long*ratio, 0), at(0, 0, 4), at(-long, 0, 4), at(-long, long*ratio, 4)}}
	m.T = [][3]int32{{0, 1, 2}, {3, 5, 4}, {0, 3, 4}, {0, 4, 1}, {1, 4, 5}, {1, 5, 2}, {2, 5, 3}, {2, 3, 0}}
	return m
}

// Closed forms: in line, what is pushed goes as far as the pusher beyond their gap; over
// a wedge, its slope times that; by an arm that turns, as far as the arm's flat face has
// come at the line of the slide.
func TestLedPushes(t *testing.T) {
	x, y := at(1, 0, 0), at(0, 1, 0)
	t.Run("in line, three of them, stopped by a wall", func(t *testing.T) {
		s := newScene(block(at(40, -5, -5), at(42, 5, 5)))
		s.add("hand", block(at(0, 0, 0), at(4, 4, 4)), slide(mechanism.ByHand, x, 30))
		s.add("one", block(at(7, 0, 0), at(11, 4, 4)), slide(mechanism.ByContact, x, 30))
		s.add("two", block(at(12, 0, 0), at(16, 4, 4)), slide(mechanism.ByContact, at(-1, 0, 0), 0))
		s.m.Travels[2].Lo = -30
		pass(t, s, s.way([]float64{0, 0, 0}, hand(0, 0, 10, 10, 7, -6)))
		pass(t, s, s.way([]float64{0, 0, 0}, hand(0, 0, 2.9, 2.9, 0, 0), hand(0, 2.9, 27.9, 27.9, 24.9, -23.9), hand(0, 27.9, 0, 0, 24.9, -23.9)))
		refuse(t, s, s.way([]float64{0, 0, 0}, hand(0, 0, 28.1, 28.1, 25.1, -24.1)), "nothing there gives way")
		refuse(t, s, s.way([]float64{0, 0, 0}, hand(0, 0, 10, 10, 7, 0)), "on the meshes it comes to -6")
	})
	for _, ratio := range []float64{0.5, 1, 1.9, 2.5} {
		s := newScene(far())
		s.add("wedge", ramp(ratio, 20), slide(mechanism.ByHand, x, 15))
		s.add("bar", block(at(1, 0, 0), at(3, 30, 4)), slide(mechanism.ByContact, y, 30))
		d := s.way([]float64{0, 0}, hand(0, 0, 9, 9, 8*ratio))
		if ratio < 2 {
			pass(t, s, d)
		} else if _, err := s.led(d); err == nil {
			t.Errorf("a wedge of slope %g is said not to jam", ratio)
		}
	}
	for _, catch := range []float64{-0.01, 0.02, 0.09, 0.5} {
		s := newScene(far())
		s.add("post", block(at(0, 0, -9), at(4, 4, -1)), slide(mechanism.ByHand, at(0, 0, 1), 15))
		s.add("bar", block(at(4-catch, -1, 0), at(9, 5, 4)), slide(mechanism.ByContact, x, 30))
		_, err := s.led(s.way([]float64{0, 0}, hand(0, 0, 12, 12, 0)))
		if (err == nil) != (catch < 0) {
			t.Errorf("a post that catches head on by %g mm: %v", catch, err)
		}
	}
	t.Run("by an arm", func(t *testing.T) {
		s := newScene(far())
		s.add("arm", block(at(0, -2, 0), at(20, 0, 4)), mechanism.Travel{Kind: mechanism.Turn, Axis: geom.Line{Dir: at(0, 0, 1)}, Hi: 1})
		s.add("bar", block(at(9, 1, 0), at(10, 9, 4)), slide(mechanism.ByContact, y, 30))
		// the face through the axis, at the bar's outer corner
		pass(t, s, s.way([]float64{0, 0}, hand(0, 0, 0.6, 0.6, 10*math.Tan(0.6)-1)))
	})
}

func pass(t *testing.T, s *scene, d *proof.Directed) {
	t.Helper()
	if r, err := s.led(d); err != nil {
		t.Errorf("%v; at %.4g, %+v", err, r.At, *r)
	}
}

func refuse(t *testing.T, s *scene, d *proof.Directed, why string) {
	t.Helper()
	if _, err := s.led(d); !errors.Is(err, proof.ErrRefused) || !strings.Contains(err.Error(), why) {
		t.Errorf("%v, want it refused: %s", err, why)
	}
}

// well is a shaft with a shelf that the hand draws, and two weights one on the other in
// it; the upper one rests 0.5 mm above the lower. The shelf is 2 mm thick, the floor 13
// below its top. Turned over, both fall against the lid.
func well() *scene {
	s := newScene(together(block(at(-5, -5, -15), at(9, 5, -13)), block(at(-5, -5, 14), at(9, 5, 16))))
	s.add("shelf", block(at(-3, -3, -2), at(3, 3, 0)), slide(mechanism.ByHand, at(1, 0, 0), 20))
	for i, z := range []float64{0.1, 4.6} {
		tr := slide(mechanism.ByGravity, at(0, 0, 1), 30)
		tr.Lo = -30
		s.add([]string{"low", "high"}[i], block(at(-2, -2, z), at(2, 2, z+4)), tr)
	}
	return s
}

// Closed form: what falls stops where it meets what is below.
func TestLedFalls(t *testing.T) {
	s := well()
	rest := []float64{0, -0.1, -0.6}
	// the shelf ends at x = 3, the weights at x = -2: drawn by 5, they fall
	pass(t, s, s.way(rest, hand(0, 0, 4.9, 4.9, -0.1, -0.6), hand(0, 4.9, 8, 8, -13.1, -13.6)))
	pass(t, s, s.way(rest, box(at(1, 0, 0), rest...), box(at(0, 0, -1), 0, 5.9, 5.4), box(at(0, 1, 0), 0, 5.9, 5.4),
		hand(0, 0, 8, 8, 5.9, 5.4), box(at(0, 0, 1), 8, -13.1, -13.6)))
	refuse(t, s, s.way(rest, box(at(0, 0, -1), 0, 5.9, 5.4)), "another attitude lies between")
	refuse(t, s, s.way(rest, box(at(0, 0, 1), rest...)), "not turned to another")
	refuse(t, s, s.way(rest, box(at(0.6, 0, 0.8), rest...)), "not turned to another")
	if _, err := s.led(s.way([]float64{0, 0, 0})); err == nil {
		t.Error("at the start nothing falls onto the shelf")
	}
	refuse(t, s, s.way(rest, hand(0, 0, 8, 8, -13.1, -13.6), hand(0, 8, 0, 0, -13.1, -13.6), hand(1, -13.1, 0, 0, 0, 0)), "not one of part 2 that the hand moves")
	if _, err := s.led(s.way(rest, hand(0, 0, 8, 8, -12.9, -13.6))); err == nil {
		t.Error("a fall 0.2 mm too short passed")
	}
	for _, d := range []float64{3, 5.2} { // drawn back under them
		if _, err := s.led(s.way(rest, hand(0, 0, 8, 8, -13.1, -13.6), box(at(1, 0, 0), 8, -13.1, -13.6), hand(0, 8, d, d, -13.1, -13.6))); err != nil {
			t.Error(err)
		}
	}
}

// A bolt on a spring follows the hand's wedge and springs back behind it: it leans on
// the slope all the time. Closed form as above.
func TestLedSprings(t *testing.T) {
	s := newScene(far())
	s.add("wedge", ramp(1, 20), slide(mechanism.ByHand, at(1, 0, 0), 15))
	tr := slide(mechanism.ByContact, at(0, 1, 0), 30)
	tr.Spring = &mechanism.Spring{Toward: -1, Preload: 1}
	s.add("bolt", block(at(1, 0, 0), at(3, 8, 4)), tr)
	pass(t, s, s.way([]float64{0, 0}, hand(0, 0, 9, 9, 8), hand(0, 9, 4, 4, 3), hand(0, 4, 0, 0, 0)))
	refuse(t, s, s.way([]float64{0, 0}, hand(0, 0, 9, 9, 8), hand(0, 9, 4, 4, 8)), "on the meshes it comes to 3")
}

// A peg goes from one hole to another, and pushes the slider from there.
func TestLedTool(t *testing.T) {
	s := newScene(far())
	z := at(0, 0, 1)
	a := s.add("peg here", block(at(0, 0, 0), at(4, 4, 10)), slide(mechanism.ByHand, z, 20))
	b := s.add("peg there", block(at(20, 0, 0), at(24, 4, 10)), slide(mechanism.ByHand, z, 20))
	s.add("slider", block(at(20, 0, 8), at(24, 4, 12)), slide(mechanism.ByContact, z, 30))
	s.m.Travels[2].Lo = -30
	s.m.Tools = []mechanism.Tool{{Name: "peg", Seats: []mechanism.Seat{
		{Part: 1, Out: []mechanism.Bound{{Travel: a, Lo: 15, Hi: 20}}},
		{Part: 2, Out: []mechanism.Bound{{Travel: b, Lo: -30, Hi: 0}}},
	}}}
	s.m.Travels[b].Lo = -30
	s.m.Goal.Bounds = []mechanism.Bound{{Travel: 2, Lo: 3, Hi: 30}}
	carry := func(told ...float64) proof.Deed {
		return proof.Deed{Kind: proof.CarryTool, From: 1, To: 2, Told: told}
	}
	start := []float64{0, 0, 0}
	lifted := hand(a, 0, 16, 16, 0, 0)
	pass(t, s, s.way(start, lifted, carry(16, -5, 0), hand(b, -5, 1.5, 16, 1.5, 3.5)))
	refuse(t, s, s.way(start, lifted, carry(16, -5, 0), hand(b, -5, 0.5, 16, 0.5, 2.5)), "outside the goal")
	refuse(t, s, s.way(start, carry(0, -5, 0)), "not where it comes out")
	refuse(t, s, s.way(start, lifted, carry(16, 1, 0)), "not where it comes out")
	refuse(t, s, s.way(start, lifted, carry(16, -1, 0)), "clearance") // put into the slider
	refuse(t, s, s.way(start, lifted, carry(16, -5, 0), carry(16, -5, 0)), "no tool goes")
	refuse(t, s, s.way(start, lifted, carry(16, -5, 0), hand(a, 16, 10, 10, -5, 0)), "not there")
	refuse(t, s, s.way(start, hand(b, 0, 1, 0, 1, 0)), "not there")
}

// A way that is to keep out of a region: each run is looked at all along.
func TestLedAvoids(t *testing.T) {
	s := well()
	rest := []float64{0, -0.1, -0.6}
	d := s.way(rest, hand(0, 0, 8, 8, -13.1, -13.6))
	for _, c := range []struct {
		b  []mechanism.Bound
		in bool
	}{
		{[]mechanism.Bound{{Travel: 0, Lo: 8.5, Hi: 9}}, false},
		{[]mechanism.Bound{{Travel: 0, Lo: 6.01, Hi: 6.02}}, true},
		{[]mechanism.Bound{{Travel: 1, Lo: -7, Hi: -6.9}}, true},
		{[]mechanism.Bound{{Travel: 1, Lo: -7, Hi: -6.9}, {Travel: 0, Lo: 0, Hi: 4}}, false},
		{[]mechanism.Bound{{Travel: 0, Lo: 0, Hi: 0}}, true},
	} {
		d.Avoid = &mechanism.Region{Bounds: c.b}
		if _, err := s.led(d); (err == nil) == c.in {
			t.Errorf("%+v: %v", c.b, err)
		}
	}
}
