package export

import (
	"math"
	"strings"
	"testing"

	"feint/internal/clearance"
	"feint/internal/motion"
	"feint/internal/verdict/sample"

	"pgregory.net/rapid"
)

// drawnSheet is a sheet of unit cells from rows of letters, the first row on top:
// # blocked, l blocked but free when loose, . free, o reachable, w reachable and on the way, ? undecided.
func drawnSheet(cyclic bool, rows ...string) *motion.Sheet {
	s := &motion.Sheet{}
	s.Coords[1].Cyclic = cyclic
	for i, r := range rows {
		z := float64(len(rows) - 1 - i)
		for x, k := range r {
			c := motion.SheetCell{Lo: [2]float64{z, float64(x)}, Hi: [2]float64{z + 1, float64(x + 1)}, State: clearance.Free}
			switch k {
			case '#':
				c.State = clearance.Blocked
			case '?':
				c.State = clearance.Undecided
			case 'l':
				c.State, c.Loose = clearance.Blocked, true
			case 'o', 'w':
				c.Reachable, c.OnWay = true, k == 'w'
			}
			s.Cells = append(s.Cells, c)
		}
	}
	return s
}

func gridOf(t *testing.T, s *motion.Sheet) *sheetGrid {
	t.Helper()
	g, ok := newSheetGrid(s)
	if !ok {
		t.Fatal("no grid")
	}
	return g
}

// area is the area of loops by the shoelace formula (C. F. Gauss); loops with the
// inside on their left count positive, holes negative.
func area(loops [][][2]int) float64 {
	sum := 0
	for _, l := range loops {
		for i, p := range l {
			q := l[(i+1)%len(l)]
			sum += p[0]*q[1] - q[0]*p[1]
		}
	}
	return float64(sum) / 2
}

// TestOutlineRing: a ring of eight cells has an outside of 9 and a hole of 1.
func TestOutlineRing(t *testing.T) {
	g := gridOf(t, drawnSheet(false, "ooo", "o#o", "ooo"))
	loops := g.outline(groundReach)
	if len(loops) != 2 || area(loops) != 8 {
		t.Fatalf("%d loops of %g, want 2 of 8: %v", len(loops), area(loops), loops)
	}
	for _, l := range loops {
		if len(l) > 5 { // four corners, and the start if it is not one
			t.Errorf("a square of %d corners", len(l))
		}
	}
}

// TestOutlineArea: whatever the cells, the loops of a kind enclose as much as the
// cells of that kind do, and the kinds fill the sheet.
func TestOutlineArea(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		w := rapid.IntRange(1, 9).Draw(rt, "columns")
		rows := rapid.SliceOfN(rapid.StringOfN(rapid.RuneFrom([]rune("#.o?l")), w, w, -1), 1, 9).Draw(rt, "rows")
		g := gridOf(t, drawnSheet(false, rows...))
		total := 0.0
		for k := groundNone; k <= groundReach; k++ {
			n := 0
			for _, a := range g.at {
				if a == k {
					n++
				}
			}
			if a := area(g.outline(k)); a != float64(n) {
				rt.Fatalf("kind %d: loops enclose %g of %d cells", k, a, n)
			}
			total += g.shares()[k]
		}
		if math.Abs(total-1) > 1e-12 {
			rt.Fatalf("the shares add up to %g", total)
		}
	})
}

// TestUnevenCells: cells of different sizes are brought onto one grid.
func TestUnevenCells(t *testing.T) {
	s := &motion.Sheet{Cells: []motion.SheetCell{
		{Hi: [2]float64{2, 4}, State: clearance.Free, Reachable: true},
		{Lo: [2]float64{0, 4}, Hi: [2]float64{1, 8}, State: clearance.Blocked},
		{Lo: [2]float64{1, 4}, Hi: [2]float64{2, 8}},
	}}
	g := gridOf(t, s)
	if g.cols() != 2 || g.rows() != 2 {
		t.Fatalf("%d x %d", g.cols(), g.rows())
	}
	if sh := g.shares(); sh[groundReach] != 0.5 || sh[groundBlocked] != 0.25 || sh[groundUndecided] != 0.25 {
		t.Errorf("shares %v", sh)
	}
}

func ones(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = 1
	}
	return out
}

// TestArms counts by hand: one arm of four up, one of three to the left, a nook
// of one that is too short, and a free place that nothing reaches.
func TestArms(t *testing.T) {
	g := gridOf(t, drawnSheet(false,
		"####o######",
		"####o###.##",
		"####o######",
		"####o##o###",
		"#wwwwwwwww#",
		"######o####",
		"###oooo####",
	))
	arms := g.arms(ones(g.cols()), ones(g.rows()), 2)
	if len(arms) != 2 {
		t.Fatalf("%d arms: %+v", len(arms), arms)
	}
	if a := arms[0]; a.x != 3 || a.y != 0 || a.length != 5 || a.fromX != 6 || a.fromY != 2 {
		t.Errorf("the lower arm: %+v", a)
	}
	if a := arms[1]; a.x != 4 || a.y != 6 || a.length != 4 || a.fromX != 4 {
		t.Errorf("the upper arm: %+v", a)
	}
}

// TestArmsFork: a fork has two ends, of which the shorter counts from the fork.
func TestArmsFork(t *testing.T) {
	rows := []string{
		"o#####",
		"o#o###",
		"ooo###",
		"#o####",
		"wwwwww",
	}
	g := gridOf(t, drawnSheet(false, rows...))
	if n := len(g.arms(ones(6), ones(5), 2)); n != 2 {
		t.Errorf("depth 2: %d arms, want 2", n)
	}
	if n := len(g.arms(ones(6), ones(5), 2.5)); n != 1 {
		t.Errorf("depth 2.5: %d arms, want 1", n)
	}
}

// TestArmsRound: on a full turn an arm may run over the seam.
func TestArmsRound(t *testing.T) {
	rows := []string{"oow###ooo"}
	g := gridOf(t, drawnSheet(true, rows...))
	if arms := g.arms(ones(9), ones(1), 1); len(arms) != 1 || arms[0].x != 6 || arms[0].length != 5 {
		t.Errorf("on a full turn: %+v", arms)
	}
	g = gridOf(t, drawnSheet(false, rows...))
	if arms := g.arms(ones(9), ones(1), 1); len(arms) != 1 || arms[0].x != 0 {
		t.Errorf("on less than a turn: %+v", arms)
	}
}

// TestSampleSheet: the sample was drawn with two blind arms and one free place
// out of reach.
func TestSampleSheet(t *testing.T) {
	s := sample.Sheet()
	v := newSheetView(sample.Mechanism(), &s)
	if len(v.Arms) != 2 || len(v.Corners) != 4 {
		t.Fatalf("%d arms, %d corners", len(v.Arms), len(v.Corners))
	}
	if v.Title != "key rod in gallery" || v.Round != "key rod turn less gallery turn, deg" {
		t.Errorf("%q, %q", v.Title, v.Round)
	}
}

// TestScaleZones walks the scale of the sample: shortcut, not known, works, not
// known, stuck, with the limits of the sample between them.
func TestScaleZones(t *testing.T) {
	m, r := sample.Mechanism(), sample.Result()
	d := &Document{Growth: GrowthRange{-0.05, 0.05}, Openings: openings(r)}
	b := &builder{m}
	d.Fit, d.Steps = b.fit(r), b.steps(r)
	runs := newScale(d).runs()
	want := []zone{shortcutZone, unknownZone, worksZone, unknownZone, stuckZone}
	ends := []float64{-0.09, -0.08, 0.10, 0.11}
	if len(runs) != len(want) {
		t.Fatalf("%+v", runs)
	}
	for i, w := range want {
		if runs[i].zone != w {
			t.Errorf("stretch %d %s, want %s", i, runs[i].zone, w)
		}
		if i < len(ends) && math.Abs(runs[i].hi-ends[i]) > 1e-9 {
			t.Errorf("stretch %d ends at %g, want %g", i, runs[i].hi, ends[i])
		}
	}
}

// TestScaleHonest: what was not found out is not drawn as working.
func TestScaleHonest(t *testing.T) {
	m, r := sample.Mechanism(), sample.Result()
	b := &builder{m}
	r.Fit.Bind = nil
	r.Tight.Opens = motion.Undecided
	r.Steps[0].Unavoidable = motion.Undecided
	r.Steps[0].HoldsTo = math.Inf(1)
	r.Fit.Leak, r.Steps[1].Bypass = nil, nil
	d := &Document{Growth: GrowthRange{-0.05, 0.05}, Openings: openings(r), Fit: b.fit(r), Steps: b.steps(r)}
	for _, k := range newScale(d).runs() {
		if k.zone != unknownZone {
			t.Errorf("from %g to %g: %s", k.lo, k.hi, k.zone)
		}
	}
}

// TestSheetShortcuts: a shortcut is drawn dashed, named where it leaves the way, and
// told corner by corner; what opens only at the loose end has a filling of its own.
func TestSheetShortcuts(t *testing.T) {
	m, s := sample.Mechanism(), sample.Sheet()
	s.Growth = -0.09
	s.Shortcuts = []motion.SheetShortcut{{Step: 1, Growth: -0.09, Way: [][2]float64{s.Way[0], {40, s.Way[0][1]}}}}
	for i := range s.Cells {
		if c := &s.Cells[i]; c.State == clearance.Undecided {
			c.Loose = true
		}
	}
	v := newSheetView(m, &s)
	tags, dashed, loose := 0, 0, 0
	for _, k := range shapes(t, string(v.Drawing)) {
		switch {
		case k.text == "S1":
			tags++
		case k.class == "detour":
			dashed++
		case k.class == "g-loose":
			loose++
		}
	}
	if tags != 1 || dashed == 0 || loose != 1 {
		t.Errorf("%d names, %d dashed lines, %d fields of the loose end", tags, dashed, loose)
	}
	want := sheetShort{Name: "S1", Step: "rod above the door ring", Growth: "-0.09 mm", Corners: "0.0 at 240.0; 40.0 at 240.0"}
	if len(v.Short) != 1 || v.Short[0] != want {
		t.Errorf("in words %+v, want %+v", v.Short, want)
	}
	for _, w := range []string{"Printed loose, at -0.09 mm a surface", "One shortcut runs here otherwise"} {
		if !strings.Contains(v.Words, w) {
			t.Errorf("%q is not said in %q", w, v.Words)
		}
	}
}
