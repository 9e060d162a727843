package pipeline

import (
	"context"
	"math"
	"testing"
)

// TestTogether: a post overlaps a bar by 0.55 mm, both have 0.2 mm of play across it. At a
// growth of g surfaces recede by 2 g and each push gains 2 g, so that one pushed passes at
// (0.2 - 0.55)/4 mm and both at (0.4 - 0.55)/6 mm: sums by hand, from the drawing. A
// contact counts from 0.005 mm on.
func TestTogether(t *testing.T) {
	out, err := Prove(context.Background(), "../verdict/rules/together/testdata/found.star", Options{})
	if err != nil {
		t.Fatal(err)
	}
	got := out.Verdict.Evidence.Together
	if len(got) != 1 || math.Abs(got[0].Alone+0.0875) > 0.004 || math.Abs(got[0].Both+0.025) > 0.004 {
		t.Errorf("%+v, want -0.0875 and -0.025", got)
	}
}
