package pipeline

import (
	"context"
	"math"
	"testing"
)

// TestPry: the post's end stands 32 - (6.3 + 32)/2 mm above the middle about which the lid
// tips, so that a tip by a takes sin(a) times that off the 0.5 mm under the bolt, and no
// less than what a place 1.5 mm lower has (lever arms, from the drawing).
func TestPry(t *testing.T) {
	out, err := Prove(context.Background(), "../verdict/rules/pried/testdata/found.star", Options{})
	if err != nil {
		t.Fatal(err)
	}
	got := out.Verdict.Evidence.Pries
	if len(got) != 1 || math.Abs(got[0].Overlap-0.5) > 0.02 {
		t.Fatalf("%+v", got)
	}
	arm, s := 32-(6.3+32)/2, math.Sin(got[0].Angle)
	if left := got[0].Left; left < 0.5-s*arm-0.02 || left > 0.5-s*(arm-1.5)+0.02 {
		t.Errorf("left %.3f, by the lever %.3f to %.3f", left, 0.5-s*arm, 0.5-s*(arm-1.5))
	}
}
