package idlestep

import (
	"strings"
	"testing"

	"feint/internal/motion"
	"feint/internal/verdict/sample"
)

func TestStep(t *testing.T) {
	k := sample.Case()
	s := &k.Result.Steps[0]
	s.Unavoidable, s.Bypass = motion.No, &motion.Limit{Lo: 0.0499, Hi: 0.0501}
	if got := check(k); len(got) != 0 {
		t.Fatalf("the tight end needs the step: %q", got[0].Message)
	}
	s.Bypass = &motion.Limit{Lo: 0.05, Hi: 0.06}
	if got := check(k); len(got) != 1 || got[0].Where.Step != "rod above the gallery" {
		t.Errorf("got %+v", got)
	}
	s.Bypass = &motion.Limit{Lo: 0.2, Above: true}
	if got := check(k); len(got) != 1 {
		t.Errorf("got %+v", got)
	}
}

func TestPart(t *testing.T) {
	k := sample.Case()
	k.Result.Idle = []int{sample.Gallery}
	if got := check(k); len(got) != 1 || !strings.Contains(got[0].Message, "without ever moving gallery") {
		t.Errorf("got %+v", got)
	}
	k.Result.Drawn.Opens = motion.No
	if got := check(k); len(got) != 0 {
		t.Errorf("a box that never opens has no idle part: %q", got[0].Message)
	}
}
