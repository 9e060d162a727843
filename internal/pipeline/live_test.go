package pipeline

import (
	"context"
	"math"
	"testing"
)

// A quay with a bollard, a lock gate and a drum: every stop can be told by hand.
//
//   - the gate slides along x towards the bollard, 12 mm away;
//   - the boat slides along y past the gate, where the gate leaves it 3 mm;
//   - the drum turns about z with an arm 9 to 29 mm out and 2 mm wide.
const harbour = `
quay = part("quay", frame = True, solid = block((-50, 50), (-50, 50), (-10, 0))
    + block((20, 25), (-5, 5), (-1, 10)))
gate = part("gate", solid = block((0, 8), (-4, 4), (1, 9)), travels = [slide(x, -5, 20)])
boat = part("boat", solid = block((0, 6), (11, 17), (1, 9)), travels = [slide(y, -10, 10)])
drum = part("drum", solid = block((-29, -9), (-1, 1), (1, 9)), travels = [turn(z)])
start({})
goal("gate shut", {gate.slide: (11, None)})
`

func liveHarbour(t *testing.T) *Live { return liveIn(t, harbour) }

func part(t *testing.T, l *Live, name string) (index, travel int) {
	t.Helper()
	for i := range l.Mechanism.Parts {
		if l.Mechanism.Parts[i].Name == name {
			if tr := l.Mechanism.Parts[i].Travels; len(tr) > 0 {
				return i, tr[0]
			}
			return i, -1
		}
	}
	t.Fatalf("no part %q", name)
	return 0, 0
}

// Closed forms: gaps of blocks that face each other.
func TestRoomOfSlides(t *testing.T) {
	l := liveHarbour(t)
	ctx := context.Background()
	gate, slide := part(t, l, "gate")
	quay, _ := part(t, l, "quay")
	boat, away := part(t, l, "boat")
	q := append([]float64(nil), l.Mechanism.Start...)
	for _, growth := range []float64{0, 0.1, -0.1} {
		r, err := l.Room(ctx, q, slide, growth, DefaultEffort)
		if err != nil {
			t.Fatal(err)
		}
		if want := 12 - 2*growth; math.Abs(r.Hi.Value-want) > liveTouch || r.Hi.By != quay || r.Hi.Of != gate {
			t.Errorf("growth %g: the gate stops at %+v, want %g at the bollard", growth, r.Hi, want)
		}
		if !r.Lo.Limit || r.Lo.Value != -5 {
			t.Errorf("growth %g: backwards %+v, want the travel's own limit", growth, r.Lo)
		}
		r, err = l.Room(ctx, q, away, growth, DefaultEffort)
		if err != nil {
			t.Fatal(err)
		}
		if want := -7 + 2*growth; math.Abs(r.Lo.Value-want) > liveTouch || r.Lo.By != gate || r.Lo.Of != boat {
			t.Errorf("growth %g: the boat stops at %+v, want %g at the gate", growth, r.Lo, want)
		}
	}
	q[slide] = -3 // still in the boat's way: it begins at x = 0, and the gate ends at 5
	r, err := l.Room(ctx, q, away, 0, DefaultEffort)
	if err != nil || r.Lo.By != gate {
		t.Errorf("%+v, %v", r.Lo, err)
	}
	q[slide] = 8 // out of it
	if r, err = l.Room(ctx, q, away, 0, DefaultEffort); err != nil || !r.Lo.Limit {
		t.Errorf("%+v, %v", r.Lo, err)
	}
}

// The arm points at -x and is 1 mm wide to each side. Its face meets a corner that
// stands out to it at distance d where the corner lies 1 mm beside its middle line,
// asin(1/d) before the middle line points there. Backwards it turns through +y
// towards the boat's corner (0, 11), forwards through -y towards the bollard's
// (20, -5). Plane trigonometry.
func TestRoomOfTurns(t *testing.T) {
	l := liveHarbour(t)
	_, turn := part(t, l, "drum")
	q := append([]float64(nil), l.Mechanism.Start...)
	r, err := l.Room(context.Background(), q, turn, 0, 100000)
	if err != nil {
		t.Fatal(err)
	}
	boat := math.Pi/2 - math.Asin(1.0/11)
	if got := q[turn] - r.Lo.Value; math.Abs(got-boat) > liveTouch/9 {
		t.Errorf("backwards %.5f rad (%+v), want %.5f", got, r.Lo, boat)
	}
	bollard := math.Pi - math.Atan2(5, 20) - math.Asin(1/math.Hypot(20, 5))
	if got := r.Hi.Value - q[turn]; math.Abs(got-bollard) > liveTouch/9 {
		t.Errorf("forwards %.5f rad (%+v), want %.5f", got, r.Hi, bollard)
	}
	if r.Turns {
		t.Error("a full turn that a bollard stops")
	}
}

// An arm that turns 0.05 mm above its table needs thousands of distances to come all round,
// and is stopped by a peg soon: the table must not use up the effort first. The place by
// plane trigonometry, as above: the peg's corner is at (-22, -4).
func TestRoomStoppedSoon(t *testing.T) {
	l := liveIn(t, `
table = part("table", frame = True, solid = block((-50, 50), (-50, 50), (-10, 0)))
arm = part("arm", solid = block((-29, -9), (-1, 1), (0.05, 9)), travels = [turn(z)])
peg = part("peg", solid = block((-22, -18), (-8, -4), (1, 9)), travels = [slide(y, 0, 5)])
start({})
goal("peg up", {peg.slide: (4, None)})
`)
	_, turn := part(t, l, "arm")
	peg, _ := part(t, l, "peg")
	q := append([]float64(nil), l.Mechanism.Start...)
	r, err := l.Room(context.Background(), q, turn, 0, DefaultEffort)
	want := math.Atan2(4, 22) - math.Asin(1/math.Hypot(22, 4))
	if err != nil || r.Hi.By != peg || math.Abs(r.Hi.Value-want) > liveTouch/9 {
		t.Errorf("forwards %+v, want %.5f at the peg (%v)", r.Hi, want, err)
	}
}

// Parts that touch, or overlap by no more than a touch, have no clearance; deeper ones the
// depth. Closed forms of blocks that face each other.
func TestNearestTouching(t *testing.T) {
	l := liveHarbour(t)
	gate, slide := part(t, l, "gate")
	quay, _ := part(t, l, "quay")
	q := append([]float64(nil), l.Mechanism.Start...)
	for _, k := range []struct{ at, want float64 }{{11.5, 0.5}, {12, 0}, {12 + liveTouch/2, 0}, {12.5, -0.5}} {
		q[slide] = k.at
		g, err := l.Nearest(context.Background(), q, gate)
		if err != nil || g.Other != quay || math.Abs(g.Clearance-k.want) > 1e-5 || (k.want == 0 && g.Clearance != 0) {
			t.Errorf("at %g: %+v, want %g (%v)", k.at, g, k.want, err)
		}
	}
}

// What a proof has learnt must not change an answer, only the work.
func TestLearntCellsAgree(t *testing.T) {
	l := liveHarbour(t)
	ctx := context.Background()
	_, slide := part(t, l, "gate")
	q := append([]float64(nil), l.Mechanism.Start...)
	before, err := l.Room(ctx, q, slide, 0, DefaultEffort)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Prove(ctx, l.Mechanism.Sources[0], Options{Cache: l.opts.Cache}); err != nil {
		t.Fatal(err)
	}
	if err := l.Learn(ctx); err != nil {
		t.Fatal(err)
	}
	p, err := l.pair(ctx, 0, 1)
	if err != nil || p.known == nil {
		t.Fatalf("nothing learnt: %v %v", p, err)
	}
	after, err := l.Room(ctx, q, slide, 0, 3)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(before.Hi.Value-after.Hi.Value) > 2*liveTouch && !after.Hi.Open {
		t.Errorf("before %+v, after %+v", before.Hi, after.Hi)
	}
	if after.Lo != before.Lo {
		t.Errorf("before %+v, after %+v", before.Lo, after.Lo)
	}
}

// The cells' index must find for any place the cell that holds it.
func TestCellIndex(t *testing.T) {
	l := liveHarbour(t)
	ctx := context.Background()
	if _, err := Prove(ctx, l.Mechanism.Sources[0], Options{Cache: l.opts.Cache}); err != nil {
		t.Fatal(err)
	}
	boat, away := part(t, l, "boat")
	gate, slide := part(t, l, "gate")
	p, err := l.pair(ctx, boat, gate)
	if err != nil || p.known == nil {
		t.Fatal("no index", err)
	}
	q := append([]float64(nil), l.Mechanism.Start...)
	for i := range 400 {
		q[slide] = -5 + 25*float64(i%20)/19
		q[away] = -10 + 20*float64(i/20)/19
		at := p.known.place(q)
		c := p.known.find(at, [4]float64{1, 1})
		for k := range p.known.coords {
			if at[k] < c.Lo[k] || at[k] > c.Hi[k] {
				t.Fatalf("%v is not in %v..%v", at, c.Lo, c.Hi)
			}
		}
		lower, upper, err := p.m.At(q)
		if err != nil || upper < c.Lower || lower > c.Upper {
			t.Fatalf("at %v the clearance is %g to %g, in its cell %g to %g (%v)", q, lower, upper, c.Lower, c.Upper, err)
		}
	}
}

// A part drawn at the wall is let back a little and may then slide on beside it.
func TestReachAlongAWall(t *testing.T) {
	l := liveHarbour(t)
	ctx := context.Background()
	_, away := part(t, l, "boat")
	_, slide := part(t, l, "gate")
	r, err := l.Reach(ctx, l.Mechanism.Start, []Want{{away, -10}}, 0, DefaultEffort)
	if err != nil {
		t.Fatal(err)
	}
	if v := r.Config[away]; math.Abs(v-(-7+liveEase)) > 2*liveTouch || r.Stops[0].Limit || len(r.Runs) != 1 {
		t.Fatalf("%+v", r)
	}
	if r, err = l.Reach(ctx, r.Config, []Want{{slide, 9}}, 0, DefaultEffort); err != nil || r.Config[slide] != 9 {
		t.Errorf("%+v, %v", r, err)
	}
}

func TestOnward(t *testing.T) {
	l := liveHarbour(t)
	q := append([]float64(nil), l.Mechanism.Start...)
	_, slide := part(t, l, "gate")
	o, err := l.Onward(context.Background(), q, 0)
	if err != nil || o.Way == nil || len(o.Way.Moves) != 1 {
		t.Fatalf("%+v %v", o, err)
	}
	q[slide] = 11.5
	if o, err = l.Onward(context.Background(), q, 0); err != nil || o.There.String() != "yes" {
		t.Errorf("%+v %v", o, err)
	}
}

func TestConfigurationsAreChecked(t *testing.T) {
	l := liveHarbour(t)
	for _, q := range [][]float64{nil, {0}, {0, 0, 0, 0}, {99, 0, 0}, {math.NaN(), 0, 0}, {0, 0, math.NaN()}, {0, math.Inf(1), 0}} {
		if l.Check(q, 1) == nil {
			t.Errorf("%v taken", q)
		}
	}
	if l.Check(l.Mechanism.Start, 7) == nil || l.Check(l.Mechanism.Start, -1) == nil {
		t.Error("a part that is not there")
	}
	if g, err := l.Nearest(context.Background(), l.Mechanism.Start, 1); err != nil || math.Abs(g.Clearance-1) > 1e-3 {
		t.Errorf("%+v %v: the gate floats 1 mm above the quay", g, err)
	}
}
