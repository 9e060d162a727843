package pipeline

import (
	"context"
	"math"
	"testing"

	"feint/internal/design"
	"feint/internal/motion"
	"feint/internal/verdict"
)

// The sluice, closed forms. At growth g the bar, at v, lets the post through from
// v = edge + 2g to v = 6.4 - 2g.
//
//   - It falls until it meets the end of its channel: v = 6 - 2g. So it opens while
//     6 - 2g >= edge + 2g: up to g = 0.1 for an edge of 5.6. Hands that reach everything
//     could set it anywhere, and the side gaps of 0.5 mm bind far later.
func TestSluice(t *testing.T) {
	if testing.Short() {
		t.Skip("seconds, many times that with the race detector")
	}
	for _, c := range []struct {
		name       string
		set        []design.Setting
		bind, leak float64
		width      float64 // of the leak
	}{
		{"falling", nil, 0.1, math.NaN(), 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			out, err := Prove(context.Background(), "testdata/sluice.star", Options{Set: c.set, Growth: DefaultGrowth})
			if err != nil {
				t.Fatal(err)
			}
			f := out.Result.Fit
			if f.Bind == nil || f.Bind.Lo > c.bind || f.Bind.Hi < c.bind || f.Bind.Hi-f.Bind.Lo > 0.0101 {
				t.Errorf("bind %+v, want %g", f.Bind, c.bind)
			}
			if out.Result.Drawn.Opens != motion.Yes || out.Result.Drawn.Moves != 2 || !out.Verdict.Certified {
				t.Errorf("drawn %+v, certified %v: %q", out.Result.Drawn, out.Verdict.Certified, out.Verdict.Doubts)
			}
			// wherever the bar lies it falls home when the sluice is tilted that way, unless the
			// post is up, which goes down again
			if out.Hands.Trap.Exists != motion.No {
				t.Errorf("trap %v", out.Hands.Trap.Exists)
			}
			switch l := f.Leak; {
			case math.IsNaN(c.leak):
				if l != nil {
					t.Errorf("leak %+v where there is none", l)
				}
			case l == nil || l.Lo > c.leak || l.Hi < c.leak || l.Hi-l.Lo > c.width:
				t.Errorf("leak %+v, want %g", l, c.leak)
			}
			further, err := out.Further(context.Background())
			if err != nil || further.Pushed == nil {
				t.Fatalf("%+v, %v", further, err)
			}
			sides := map[motion.Answer]int{}
			for i, a := range further.Pushed.Opens[0] {
				lo, hi := further.Pushed.Growths[i], further.Pushed.Growths[i+1]
				sides[a]++
				if a == motion.Yes && hi > c.bind || a == motion.No && hi < c.bind {
					t.Errorf("growth %.4f to %.4f: opens %v, binds at %g", lo, hi, a, c.bind)
				}
			}
			if sides[motion.Yes] == 0 || sides[motion.No] == 0 {
				t.Errorf("growth against play, columns by answer: %v", sides)
			}
		})
	}
}

// A rod that goes in 8 mm pushes the bar 4, and 5.6 are needed: stuck, and shown to be by
// the second method, though hands that reach everything would open it.
func TestSluiceStuck(t *testing.T) {
	set := []design.Setting{{Name: "falls", Value: "0"}, {Name: "reach", Value: "8"}}
	out, err := Prove(context.Background(), "testdata/sluice.star", Options{Set: set, Growth: DefaultGrowth})
	if err != nil {
		t.Fatal(err)
	}
	if out.Verdict.Kind != verdict.Stuck || !out.Verdict.Certified || len(out.Hands.Noes) == 0 {
		t.Errorf("verdict %s, certified %v, %q", out.Verdict.Kind, out.Verdict.Certified, out.Verdict.Doubts)
	}
}

// The rod as a tool: out of its tube, into the lock, in behind the bar, the post up: four
// moves. The bar goes as far as the rod does less 4 mm, at most to the end of its channel,
// 6 - 2g, and 5.6 + 2g are needed: up to g = 0.1. A rod that goes in 8 mm does not do.
func TestLockkeeper(t *testing.T) {
	for _, reach := range []string{"10", "8"} {
		set := []design.Setting{{Name: "reach", Value: reach}}
		out, err := Prove(context.Background(), "testdata/lockkeeper.star", Options{Set: set, Growth: DefaultGrowth})
		if err != nil {
			t.Fatal(err)
		}
		v := out.Verdict
		if reach == "8" {
			if v.Kind != verdict.Stuck || !v.Certified {
				t.Errorf("verdict %s, certified %v, %q", v.Kind, v.Certified, v.Doubts)
			}
			continue
		}
		f := out.Result.Fit.Bind
		if v.Kind != verdict.Works || !v.Certified || out.Result.Drawn.Moves != 4 || f == nil || f.Lo > 0.1 || f.Hi < 0.1 || f.Hi-f.Lo > 0.0101 {
			t.Errorf("verdict %s, certified %v, drawn %+v, bind %+v, %q", v.Kind, v.Certified, out.Result.Drawn, f, v.Doubts)
		}
		// the channel ends before the bar is pushed past the post, 6 for 6.4 mm
		if out.Hands.Trap.Exists != motion.No {
			t.Errorf("trap %v", out.Hands.Trap.Exists)
		}
	}
}
