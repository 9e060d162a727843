package playleak

import (
	"strings"
	"testing"

	"feint/internal/motion"
	"feint/internal/verdict/sample"
)

func TestEdges(t *testing.T) {
	k := sample.Case()
	s := &k.Result.Steps[1]
	s.BypassPlay = &motion.Limit{Lo: -0.06, Hi: -0.0501}
	if got := check(k); len(got) != 0 {
		t.Fatalf("just below the asked range: %q", got[0].Message)
	}
	s.BypassPlay = &motion.Limit{Lo: -0.06, Hi: -0.0499}
	got := check(k)
	if len(got) != 1 || got[0].Where.Step != "rod above the door ring" {
		t.Fatalf("got %+v", got)
	}
	if !strings.Contains(got[0].Message, "that of lamp: 0.30 mm sideways, 0.20 deg") {
		t.Errorf("the loosest guide is not named: %q", got[0].Message)
	}
	s.Bypass = &motion.Limit{Lo: -0.05, Hi: -0.045}
	if got = check(k); len(got) != 0 {
		t.Errorf("leaks without play too, which half-aligned tells: %q", got[0].Message)
	}
}
