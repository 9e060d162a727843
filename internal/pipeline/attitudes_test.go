package pipeline

import (
	"context"
	"math"
	"slices"
	"testing"
)

// TestAttitudesShare: an anchor that hangs in its pipe at its upper stop can only fall down.
// With the least friction of printed PLA, 0.12 (doi 10.1177/1464420720978997), it does where
// its way lies steeper than atan(0.12), which is the cap of the sphere of the share
// (1 - sin(atan(0.12)))/2 (Archimedes). Of 800 directions a share is right to a hundredth.
func TestAttitudesShare(t *testing.T) {
	out, err := Prove(context.Background(), "../verdict/rules/gravitypin/testdata/near.star", Options{Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	got, all := 0.0, 0.0
	for _, a := range out.Document.Handling.Attitudes {
		all += a.Share
		if slices.Contains(a.Runs, "anchor fall") {
			got += a.Share
			for _, d := range a.Down {
				if d[2] > -0.119 {
					t.Errorf("it falls with %v to the ground", d)
				}
			}
		}
	}
	if want := (1 - math.Sin(math.Atan(0.12))) / 2; math.Abs(got-want) > 0.01 || math.Abs(all-1) > 0.01 {
		t.Errorf("it falls in %g of %g of all attitudes, want %g", got, all, want)
	}
}
