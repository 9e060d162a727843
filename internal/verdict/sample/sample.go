// Package sample holds one invented mechanism with an invented result, for tests
// of verdicts and outputs: a toy lighthouse whose lamp lifts off once a key rod
// has passed two turning rings. Nothing in it was computed; the numbers are made
// up to be told apart in a text. Every call gives fresh values to change.
package sample

import (
	"math"

	"feint/internal/clearance"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/motion"
	"feint/internal/units"
	"feint/internal/verdict/finding"
)

// The parts and travels of the lighthouse, as indices.
const (
	Tower = iota
	Rod
	Gallery
	Door
	Lamp
)

// The travels.
const (
	RodSlide = iota
	RodTurn
	GalleryTurn
	DoorTurn
	LampLift
)

// Mechanism is the lighthouse.
func Mechanism() *mechanism.Mechanism {
	up := geom.Line{Dir: geom.Vec{Z: 1}}
	inf := math.Inf(1)
	turn := func(part int, marks ...mechanism.Mark) mechanism.Travel {
		return mechanism.Travel{
			Name: "turn", Part: part, Kind: mechanism.Turn, Axis: up, Hi: 2 * math.Pi, Full: true,
			Forward: "counter-clockwise seen from the lamp", Backward: "clockwise seen from the lamp", Marks: marks,
		}
	}
	return &mechanism.Mechanism{
		Name: "lighthouse", Title: "Harbour lighthouse", Designer: "an invented example", Revision: "C",
		SHA256: "5f2b1d0c9a8e7f6a5b4c3d2e1f00112233445566778899aabbccddeeff001122",
		Params: []mechanism.Param{
			{Name: "bore", Value: 12, Default: 12, Min: 8, Max: 20, Unit: "mm", Note: "bore of both rings"},
			{Name: "side gap", Value: 0.3, Default: 0.25, Min: 0.1, Max: 0.6, Unit: "mm", Note: "gap per side"},
			{Name: "gates", Value: 2, Default: 2, Min: math.Inf(-1), Max: inf},
		},
		Parts: []mechanism.Part{
			{Name: "tower", Frame: true, Carrier: -1, Color: "#8a94a0"},
			{Name: "key rod", Travels: []int{RodSlide, RodTurn}, Color: "#c8553d", Hidden: true},
			{Name: "gallery", Travels: []int{GalleryTurn}, Color: "#2f6690"},
			{Name: "door ring", Travels: []int{DoorTurn}, Color: "#d9a441"},
			{Name: "lamp", Travels: []int{LampLift}, Color: "#5b8e7d"},
		},
		Travels: []mechanism.Travel{
			{Name: "slide", Part: Rod, Kind: mechanism.Slide, Axis: up, Hi: 40, Forward: "up", Backward: "down"},
			turn(Rod),
			turn(Gallery, mechanism.Mark{Name: "gate", Value: units.Rad(120)}),
			turn(Door, mechanism.Mark{Name: "gate", Value: units.Rad(200)}),
			{Name: "lift", Part: Lamp, Kind: mechanism.Slide, Axis: up, Hi: 30},
		},
		Start: []float64{0, 0, units.Rad(20), 0, 0},
		Goal:  mechanism.Region{Name: "lamp off", Bounds: []mechanism.Bound{{Travel: LampLift, Lo: 20, Hi: inf}}},
		Steps: []mechanism.Region{
			{Name: "rod above the gallery", Bounds: []mechanism.Bound{{Travel: RodSlide, Lo: 14, Hi: inf}}},
			{Name: "rod above the door ring", Bounds: []mechanism.Bound{{Travel: RodSlide, Lo: 26, Hi: inf}}},
		},
		Tolerance: 0.005,
	}
}

// Result is a result of the lighthouse that works: the second step leaks at
// -0.085 mm, the box binds at +0.105 mm.
func Result() *motion.Result {
	opens := func(g float64) motion.Opening {
		return motion.Opening{Growth: g, Opens: motion.Yes, Start: motion.Yes, Goal: motion.No, Moves: 5}
	}
	return &motion.Result{
		Asked: [2]float64{-0.05, 0.05},
		Drawn: opens(0), Tight: opens(0.05), Loose: opens(-0.05),
		Way: Way(),
		Steps: []motion.Step{
			{Index: 0, HoldsTo: -0.12, Unavoidable: motion.Yes},
			{Index: 1, HoldsTo: -0.08, Unavoidable: motion.Yes, Bypass: limit(-0.09, -0.08), BypassPlay: limit(-0.075, -0.065), Shortcut: Shortcut()},
		},
		Fit: motion.Fit{
			Leak: limit(-0.09, -0.08), LeakPlay: limit(-0.075, -0.065), Bind: limit(0.1, 0.11),
			Tightest: motion.Tightest{A: Rod, B: Door, At: []float64{27, units.Rad(80), units.Rad(120), units.Rad(200), 0}, Clearance: 0.21},
		},
		Space: motion.Space{
			Travels: 5, Configurations: 4.48e13, Free: 8.1e12, Reachable: 2.2e11,
			Resolution: "0.1 mm and 0.5 deg", FreeUpper: 8.3e12, ReachableUpper: 2.25e11,
		},
		Reset:  motion.Reset{Possible: motion.Yes, Moves: 5},
		Sheets: []motion.Sheet{Sheet()},
		Nodes:  4211,
	}
}

func limit(lo, hi float64) *motion.Limit { return &motion.Limit{Lo: lo, Hi: hi} }

// Way is the way as drawn, five moves and seven strokes.
func Way() *motion.Way {
	return &motion.Way{Fewest: true, Least: 5, Moves: []motion.Move{
		{Part: Gallery, Strokes: []motion.Stroke{{Travel: GalleryTurn, From: units.Rad(20), To: units.Rad(120)}}, Clearance: 0.3, Against: Tower},
		{Part: Rod, Strokes: []motion.Stroke{
			{Travel: RodSlide, From: 0, To: 14.5},
			{Travel: RodTurn, From: 0, To: units.Rad(80)},
			{Travel: RodSlide, From: 14.5, To: 18},
		}, Clearance: 0.249999, Against: Gallery},
		{Part: Door, Strokes: []motion.Stroke{{Travel: DoorTurn, From: 0, To: units.Rad(-160)}}, Clearance: 0.3, Against: Tower},
		{Part: Rod, Strokes: []motion.Stroke{{Travel: RodSlide, From: 18, To: 40}}, Clearance: 0.218, Against: Door},
		{Part: Lamp, Strokes: []motion.Stroke{{Travel: LampLift, From: 0, To: 24}}, Clearance: 0.4, Against: -1},
	}}
}

// Shortcut is a way that leaves out the second step.
func Shortcut() *motion.Way {
	return &motion.Way{Growth: -0.09, Moves: []motion.Move{
		{Part: Gallery, Strokes: []motion.Stroke{{Travel: GalleryTurn, From: units.Rad(20), To: units.Rad(120)}}, Clearance: 0.3, Against: Tower},
		{Part: Rod, Strokes: []motion.Stroke{{Travel: RodSlide, From: 0, To: 18}}, Clearance: -0.17, Against: Door},
		{Part: Lamp, Strokes: []motion.Stroke{{Travel: LampLift, From: 0, To: 24}}, Clearance: 0.4, Against: -1},
	}}
}

// Sheet is the map of the rod against the gallery: a channel up at 0 deg, a
// crossing at 14.5 mm, a channel on at 80 deg, and two blind arms.
func Sheet() motion.Sheet {
	s := motion.Sheet{
		A: Rod, B: Gallery,
		Coords: [2]clearance.Coord{
			{Terms: []mechanism.Joint{{Travel: RodSlide, Sign: 1}}, Hi: 40},
			{Terms: []mechanism.Joint{{Travel: RodTurn, Sign: 1}, {Travel: GalleryTurn, Sign: -1}}, Hi: 2 * math.Pi, Cyclic: true, Angle: true},
		},
		Way: [][2]float64{{0, units.Rad(240)}, {14.5, units.Rad(240)}, {14.5, units.Rad(320)}, {40, units.Rad(320)}},
	}
	open := [][4]float64{ // mm from, to, deg from, to
		{0, 16, 235, 245}, {13, 16, 100, 325}, {13, 40, 315, 325}, {16, 28, 100, 110}, {6, 13, 285, 295}, {32, 38, 30, 60},
	}
	const rows, cols = 80, 144
	for i := range rows {
		for j := range cols {
			s.Cells = append(s.Cells, sheetCell(i, j, rows, cols, open, &s))
		}
	}
	return s
}

func sheetCell(i, j, rows, cols int, open [][4]float64, s *motion.Sheet) motion.SheetCell {
	c := motion.SheetCell{
		Lo:    [2]float64{40 * float64(i) / float64(rows), 2 * math.Pi * float64(j) / float64(cols)},
		Hi:    [2]float64{40 * float64(i+1) / float64(rows), 2 * math.Pi * float64(j+1) / float64(cols)},
		State: clearance.Blocked,
	}
	z, a := (c.Lo[0]+c.Hi[0])/2, units.Deg((c.Lo[1]+c.Hi[1])/2)
	for k, o := range open {
		if z > o[0] && z < o[1] && a > o[2] && a < o[3] {
			c.State, c.Reachable = clearance.Free, k != 5
		} else if c.State == clearance.Blocked && z > o[0]-0.5 && z < o[1]+0.5 && a > o[2]-2.5 && a < o[3]+2.5 {
			c.State = clearance.Undecided
		}
	}
	for k := 1; k < len(s.Way) && c.Reachable; k++ {
		p, q := s.Way[k-1], s.Way[k]
		if c.Lo[0] <= max(p[0], q[0]) && c.Hi[0] >= min(p[0], q[0]) && c.Lo[1] <= max(p[1], q[1]) && c.Hi[1] >= min(p[1], q[1]) {
			c.OnWay = true
		}
	}
	return c
}

// Evidence is what a clean check of the lighthouse would bring.
func Evidence() finding.Evidence {
	return finding.Evidence{
		Checked: true,
		Checks: []finding.Check{
			{Name: "solution walked with exact distances", Agreed: true, Detail: "5 moves, 412 distances"},
			{Name: "steps cannot be avoided", Agreed: true, Detail: "2 sets closed"},
		},
		Play:   []finding.Play{{Part: Rod, Side: 0.25, Tip: units.Rad(0.4)}, {Part: Lamp, Side: 0.3, Tip: units.Rad(0.2)}},
		Bounds: geom.Box{Lo: geom.Vec{X: -20, Y: -20}, Hi: geom.Vec{X: 20, Y: 20, Z: 96}},
	}
}

// Case is the lighthouse as rules see it.
func Case() *finding.Case {
	e := Evidence()
	return &finding.Case{Mechanism: Mechanism(), Result: Result(), Evidence: &e}
}
