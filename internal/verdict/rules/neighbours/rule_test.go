package neighbours

import (
	"strings"
	"testing"

	"feint/internal/forces"
	"feint/internal/forces/magnet"
	"feint/internal/forces/survey"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

// meets is the lamp's magnet over the tower's.
func meets(meant, sense magnet.Sense, pull float64) *survey.Survey {
	p := survey.Place{Config: sample.Mechanism().Start, Meeting: magnet.Meeting{Apart: 1.5, Sense: sense, Pull: forces.About(pull, 0.1)}}
	m := survey.Meeting{A: 0, B: 1, Meant: meant, Nearest: p}
	if meant == magnet.Attract && sense == magnet.Repel || meant == magnet.Repel && sense == magnet.Attract {
		m.Against = &p
	}
	return &survey.Survey{
		Magnets:  []magnet.Placed{{Name: "stone", Part: sample.Tower}, {Name: "eye", Part: sample.Lamp}},
		Meetings: []survey.Meeting{m},
	}
}

// Declared pairs and forces at the limit are silent; just above is a note.
func TestFelt(t *testing.T) {
	k := sample.Case()
	if got := check(k); got != nil {
		t.Fatalf("nobody looked: %v", got)
	}
	k.Evidence.Forces = meets(magnet.Attract, magnet.Attract, 2)
	if got := check(k); len(got) != 0 {
		t.Fatalf("declared: %q", got[0].Message)
	}
	k.Evidence.Forces = meets(magnet.Neither, magnet.Repel, 0)
	if got := check(k); len(got) != 0 {
		t.Fatalf("0.1 N: %q", got[0].Message)
	}
	k.Evidence.Forces = meets(magnet.Neither, magnet.Repel, -0.05)
	got := check(k)
	if len(got) != 1 || got[0].Severity != finding.Note || !strings.Contains(got[0].Message, "within 1.5 mm of each other and feel up to 0.2 N (repel)") {
		t.Errorf("%+v", got)
	}
}
