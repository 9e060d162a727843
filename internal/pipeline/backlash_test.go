package pipeline

import (
	"context"
	"math"
	"testing"
)

// TestGate: the corner of a lug at (8, 1.5) in a gate whose wall stands at y = 1.7 meets
// it where 8 sin a + 1.5 cos a = 1.7 (from the drawing), at a radius of |(8, 1.5)|.
func TestGate(t *testing.T) {
	out, err := Prove(context.Background(), "../verdict/rules/backlash/testdata/found.star", Options{})
	if err != nil {
		t.Fatal(err)
	}
	got := out.Verdict.Evidence.Gates
	r := math.Hypot(8, 1.5)
	want := math.Asin(1.7/r) - math.Atan2(1.5, 8)
	if len(got) != 1 || math.Abs(got[0].Half-want) > 1e-3 || math.Abs(got[0].Radius-r) > 0.1 {
		t.Errorf("%+v, want half a window of %.4f at %.2f mm", got, want, r)
	}
}
