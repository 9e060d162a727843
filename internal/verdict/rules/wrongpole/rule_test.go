package wrongpole

import (
	"strings"
	"testing"

	"feint/internal/forces/magnet"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

// Poles as meant are silent; the contrary is a fault, and a warning if it is not so where
// they are nearest.
func TestPoles(t *testing.T) {
	k := sample.Case()
	if got := check(k); got != nil {
		t.Fatalf("nobody looked: %v", got)
	}
	k.Evidence.Forces = sample.Magnets(magnet.Attract, magnet.Attract, 2)
	if got := check(k); len(got) != 0 {
		t.Fatalf("as meant: %q", got[0].Message)
	}
	k.Evidence.Forces = sample.Magnets(magnet.Attract, magnet.Repel, -2)
	got := check(k)
	if len(got) != 1 || got[0].Severity != finding.Fault || !strings.Contains(got[0].Message, "are meant to attract, but repel with up to 2.1 N where they are 1.5 mm apart") {
		t.Fatalf("%+v", got)
	}
	k.Evidence.Forces.Meetings[0].Nearest.Sense = magnet.Attract
	if got := check(k); len(got) != 1 || got[0].Severity != finding.Warning || !strings.Contains(got[0].Change, "no travel") {
		t.Errorf("%+v", got)
	}
}
