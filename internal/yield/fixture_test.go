package yield

import (
	"context"
	"iter"
	"testing"

	"feint/internal/clearance"
	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/motion"
	"feint/internal/printed"
)

// band is a stretch of a slide with one clearance, mm.
type band struct{ to, clear float64 }

// strip is the map of a pair whose clearance depends on one slide and is exact.
type strip struct {
	a, b  int
	t     int
	hi    float64
	bands []band
}

func (s *strip) Parts() (int, int) { return s.a, s.b }

func (s *strip) Coords() []clearance.Coord {
	return []clearance.Coord{{Terms: []mechanism.Joint{{Travel: s.t, Sign: 1}}, Hi: s.hi}}
}

func (s *strip) Refine(context.Context, []float64, float64) error { return nil }

func (s *strip) Cells() iter.Seq[clearance.Cell] {
	return func(yield func(clearance.Cell) bool) {
		at := 0.0
		for _, b := range s.bands {
			c := clearance.Cell{Lower: b.clear, Upper: b.clear}
			c.Lo[0], c.Hi[0] = at, b.to
			if !yield(c) {
				return
			}
			at = b.to
		}
	}
}

// corridor is a box of n sliders, each of which must pass a gap of its own; slider
// i may leave the step "gate i" out where its side gap lets it. The frame is part 0.
type corridor struct {
	m    *mechanism.Mechanism
	maps []motion.PairMap
}

// newCorridor makes sliders with the gaps given; all must come to 12 of 16 mm.
func newCorridor(gaps ...float64) corridor {
	m := &mechanism.Mechanism{Parts: []mechanism.Part{{Name: "frame", Frame: true, Carrier: -1}}}
	var c corridor
	for i, g := range gaps {
		m.Parts = append(m.Parts, mechanism.Part{Name: "slider", Travels: []int{i}})
		m.Travels = append(m.Travels, mechanism.Travel{Name: "slide", Part: i + 1, Axis: geom.Line{Dir: geom.Vec{X: 1}}, Hi: 16})
		m.Start = append(m.Start, 0)
		m.Goal.Bounds = append(m.Goal.Bounds, mechanism.Bound{Travel: i, Lo: 12, Hi: 16})
		c.maps = append(c.maps, &strip{a: 0, b: i + 1, t: i, hi: 16, bands: []band{{4, 2}, {8, g}, {16, 2}}})
	}
	c.m = m
	return c
}

func (c corridor) judge(t testing.TB) *motion.Judge {
	t.Helper()
	j, err := motion.NewJudge(t.Context(), c.m, c.maps, motion.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return j
}

// walls are contacts of upright straight walls in every pair.
func (c corridor) walls() []Contact {
	side := Side{Places: []printed.Place{{Z: 10, Seam: printed.SeamElsewhere}}, Weights: []float64{1}}
	var out []Contact
	for _, m := range c.maps {
		a, b := m.Parts()
		out = append(out, Contact{A: a, B: b, Sides: [2]Side{side, side}, Met: true})
	}
	return out
}

// input is a bench input with in-plane growth alone.
func (c corridor) input(t testing.TB, inPlane printed.Amount, count int) Input {
	j := c.judge(t)
	m := &printed.Model{Name: "test"}
	m.Amounts[printed.InPlane] = inPlane
	return Input{
		Contacts: c.walls(), Base: j.Even(0), Parts: len(c.m.Parts), Steps: len(c.m.Steps),
		Oracle: func(q int) Oracle { return OracleOf(j, q) },
		Model:  m, Seed: 7, Count: count,
	}
}

func run(t testing.TB, in Input) (Report, *Bench) {
	t.Helper()
	b, err := NewBench(t.Context(), in, Learnt{})
	if err != nil {
		t.Fatal(err)
	}
	ps, err := b.Prints(nil)
	if err != nil {
		t.Fatal(err)
	}
	return b.Report(ps), b
}

// gate is the map of a part that slides along two travels: between 4 and 8 of the
// first it has meant room where the second is beyond 8, and leak room before that.
type gate struct{ meant, leak float64 }

func (*gate) Parts() (int, int) { return 0, 1 }

func (*gate) Coords() []clearance.Coord {
	return []clearance.Coord{{Terms: []mechanism.Joint{{Travel: 0, Sign: 1}}, Hi: 16}, {Terms: []mechanism.Joint{{Travel: 1, Sign: 1}}, Hi: 16}}
}

func (*gate) Refine(context.Context, []float64, float64) error { return nil }

func (g *gate) Cells() iter.Seq[clearance.Cell] {
	return func(yield func(clearance.Cell) bool) {
		for _, x := range [][4]float64{{0, 4, 0, 16}, {8, 16, 0, 16}, {4, 8, 0, 8}, {4, 8, 8, 16}} {
			c := clearance.Cell{Lower: 2, Upper: 2}
			if x[0] == 4 {
				c.Lower = g.leak
				if x[2] == 8 {
					c.Lower = g.meant
				}
				c.Upper = c.Lower
			}
			c.Lo[0], c.Hi[0], c.Lo[1], c.Hi[1] = x[0], x[1], x[2], x[3]
			if !yield(c) {
				return
			}
		}
	}
}

// newGate is a box of one part that is meant to go round a corner.
func newGate(meant, leak float64) corridor {
	c := newCorridor(1)
	c.m.Travels = append(c.m.Travels, mechanism.Travel{Name: "over", Part: 1, Axis: geom.Line{Dir: geom.Vec{Y: 1}}, Hi: 16})
	c.m.Parts[1].Travels = []int{0, 1}
	c.m.Start = []float64{0, 0}
	c.m.Steps = []mechanism.Region{{Name: "over", Bounds: []mechanism.Bound{{Travel: 1, Lo: 8, Hi: 16}}}}
	c.maps = []motion.PairMap{&gate{meant, leak}}
	return c
}
