package pipeline

import (
	"context"
	"testing"

	"feint/internal/forces/load"
	"feint/internal/hands"
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
	for _, o := range []hands.Opening{h.Drawn, h.Tight, h.Loose} {
		if o.Opens != motion.Yes || o.Moves != 8 || o.Put != motion.No {
			t.Errorf("opening %+v", o)
		}
	}
	turns, pushed := 0, map[string]bool{}
	for _, m := range h.Way.Moves {
		if m.Kind == hands.Turn {
			turns++
		}
		for _, s := range m.Strokes {
			for _, e := range s.Effects {
				if e.Cause == hands.Pushed {
					pushed[out.Mechanism.Parts[out.Mechanism.Travels[e.Travel].Part].Name] = true
				}
			}
		}
	}
	if turns != 4 || len(h.Way.Moves) != 8 || !pushed["drone"] || !pushed["sting"] {
		t.Errorf("%d turns in %d moves, pushed %v", turns, len(h.Way.Moves), pushed)
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
