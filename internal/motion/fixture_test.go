package motion_test

import (
	"testing"

	"feint/internal/geom"
	"feint/internal/mechanism"
	"feint/internal/motion"
)

// build starts a mechanism with a frame, part 0.
func build() *mechanism.Mechanism {
	return &mechanism.Mechanism{Parts: []mechanism.Part{{Name: "frame", Frame: true, Carrier: -1}}}
}

// part adds a part carried by the frame.
func part(m *mechanism.Mechanism, name string) int {
	m.Parts = append(m.Parts, mechanism.Part{Name: name})
	return len(m.Parts) - 1
}

// slide adds a slide along x to a part.
func slide(m *mechanism.Mechanism, p int, lo, hi, start float64) int {
	return travel(m, mechanism.Travel{Part: p, Kind: mechanism.Slide, Lo: lo, Hi: hi, Axis: geom.Line{Dir: geom.Vec{X: 1}}}, start)
}

func travel(m *mechanism.Mechanism, t mechanism.Travel, start float64) int {
	t.Name = string(rune('a' + len(m.Travels)))
	m.Travels = append(m.Travels, t)
	m.Start = append(m.Start, start)
	m.Parts[t.Part].Travels = append(m.Parts[t.Part].Travels, len(m.Travels)-1)
	return len(m.Travels) - 1
}

func table(t testing.TB, m *mechanism.Mechanism, a, b int, travels, sizes []int, free func(u []int) bool) motion.PairMap {
	t.Helper()
	tab, err := motion.NewTable(m, a, b, travels, sizes, free)
	if err != nil {
		t.Fatal(err)
	}
	return tab
}
