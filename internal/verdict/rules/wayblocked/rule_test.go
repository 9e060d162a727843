package wayblocked

import (
	"strings"
	"testing"

	"feint/internal/motion"
	"feint/internal/verdict/sample"
)

func TestTight(t *testing.T) {
	k := sample.Case()
	if got := check(k); len(got) != 0 {
		t.Fatalf("a box that opens: %q", got[0].Message)
	}
	k.Result.Tight.Opens = motion.Undecided
	if got := check(k); len(got) != 0 {
		t.Fatalf("not known is not blocked: %q", got[0].Message)
	}
	k.Result.Tight.Opens = motion.No
	k.Result.Fit.Bind = &motion.Limit{Lo: 0.03, Hi: 0.04}
	got := check(k)
	if len(got) != 1 {
		t.Fatalf("got %+v", got)
	}
	f := got[0]
	// From 0.03 to 0.05 are 0.02 mm of growth: 0.04 a side, 0.08 across.
	if f.Margin > -0.0199 || f.Margin < -0.0201 || !strings.Contains(f.Change, "0.04 mm more gap per side (0.08 mm across)") {
		t.Errorf("margin %g, advice %q", f.Margin, f.Change)
	}
	if !strings.Contains(f.Message, "between key rod and door ring: at least 0.21 mm") {
		t.Errorf("message %q", f.Message)
	}
}

func TestDrawn(t *testing.T) {
	k := sample.Case()
	k.Result.Drawn.Opens, k.Result.Way = motion.No, nil
	got := check(k)
	if len(got) != 1 || !strings.HasPrefix(got[0].Message, "As drawn, no way") || len(got[0].Where.Parts) != 0 {
		t.Errorf("got %+v", got)
	}
	k.Result.Drawn.Start = motion.No
	if got = check(k); !strings.Contains(got[0].Message, "start itself is not free") {
		t.Errorf("got %q", got[0].Message)
	}
}

// TestUnknown: where it is not known whether it opens as drawn that is not said, and always
// there is something to change.
func TestUnknown(t *testing.T) {
	for _, drawn := range []motion.Answer{motion.Undecided, motion.Yes} {
		k := sample.Case()
		k.Result.Tight.Opens, k.Result.Drawn.Opens, k.Result.Way = motion.No, drawn, nil
		got := check(k)
		if len(got) != 1 || strings.Contains(got[0].Message, "As drawn it opens") != (drawn == motion.Yes) || got[0].Change == "" {
			t.Errorf("%v: %+v", drawn, got)
		}
	}
}
