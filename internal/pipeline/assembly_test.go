package pipeline

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"testing"

	"feint/internal/hands"
)

// assemblyOf proves a design that is written out, and gives its order of assembly.
func assemblyOf(t *testing.T, text string) *hands.Assembly {
	t.Helper()
	file := filepath.Join(t.TempDir(), "hut.star")
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := Prove(context.Background(), file, Options{Growth: DefaultGrowth, uncured: true})
	if err != nil {
		t.Fatal(err)
	}
	return out.Assembly
}

// TestAssemblyThreeLegs: a crate in a box of two rooms one above the other goes in through
// the roof, over to the other end, through the floor between and back: by the drawing in
// three bends, at least 33.5 mm along the rooms and 15.5 between. With the hole in the floor
// narrower than the crate it does not go in; that it does not unless it is turned is proved.
func TestAssemblyThreeLegs(t *testing.T) {
	for hole, in := range map[string]bool{"36": true, "40": false} {
		a := assemblyOf(t, `
shed = part("shed", frame = True, solid = block((0, 60), (0, 30), (0, 34))
    - block((2, 58), (2, 28), (2, 15)) - block((2, 58), (2, 28), (18, 32)) - block((`+hole+`, 58), (2, 28), (14, 19)) - block((2, 26), (2, 28), (31, 35)))
crate = part("crate", solid = block((2.5, 22.5), (2.5, 27.5), (2.5, 12)), travels = [slide(z, 0, 2)])
goal("up", {crate.slide: (1.5, None)})
`)
		if !in {
			if len(a.Stuck) != 1 || !a.Tried.Further || a.Stuck[0].Kept != hands.Upright {
				t.Errorf("a narrow hole: %+v", a)
			}
			continue
		}
		if len(a.Order) != 1 || len(a.Order[0].Path) != 4 {
			t.Fatalf("%+v", a)
		}
		p := a.Order[0].Path
		if p[0].Way.Z != -1 || p[1].Way.X != 1 || p[1].Far < 33.5 || p[2].Way.Z != -1 || p[2].Far < 15.5 || p[3].Way.X != -1 || p[3].Far < 33.5 {
			t.Errorf("%+v", p)
		}
	}
}

// TestAssemblyMoved: a lid with a mushroom that hangs through a keyhole of a bar: by the
// drawing it goes in and out only while the hole, 8.4 to 9.6 mm along, stands under it; the
// bar, with the mushroom's neck in its slot, does not leave before; and the way to the goal
// moves the bar not at all. With a slot that has no hole nothing goes in.
func TestAssemblyMoved(t *testing.T) {
	for hole, in := range map[string]bool{"4.5": true, "2": false} {
		a := assemblyOf(t, `
hut = part("hut", frame = True, solid = block((-30, 30), (-20, 20), (0, 30)) - block((-31, 31), (-8, 8), (10, 16)) - block((-5, 5), (-5, 5), (3, 31)))
lid = part("lid", solid = block((-15, 15), (-15, 15), (30.3, 34)) + block((-2, 2), (-2, 2), (6, 31)) + block((-4, 4), (-4, 4), (4, 9)), travels = [slide(z, 0, 0.8)])
bar = part("bar", solid = block((-35, 35), (-7.7, 7.7), (10.3, 15.7)) - block((-18, 3), (-2.4, 2.4), (10, 16)) - block((-13.5, -4.5), (-`+hole+`, `+hole+`), (10, 16)), travels = [slide(x, 0, 14)])
goal("up", {lid.slide: (0.5, None)})
`)
		if !in {
			if len(a.Stuck) != 2 {
				t.Errorf("no hole: %+v", a)
			}
			continue
		}
		if len(a.Order) != 2 || a.Order[0].Part != 2 || len(a.Order[0].Stands) != 1 || len(a.Order[1].After) != 1 {
			t.Fatalf("%+v", a)
		}
		if v := a.Order[0].Stands[0].At; v < 8.4 || v > 9.6 || a.Order[1].After[0].From != v || a.Order[1].After[0].To != 0 || a.Order[1].Way.Z != -1 {
			t.Errorf("%+v", a)
		}
	}
}

// TestAssemblyTurned: a bar of 30 mm that lies across the slot above it goes in along the
// slot and is turned by a quarter, which its room of 32 x 32 mm allows; in one of 32 x 31 x
// 22, whose corners meet it, it cannot be (by the drawing: half of its diagonal is 15.3).
func TestAssemblyTurned(t *testing.T) {
	for room, in := range map[string]bool{"16": true, "11": false} {
		a := assemblyOf(t, `
hut = part("hut", frame = True, solid = block((-20, 20), (-20, 20), (0, 20)) - block((-16, 16), (-`+room+`, `+room+`), (2, 14)) - block((-4, 4), (-16, 16), (13, 21)))
bar = part("bar", solid = block((-15, 15), (-3, 3), (2.5, 8.5)), travels = [slide(z, 0, 2)])
goal("up", {bar.slide: (1.5, None)})
`)
		if !in {
			if len(a.Stuck) != 1 || a.Stuck[0].Kept != hands.Upright {
				t.Errorf("a narrow room: %+v", a)
			}
			continue
		}
		if len(a.Order) != 1 || len(a.Order[0].Path) != 2 {
			t.Fatalf("%+v", a)
		}
		if p := a.Order[0].Path; p[0].Way.Z != -1 || math.Abs(math.Abs(p[1].Angle)-math.Pi/2) > 1e-9 || p[1].Axis.Dir.Z != 1 {
			t.Errorf("%+v", p)
		}
	}
}

// TestAssemblyKept: what keeps a part is proved: a bolt in a closed chamber however it is
// turned, by the ball of 3.9 mm in it; a flange under a slot, open at one end of the groove
// or at none, as it stands. Where an end is open nothing is, and it goes in.
func TestAssemblyKept(t *testing.T) {
	for open, in := range map[string]bool{"31": true, "29": false} {
		a := assemblyOf(t, `
hut = part("hut", frame = True, solid = block((0, 40), (0, 30), (0, 20)) - block((10, 20), (10, 20), (5, 15)) - block((25, 35), (2, `+open+`), (5, 9)) - block((28, 32), (2, `+open+`), (8, 21)))
bolt = part("bolt", solid = block((10.3, 18.1), (10.3, 18.1), (5.3, 13.1)), travels = [slide(x, 0, 1)])
rail = part("rail", solid = block((25.3, 34.7), (5, 25), (5.3, 8.7)) + block((28.3, 31.7), (5, 25), (8, 25)), travels = [slide(y, 0, 3)])
goal("up", {bolt.slide: (0.5, None)})
`)
		kept := map[int]hands.Kept{}
		for _, j := range a.Stuck {
			kept[j.Part] = j.Kept
			if len(j.By) != 1 || j.By[0] != 0 {
				t.Errorf("%+v", j)
			}
		}
		if _, stuck := kept[2]; kept[1] != hands.Anyhow || stuck == in || !in && kept[2] != hands.Upright {
			t.Errorf("open %v: %+v", in, a)
		}
	}
}
