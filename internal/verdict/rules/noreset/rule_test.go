package noreset

import (
	"strings"
	"testing"

	"feint/internal/motion"
	"feint/internal/verdict/sample"
)

func TestReset(t *testing.T) {
	k := sample.Case()
	if got := check(k); len(got) != 0 {
		t.Fatalf("a box that can be put back: %q", got[0].Message)
	}
	k.Result.Reset.Possible = motion.No
	if got := check(k); len(got) != 1 || !strings.Contains(got[0].Message, "no way leads back") {
		t.Errorf("got %+v", got)
	}
	k.Result.Drawn.Opens = motion.No // never opened, so nothing to put back
	if got := check(k); len(got) != 0 {
		t.Errorf("a box that never opens: %q", got[0].Message)
	}
}
