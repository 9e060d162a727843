package clashatstart

import (
	"strings"
	"testing"

	"feint/internal/geom"
	"feint/internal/motion"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

func TestClash(t *testing.T) {
	k := sample.Case()
	if got := check(k); len(got) != 0 {
		t.Fatalf("a free start: %q", got[0].Message)
	}
	k.Result.Drawn.Start = motion.Undecided
	if got := check(k); len(got) != 0 {
		t.Fatalf("not known is no clash: %q", got[0].Message)
	}
	k.Result.Drawn.Start = motion.No
	if got := check(k); len(got) != 1 || len(got[0].Where.Parts) != 0 {
		t.Errorf("got %+v", got)
	}
	k.Evidence.Clashes = []finding.Overlap{{A: 1, B: 3, Depth: 0.25, At: geom.Vec{X: 4}}}
	got := check(k)
	if len(got) != 1 || got[0].Margin != -0.25 || got[0].Where.At.X != 4 || !strings.Contains(got[0].Message, "key rod and door ring overlap by 0.25 mm") {
		t.Errorf("got %+v", got)
	}
}
