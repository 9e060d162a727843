package mating

import (
	"context"
	"math"
	"reflect"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// One fit is found in a rod and its bore: its gap and diameter are as drawn, the
// contacts lie on the bore within its length.
func TestRodInBore(t *testing.T) {
	m, trees := drawn(t, `
frame = part("frame", frame = True, solid = block(30, 30, (0, 20)) - cylinder(d = 12.5, h = 30).at(z = -5))
rod = part("rod", solid = cylinder(d = 12, h = 60).at(z = -20), travels = [slide(z, 0, 18), turn(z)])
start({})
goal("up", {rod.slide: (15, None)})
`)
	r := find(t, m, trees)
	if len(r.Fits) != 1 {
		t.Fatalf("%d fits: %+v", len(r.Fits), r.Fits)
	}
	f := &r.Fits[0]
	near(t, "gap", f.Gap, 0.25, 0.01)
	near(t, "diameter", f.Wide, 12.5, 0.02)
	near(t, "area", f.Area, math.Pi*12.5*20, 5)
	if f.Outer != 0 || f.Inner != 1 || !f.Round {
		t.Errorf("%+v", f)
	}
	near(t, "axis", math.Abs(f.Axis.Dir.Z), 1, 1e-9)
	near(t, "axis x", f.Axis.Point.X, 0, 1e-3)
	for _, c := range r.Contacts {
		if c.Part == 0 && math.Abs(math.Hypot(c.At.X, c.At.Y)-6.25) > 0.02 {
			t.Errorf("a contact off the bore: %+v", c)
		}
		if c.Gap < 0.24 || c.Gap > 0.26+0.02 {
			t.Errorf("gap %g", c.Gap)
		}
	}
	if len(r.Tight) != 1 || math.Abs(r.Tight[0].Gap-0.25) > 0.01 {
		t.Errorf("%+v", r.Tight)
	}
}

// A bar 8 x 6 in a channel with 0.3 mm beside and 0.4 mm above and below; the stop
// at the channel's end is met, not slid along.
func TestBarInChannel(t *testing.T) {
	m, trees := drawn(t, `
frame = part("frame", frame = True, solid = block((-30, 30), (-10, 10), (-8, 8)) - block((-31, 25), (-4.3, 4.3), (-3.4, 3.4)))
bar = part("bar", solid = block((-20, 20), (-4, 4), (-3, 3)), travels = [slide(x, -4, 4.9)])
start({})
goal("left", {bar.slide: (None, -3)})
`)
	r := find(t, m, trees)
	if len(r.Fits) != 2 {
		t.Fatalf("%d fits: %+v", len(r.Fits), r.Fits)
	}
	near(t, "gap beside", r.Fits[0].Gap, 0.3, 1e-4)
	near(t, "width", r.Fits[0].Wide, 8.6, 1e-4)
	near(t, "across y", math.Abs(r.Fits[0].Across.Y), 1, 1e-9)
	near(t, "gap above", r.Fits[1].Gap, 0.4, 1e-4)
	near(t, "height", r.Fits[1].Wide, 6.8, 1e-4)
	for _, c := range r.Contacts {
		if math.Abs(c.Normal.X) > 0.1 {
			t.Errorf("the stop slides: %+v", c)
		}
		// beyond the bar's end the channel has nothing in front of it: 0.4 mm seen at
		// 37 degrees are 0.5
		if c.Gap > 0.4/inFront+1e-6 || (math.Abs(c.Normal.Y) > 0.9 && c.Gap > 0.3/inFront+1e-6) {
			t.Errorf("not in front: %+v", c)
		}
	}
}

// A pin in a bent groove on a shaft: the cap turns, then lifts. Both runs are
// found, 0.3 mm a side, though the middle of the flood is narrow.
func TestPinInGroove(t *testing.T) {
	m, trees := drawn(t, `
track = groove(path = [(0, 35), (90, 35), (90, 50)], width = 4.6, depth = 3, on = "shaft", d = 30)
hive = part("hive", frame = True, solid = cylinder(d = 46, h = 30) + cylinder(d = 30, h = 43) - track)
cap = part("cap",
    solid = cylinder(d = 46, h = 18).at(z = 30.3) - cylinder(d = 31.8, h = 16).at(z = 28)
        + cylinder(d = 4, h = 5).along(x).at(x = 12.6, z = 35),
    travels = [slide(z, 0, 20, name = "lift"), turn(z, 0, 90)])
start({})
goal("cap off", {cap.lift: (15, None)})
`)
	r := find(t, m, trees)
	along, round := false, false
	for i := range r.Fits {
		f := &r.Fits[i]
		if f.Round || f.Outer != 0 || math.Abs(f.Wide-4.6) > 0.02 {
			continue
		}
		near(t, "gap of the pin", f.Gap, 0.3, 0.02)
		if f.Turns {
			round = true
			near(t, "across", math.Abs(f.Across.Z), 1, 0.01)
		} else {
			along = true
			near(t, "axis", math.Abs(f.Axis.Dir.Z), 1, 1e-9)
		}
	}
	if !along || !round {
		t.Errorf("along %v, round %v: %+v", along, round, r.Fits)
	}
}

// Moving everything rigidly changes no gap; and the same design gives the same
// result on one worker and many.
func TestDeterministic(t *testing.T) {
	m, trees := scene(t, "../../examples/latch-rod/latch-rod.star")
	one, err := Find(context.Background(), m, trees, Options{Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	many, err := Find(context.Background(), m, trees, Options{Workers: 3})
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(one, many) {
		t.Error("the number of workers shows")
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := Find(ctx, m, trees, Options{}); err == nil {
		t.Error("a stopped search gave a result")
	}
}

// The axis of a motion: a turn about a line off the origin, seen by both parts.
func TestAxis(t *testing.T) {
	m, trees := drawn(t, `
frame = part("frame", frame = True, solid = block((-20, 20), (-20, 20), (0, 10)) - cylinder(d = 12.6, h = 30).at(x = 4, y = 3, z = -5))
hub = part("hub", solid = cylinder(d = 12, h = 30).at(x = 4, y = 3, z = -10), travels = [turn(z, through = (4, 3, 0))])
start({})
goal("round", {hub.turn: (90, 100)})
`)
	r := find(t, m, trees)
	if len(r.Fits) != 1 || !r.Fits[0].Turns {
		t.Fatalf("%+v", r.Fits)
	}
	p := r3.Sub(r.Fits[0].Axis.Point, r3.Scale(r3.Dot(r.Fits[0].Axis.Point, r.Fits[0].Axis.Dir), r.Fits[0].Axis.Dir))
	near(t, "x", p.X, 4, 0.01)
	near(t, "y", p.Y, 3, 0.01)
}
