package pipeline

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"feint/internal/forces/load"
	"feint/internal/hands"
	"feint/internal/mechanism"
	"feint/internal/motion"
	"feint/internal/verdict"
)

// The beehive's answers follow from its drawing by hand: three things fall, one way
// each and no two alike, so that the box is turned four times (from right side up the
// left is two turns away, one of which lets another bee fall); smoker, plank, queen
// and roof are moved once each. The sting holds until it is pushed, so no tilting
// opens it, though the roof itself falls off when it is free.
func TestBeehive(t *testing.T) {
	if testing.Short() {
		t.Skip("seconds, many times that with the race detector")
	}
	out, err := Prove(context.Background(), "../../examples/beehive/beehive.star", Options{Growth: DefaultGrowth, Cache: store(t)})
	if err != nil {
		t.Fatal(err)
	}
	h := out.Hands
	if h == nil || out.Verdict.Kind != verdict.Works {
		t.Fatalf("verdict %s, hands %v", out.Verdict.Kind, h)
	}
	// nothing but the queen meets the drone, and she only from behind: once out of the
	// tongue it stays there, which hinders nobody
	if h.Trap.Exists != motion.No || h.Reset.Possible != motion.No {
		t.Errorf("trap %v, reset %v", h.Trap.Exists, h.Reset.Possible)
	}
	if !out.Verdict.Certified {
		t.Errorf("not certified: %q, %+v", out.Verdict.Doubts, out.Verdict.Evidence.Checks)
	}
	if !slices.ContainsFunc(out.Verdict.Evidence.Checks, func(c verdict.Check) bool { return c.Agreed && strings.Contains(c.Name, "fewer than 8 moves") }) {
		t.Errorf("that it takes 8 moves was not followed: %+v", out.Verdict.Evidence.Checks)
	}
	for _, o := range []hands.Opening{h.Drawn, h.Tight, h.Loose} {
		if o.Opens != motion.Yes || o.Moves != 8 || o.Put != motion.No {
			t.Errorf("opening %+v", o)
		}
	}
	pushers(t, out.Mechanism, h.Pushers)
	turns, pushed := 0, map[string]bool{}
	for _, m := range h.Way.Moves {
		if m.Kind == hands.Turn {
			turns++
		}
		for _, s := range m.Strokes {
			for _, e := range s.Effects {
				if e.Cause == hands.Pushed {
					// by the drawing the queen goes 3 mm and the smoker 4 before they touch
					dead := map[string]float64{"drone": 3, "sting": 4}[out.Mechanism.Parts[out.Mechanism.Travels[e.Travel].Part].Name]
					near(t, "pushed", e.To, s.To-dead, 0.02)
					pushed[out.Mechanism.Parts[out.Mechanism.Travels[e.Travel].Part].Name] = true
				}
			}
		}
	}
	if turns != 4 || len(h.Way.Moves) != 8 || !pushed["drone"] || !pushed["sting"] {
		t.Errorf("%d turns in %d moves, pushed %v", turns, len(h.Way.Moves), pushed)
	}
	if a := out.Assembly; a == nil || len(a.Stuck) > 0 || len(a.Order) != 10 {
		t.Errorf("assembly %+v", a)
	}
	for _, r := range out.Handling {
		if r.Outcome != hands.Rattles {
			t.Errorf("%s at %g: %s", r.Kind, r.Level, r.Outcome)
		}
		if r.Kind == load.Shake && !(r.Needs.Lo > 10) {
			t.Errorf("shaken open at %v g", r.Needs)
		}
	}
}

// A bar of 20 x 6 x 6 mm, 1.24 g/cm3, in a chute open at one end. It slides from a tilt
// of atan(mu) on, mu 0.12 to 0.38 (doi 10.1177/1464420720978997); a detent of 5 N holds
// it up to a shake of 5 N/(m g) - 1 g, where the weight may help (closed forms).
func TestChute(t *testing.T) {
	const mass = 20 * 6 * 6 * 1.24e-6 // kg
	for _, c := range []struct {
		holds        string
		tilt         hands.Outcome
		from, to     float64 // of the tilt, degrees
		shaken       hands.Outcome
		shook, knock float64 // level at which it comes out at the earliest, g and mJ
	}{
		{"[]", hands.Opens, math.Atan(0.12) * 180 / math.Pi, math.Atan(0.38*math.Sqrt2) * 180 / math.Pi, hands.Opens, 0, 0},
		{"[detent(at = 0, force = 5)]", hands.Holds, math.Inf(1), math.Inf(1), hands.Holds, 5/(mass*9.80665) - 1, 5 * 0.25 / 2},
	} {
		dir := t.TempDir()
		file := filepath.Join(dir, "chute.star")
		err := os.WriteFile(file, []byte(`hut = part("hut", frame = True, solid = block((-30, 60), (-10, 10), (-10, 10)) - block((-10.3, 61), (-3.3, 3.3), (-3.3, 3.3)))
bar = part("bar", solid = block((-10, 10), (-3, 3), (-3, 3)), travels = [slide(x, 0, 70, name = "run", holds = `+c.holds+`)])
goal("bar out", {bar.run: (60, None)})
`), 0o600)
		if err != nil {
			t.Fatal(err)
		}
		out, err := Prove(context.Background(), file, Options{Growth: DefaultGrowth})
		if err != nil {
			t.Fatal(err)
		}
		if out.Hands != nil {
			t.Error("the directed law was asked of what the hand moves at will")
		}
		for _, r := range out.Handling {
			switch r.Kind {
			case load.Tilt:
				if r.Outcome != c.tilt {
					t.Errorf("%s: tilt %s", c.holds, r.Outcome)
				}
				near(t, c.holds+" tilt from", r.Needs.Lo, c.from, 0.05)
				near(t, c.holds+" tilt surely", r.Needs.Hi, c.to, 0.05)
			case load.Shake:
				if r.Outcome != c.shaken {
					t.Errorf("%s: %g g %s", c.holds, r.Level, r.Outcome)
				}
				near(t, c.holds+" shake from", r.Needs.Lo, c.shook, 0.02+0.001*c.shook)
			case load.Knock:
				if r.Needs.Lo < c.knock-0.01 {
					t.Errorf("%s: a knock of %g mJ, but the detent takes %g", c.holds, r.Needs.Lo, c.knock)
				}
			case load.Spin:
			}
		}
	}
}

func near(t *testing.T, what string, got, want, by float64) {
	t.Helper()
	if got != want && !(math.Abs(got-want) <= by) {
		t.Errorf("%s: %g, want %g within %g", what, got, want, by)
	}
}

// pushers: drawn with the queen's tip 3 mm from the drone, pushed in 12 mm (a param),
// the drone goes 9; the smoker's 4 mm from the sting's bar, pushed in 11, the sting
// goes 7 (sums by hand).
func pushers(t *testing.T, m *mechanism.Mechanism, ps []hands.Pusher) {
	t.Helper()
	want := map[string][3]float64{"queen drone": {3, 9, 0}, "smoker sting": {4, 7, 0}}
	for _, p := range ps {
		key := m.Parts[m.Travels[p.Travel].Part].Name + " " + m.Parts[m.Travels[p.Pushed].Part].Name
		w, ok := want[key]
		if !ok {
			t.Errorf("%s: %+v", key, p)
			continue
		}
		delete(want, key)
		near(t, key+" dead", p.Dead, w[0], 0.006)
		near(t, key+" gets", p.Gets, w[1], 0.006)
		near(t, key+" short", p.Short, w[2], 0)
	}
	if len(want) > 0 {
		t.Errorf("not pushed: %v", want)
	}
}

// TestAssemblyBends: a drawer under a lip comes in where the lip ends, 30 mm on, and slides
// home; a bar across a slot comes in along it and is turned home. Neither goes in straight:
// walls and the cover are all round (by the drawing).
func TestAssemblyBends(t *testing.T) {
	for _, c := range []struct {
		design string
		at     float64
	}{
		{`hut = part("hut", frame = True, solid = block((0, 60), (0, 30), (0, 20)) - block((2, 58), (2, 28), (2, 16)) - block((20, 58), (2, 28), (15, 21)))
drawer = part("drawer", solid = block((2.5, 25), (2.5, 27.5), (2.5, 12)), travels = [slide(x, 0, 30)])
goal("back", {drawer.slide: (20, None)})
`, 30},
		{`hut = part("hut", frame = True, solid = block((-14, 14), (-14, 14), (0, 10)) - block((-12, 12), (-12, 12), (1, 8)) - block((-3, 3), (-12, 12), (7, 11)))
bar = part("bar", solid = block((-10, 10), (-2, 2), (2, 6)), travels = [turn(z, 0, 90)])
goal("across", {bar.turn: (80, None)})
`, math.Pi / 2},
	} {
		file := filepath.Join(t.TempDir(), "hut.star")
		if err := os.WriteFile(file, []byte(c.design), 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := Prove(context.Background(), file, Options{Growth: DefaultGrowth})
		if err != nil {
			t.Fatal(err)
		}
		a := out.Assembly
		if len(a.Order) != 1 || a.Order[0].Bend == nil || a.Order[0].Bend.At != c.at || a.Order[0].Way.Z != -1 {
			t.Errorf("assembly %+v", a)
		}
	}
}

// TestAssemblyLegs: a block under the closed end of a box goes in through an opening that
// lies beside and beyond where it stands, by the drawing 30 mm to the right; it has no
// travel that way. With the opening closed to less than the block it does not.
func TestAssemblyLegs(t *testing.T) {
	const shed = `
shed = part("shed", frame = True, solid = block((0, 60), (0, 30), (0, 20)) - block((2, 58), (2, 28), (2, 16)) - block((LEFT, 58), (2, 28), (15, 21)))
crate = part("crate", solid = block((2.5, 22.5), (2.5, 27.5), (2.5, 12)), travels = [slide(z, 0, 3)])
goal("up", {crate.slide: (2, None)})
`
	for left, in := range map[string]bool{"34": true, "40": false} {
		file := filepath.Join(t.TempDir(), "shed.star")
		if err := os.WriteFile(file, []byte(strings.ReplaceAll(shed, "LEFT", left)), 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := Prove(context.Background(), file, Options{Growth: DefaultGrowth, uncured: true})
		if err != nil {
			t.Fatal(err)
		}
		a := out.Assembly
		if !in {
			if len(a.Stuck) != 1 {
				t.Errorf("a narrow opening: %+v", a)
			}
			continue
		}
		if len(a.Order) != 1 || a.Order[0].Leg == nil {
			t.Fatalf("%+v", a)
		}
		// by the drawing it clears the left rim from 31.5 mm on and meets the wall at 35.5
		if e := a.Order[0]; e.Way.Z != -1 || e.Leg.Way.X != -1 || e.Leg.Far < 31.4 || e.Leg.Far > 35.6 {
			t.Errorf("%+v, %+v", e, e.Leg)
		}
	}
}

// TestAssemblyWindow: a dial under a pin of its post comes off where its slot meets the
// pin, 130 degrees round, whether it turns all round or between limits; without the slot
// it does not (by the drawing: the pin is 2 mm wide and the slot 4, 3 to 7 mm from the
// middle, so that it may be off by some 8 degrees).
func TestAssemblyWindow(t *testing.T) {
	const mill = `
post = part("post", frame = True, solid = block((-14, 14), (-14, 14), (-3, 0)) + cylinder(d = 8, h = 12) + block((3, 7), (-1, 1), (6, 9)))
dial = part("dial", solid = cylinder(d = 24, h = 4).at(z = 0.3) - cylinder(d = 8.6, h = 6).at(z = -0.5)SLOT, travels = [TURN])
goal("round", {dial.turn: (100, 120)})
`
	const slot = " - block((3, 8), (-2, 2), (-1, 6)).turned(-130)"
	for _, c := range []struct {
		slot, turn string
		in         bool
	}{{slot, "turn(z)", true}, {slot, "turn(z, -20, 200)", true}, {"", "turn(z)", false}} {
		file := filepath.Join(t.TempDir(), "mill.star")
		design := strings.NewReplacer("SLOT", c.slot, "TURN", c.turn).Replace(mill)
		if err := os.WriteFile(file, []byte(design), 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := Prove(context.Background(), file, Options{Growth: DefaultGrowth})
		if err != nil {
			t.Fatal(err)
		}
		a := out.Assembly
		if !c.in {
			if len(a.Stuck) != 1 {
				t.Errorf("without a slot: %+v", a)
			}
			continue
		}
		if len(a.Order) != 1 || a.Order[0].Bend == nil || math.Abs(a.Order[0].Bend.At-130*math.Pi/180) > 0.1 || a.Order[0].Way.Z != -1 {
			t.Errorf("%s: %+v", c.turn, a)
		}
	}
}

// TestAssembly: a lid with a peg goes into a box from above, and turned about any axis
// too; a bolt in a closed chamber does not go in at all (by the drawing).
func TestAssembly(t *testing.T) {
	file := filepath.Join(t.TempDir(), "hut.star")
	err := os.WriteFile(file, []byte(`hut = part("hut", frame = True, solid = block((0, 40), (0, 30), (0, 20)) - block((2, 38), (2, 28), (2, 21)) - block((10, 20), (10, 20), (0.5, 1.5)))
lid = part("lid", solid = block((2.3, 37.7), (2.3, 27.7), (10, 20)) + block((3, 8), (10, 20), (20, 25)), travels = [slide(z, 0, 30)])
bolt = part("bolt", solid = block((10.3, 18), (10.3, 19.7), (0.7, 1.3)), travels = [slide(x, 0, 1)])
goal("lid off", {lid.slide: (20, None)})
`), 0o600)
	if err != nil {
		t.Fatal(err)
	}
	out, err := Prove(context.Background(), file, Options{Growth: DefaultGrowth})
	if err != nil {
		t.Fatal(err)
	}
	a := out.Assembly
	if len(a.Order) != 1 || len(a.Stuck) != 1 {
		t.Fatalf("assembly %+v", a)
	}
	e, j := a.Order[0], a.Stuck[0]
	if e.Part != 1 || e.Way.Z != -1 || len(e.Turned) != 3 { // the peg is on one side, and above
		t.Errorf("lid %+v", e)
	}
	if j.Part != 2 || len(j.By) != 1 || j.By[0] != 0 {
		t.Errorf("bolt %+v", j)
	}
}

// TestHandlingMagnets: magnets in lid and box count when it is handled. An invented roof of
// some 8 g whose two pairs pull with newtons does not fall off when the box is tilted, and
// comes off in shaking where hold-weak has it come off; without them it does at once.
func TestHandlingMagnets(t *testing.T) {
	const barn = `
def two(z):
    return [magnet(d = 6, h = 3, at = (x, 0, z), north = Z, name = "m%d" % x, mates = "m%d" % x) for x in (-12, 12)] if WITH else []
Z = z
barn = part("barn", frame = True, solid = block((-20, 20), (-10, 10), (0, 20)), magnets = two(17.5))
roof = part("roof", solid = block((-20, 20), (-10, 10), (20.3, 28)), magnets = two(22.5), travels = [slide(z, 0, 30)])
goal("off", {roof.slide: (20, None)})
`
	for _, with := range []string{"True", "False"} {
		file := filepath.Join(t.TempDir(), "barn.star")
		if err := os.WriteFile(file, []byte(strings.NewReplacer("WITH", with, "north = Z", "north = (0, 0, 1)").Replace(barn)), 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := Prove(context.Background(), file, Options{Growth: DefaultGrowth, uncured: true})
		if err != nil {
			t.Fatal(err)
		}
		tilt := out.Handling[0]
		if with == "False" {
			if tilt.Outcome != hands.Opens {
				t.Errorf("without magnets: %+v", tilt)
			}
			continue
		}
		if tilt.Outcome >= hands.Skips {
			t.Errorf("tilted: %+v", tilt)
		}
		kept := out.Verdict.Evidence.Forces.Lids[0].Kept
		for _, r := range out.Handling[1:4] {
			if math.Abs(r.Needs.Lo-kept.Lo) > 0.05*kept.Lo+1 {
				t.Errorf("shaken off from %v g, by hold-weak from %v", r.Needs, kept)
			}
		}
	}
}

// TestMagnetsReached: of the magnets beside a sledge's way only those count that it comes
// to: a wall that stands across the way, not the end of the travel, keeps it from the last.
func TestMagnetsReached(t *testing.T) {
	const yard = `
yard = part("yard", frame = True, solid = block((-10, 80), (-20, 0), (0, 10)) + block((WALL, WALL + 3), (-20, 20), (0, 10)),
    magnets = [magnet(d = 6, h = 3, at = (k, -2, 5), north = y, name = "at %d" % k) for k in (20, 65)])
sledge = part("sledge", solid = block((-8, 8), (0.5, 10), (0, 10)), travels = [slide(x, 0, 60)],
    magnets = [magnet(d = 6, h = 3, at = (0, 3, 5), north = y, name = "runner")])
goal("on", {sledge.slide: (25, None)})
`
	for wall, want := range map[string]int{"45": 1, "76": 2} {
		file := filepath.Join(t.TempDir(), "yard.star")
		if err := os.WriteFile(file, []byte(strings.ReplaceAll(yard, "WALL", wall)), 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := Prove(context.Background(), file, Options{Growth: DefaultGrowth, uncured: true})
		if err != nil {
			t.Fatal(err)
		}
		s := out.Verdict.Evidence.Forces
		if !s.Reached || len(s.Meetings) != want {
			t.Errorf("wall at %s: %d meetings, want %d", wall, len(s.Meetings), want)
		}
		for _, p := range s.Meetings {
			if v := p.Nearest.Config[0]; math.Abs(v-20) > 0.1 && math.Abs(v-60) > 0.1 {
				t.Errorf("wall at %s: nearest at %g mm", wall, v)
			}
		}
	}
}

// TestHandlingAlone: what is left out for handling alone changes nothing of it.
func TestHandlingAlone(t *testing.T) {
	const file = "../../examples/latch-rod/latch-rod.star"
	whole, err := Prove(context.Background(), file, Options{Growth: DefaultGrowth})
	if err != nil {
		t.Fatal(err)
	}
	alone, err := Prove(context.Background(), file, Options{Growth: DefaultGrowth, Handling: true})
	if err != nil {
		t.Fatal(err)
	}
	if whole.Document.Handling == nil || !reflect.DeepEqual(whole.Document.Handling, alone.Document.Handling) {
		t.Errorf("%+v, alone %+v", whole.Document.Handling, alone.Document.Handling)
	}
}
