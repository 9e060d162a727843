package export

import (
	"testing"

	"feint/internal/geom"
	"feint/internal/hands"
	"feint/internal/motion"
	"feint/internal/verdict/sample"
	"feint/internal/verdict/wording"

	"github.com/google/go-cmp/cmp"
)

// TestDirectedWords: what a person reads of moves that are not the hand's alone.
func TestDirectedWords(t *testing.T) {
	m := sample.Mechanism()
	lift := m.Parts[sample.Rod].Travels[0]
	stroke := motion.Stroke{Travel: lift, From: 0, To: 5}
	own := wording.Move(m, &hands.Move{Kind: hands.Hand, Part: sample.Rod, Strokes: []hands.Stroke{{Stroke: stroke}}})
	if len(own) != 1 {
		t.Fatalf("a stroke of the hand in %q", own)
	}
	for _, c := range []struct {
		move hands.Move
		want []string
	}{
		{
			hands.Move{Kind: hands.Turn, Part: -1, Up: geom.Vec{X: -1}, Effects: []hands.Effect{{Travel: lift, To: 5, Cause: hands.Fell}}},
			[]string{"turn the box so that its left side is up", m.Parts[sample.Rod].Name + " falls: " + own[0]},
		},
		{hands.Move{Kind: hands.Turn, Part: -1, Up: geom.Vec{Z: 1}}, []string{"turn the box so that it stands as drawn"}},
		{
			hands.Move{Kind: hands.Hand, Part: sample.Door, Strokes: []hands.Stroke{{Stroke: stroke, Effects: []hands.Effect{{Travel: lift, To: 5, Cause: hands.Pushed}}}}},
			[]string{own[0], m.Parts[sample.Rod].Name + " is pushed: " + own[0]},
		},
	} {
		if diff := cmp.Diff(c.want, wording.Move(m, &c.move)); diff != "" {
			t.Error(diff)
		}
	}
}
