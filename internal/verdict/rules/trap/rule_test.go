package trap

import (
	"slices"
	"strings"
	"testing"

	"feint/internal/geom"
	"feint/internal/hands"
	"feint/internal/motion"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

func trapped(exists motion.Answer, moves ...hands.Move) *finding.Case {
	k := sample.Case()
	k.Evidence.Hands = &hands.Result{Drawn: hands.Opening{Opens: motion.Yes}, Trap: hands.Trap{Exists: exists}}
	if exists == motion.Yes {
		k.Evidence.Hands.Trap.In = &hands.Way{Start: k.Mechanism.Start, Moves: moves}
	}
	return k
}

func TestTrap(t *testing.T) {
	fell := []hands.Effect{{Travel: sample.LampLift, To: 5, Cause: hands.Fell}}
	turned := hands.Move{Kind: hands.Turn, Part: -1, Up: geom.Vec{X: -1}, Effects: fell}
	slid := hands.Move{Kind: hands.Hand, Part: sample.Rod, Strokes: []hands.Stroke{
		{Stroke: motion.Stroke{Travel: sample.RodSlide, To: 12}, Effects: fell},
	}}
	for _, c := range []struct {
		name     string
		k        *finding.Case
		severity finding.Severity
		message  string
		change   string
		parts    []int
	}{
		{"turned", trapped(motion.Yes, slid, turned), finding.Warning, "After 2 moves the box no longer opens. The last is: turn the box so that its left side is up; lamp falls", "Let lamp be brought back", []int{sample.Lamp}},
		{"by hand", trapped(motion.Yes, slid), finding.Warning, "After 1 move the box no longer opens. The last is: key rod: slide up 12.0 mm; lamp falls", "Let lamp be brought back", []int{sample.Rod, sample.Lamp}},
		{"at once", trapped(motion.Yes), finding.Warning, "come to rest at the start", "bar the move", nil},
		{"undecided", trapped(motion.Undecided), finding.Note, "not known", "finer", nil},
	} {
		got := check(c.k)
		if len(got) != 1 {
			t.Errorf("%s: %d findings", c.name, len(got))
			continue
		}
		f := got[0]
		if f.Severity != c.severity || !strings.Contains(f.Message, c.message) || !strings.Contains(f.Change, c.change) || !slices.Equal(f.Where.Parts, c.parts) {
			t.Errorf("%s: got %+v", c.name, f)
		}
	}
}

func TestNoTrap(t *testing.T) {
	never := trapped(motion.Yes)
	never.Evidence.Hands.Drawn.Opens = motion.No
	for name, k := range map[string]*finding.Case{
		"moved by hand": sample.Case(), "none": trapped(motion.No), "never opens": never,
	} {
		if got := check(k); len(got) != 0 {
			t.Errorf("%s: told %q", name, got[0].Message)
		}
	}
}
