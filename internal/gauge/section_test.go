package gauge

import (
	"math"
	"slices"
	"testing"

	"feint/internal/geom"
	"feint/internal/mesh"
)

// spans measures every room between two walls of a row along lines in y, at height z:
// the widest of each run of neighbouring lines, by asking what is inside.
func spans(m *mesh.Mesh, z, from float64) []float64 {
	const step = 0.02
	tree, b := mesh.NewTree(m), m.Bounds()
	var out []float64
	last := false
	for x := b.Lo.X + 0.1; x < b.Hi.X; x += 0.5 {
		widest, since, solid := 0.0, math.Inf(1), false
		for y := b.Lo.Y - 0.5; y < b.Hi.Y+0.5; y += step {
			in := tree.Inside(geom.Vec{X: x, Y: y, Z: z})
			switch {
			case solid && !in:
				since = y
			case in && !solid && !math.IsInf(since, 1):
				widest = max(widest, y-since)
			}
			solid = in
		}
		seen := widest > from
		if seen && last {
			out[len(out)-1] = max(out[len(out)-1], widest)
		} else if seen {
			out = append(out, widest)
		}
		last = seen
	}
	return out
}

// A ring of 40 mm in a bore of 40.5, and a drawer of 50 mm in a bed of 50.6: too wide
// for a small print. The sections stay within 6 g and 15 minutes, and measured on the
// mesh from wall to wall they are the inner part's size and twice the label wide.
func TestSections(t *testing.T) {
	for _, c := range []struct {
		name, text string
		size       float64
		slack      float64 // the chord error of the flats, and the steps of measuring
	}{
		{"ring", `
frame = part("hive", frame = True, solid = tube(d = 48, bore = 40.5, h = 12))
ring = part("ring", solid = tube(d = 40, bore = 34, h = 20).at(z = -2), travels = [slide(z, 0, 18), turn(z)])
start({})
goal("up", {ring.slide: (15, None)})
`, 40, 0.06},
		{"plain", `
frame = part("hive", frame = True, solid = block((-32, 32), (-20, 20), (0, 14)) - block((-25.3, 25.3), (-21, 21), (2, 15)))
bar = part("drawer", solid = block((-25, 25), (-20, 20), (2.3, 14)), travels = [slide(z, 0, 18)])
start({})
goal("up", {bar.slide: (15, None)})
`, 50, 0.05},
	} {
		parts, fits := drawn(t, c.text)
		number := 0
		for i := range fits {
			if fits[i].Wide > widest && number == 0 {
				number = i + 1
			}
		}
		if number == 0 {
			t.Fatalf("%s: no wide fit in %+v", c.name, fits)
		}
		gs := cut(t, parts, fits, settings(), number)
		if len(gs) != 1 {
			t.Fatalf("%s: %d gauges", c.name, len(gs))
		}
		g := &gs[0]
		t.Logf("%s: %.1f min, %.1f g, %d rungs; %v", c.name, g.Minutes, g.Grams, len(g.Places), g.Notes)
		got := spans(g.Pieces[0].Mesh, 5, c.size-2)
		var want []float64
		for _, p := range g.Places {
			want = append(want, c.size+2*p.Gap)
		}
		slices.Sort(want)
		slices.Sort(got)
		if len(got) != len(want) {
			t.Fatalf("%s: rooms %v, want %v", c.name, got, want)
		}
		for i := range want {
			if math.Abs(got[i]-want[i]) > c.slack {
				t.Errorf("%s: %.3f mm from wall to wall, want %.3f", c.name, got[i], want[i])
			}
		}
	}
}
