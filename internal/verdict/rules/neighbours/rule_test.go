package neighbours

import (
	"strings"
	"testing"

	"feint/internal/forces/magnet"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

// Declared pairs and forces at the limit are silent; just above is a note.
func TestFelt(t *testing.T) {
	k := sample.Case()
	if got := check(k); got != nil {
		t.Fatalf("nobody looked: %v", got)
	}
	k.Evidence.Forces = sample.Magnets(magnet.Attract, magnet.Attract, 2)
	if got := check(k); len(got) != 0 {
		t.Fatalf("declared: %q", got[0].Message)
	}
	k.Evidence.Forces = sample.Magnets(magnet.Neither, magnet.Repel, 0)
	if got := check(k); len(got) != 0 {
		t.Fatalf("0.1 N: %q", got[0].Message)
	}
	k.Evidence.Forces = sample.Magnets(magnet.Neither, magnet.Repel, -0.05)
	got := check(k)
	if len(got) != 1 || got[0].Severity != finding.Note || !strings.Contains(got[0].Message, "within 1.5 mm of each other and feel up to 0.2 N (repel)") {
		t.Errorf("%+v", got)
	}
}
