package creep

import (
	"math"
	"strings"
	"testing"

	"feint/internal/mechanism"
	"feint/internal/verdict/finding"
	"feint/internal/verdict/sample"
)

// leaf puts the lamp of PLA on a spring whose leaf is 20 x 3 mm, with nothing but its
// preload at the start: it bends it by preload/rate. A leaf of 20 x 3 bent by 0.79012 mm has
// a strain of 0.8889 % (a cantilever of 10 x 3, 20 long, 20 N, 3000 MPa: 26.667 MPa).
func leaf(preload float64) *finding.Case {
	k := sample.Case()
	k.Mechanism.Parts[sample.Lamp].Material.Name = "PLA"
	k.Mechanism.Travels[sample.LampLift].Spring = &mechanism.Spring{Toward: -1, Preload: preload, Rate: 1, Leaf: mechanism.Arm{Length: 20, Thickness: 3}}
	k.Result.Way = nil
	return k
}

// Up to 0.3 % silence, to 0.8 % a note, above a warning (common practice).
func TestStrain(t *testing.T) {
	if got := check(sample.Case()); got != nil {
		t.Fatalf("no leaf: %v", got)
	}
	if got := check(leaf(0.266)); len(got) != 0 {
		t.Fatalf("0.299 %%: %q", got[0].Message)
	}
	got := check(leaf(0.268))
	if len(got) != 1 || got[0].Severity != finding.Note || math.Abs(got[0].Margin+0.0015) > 1e-9 || got[0].Unit != "% strain" {
		t.Fatalf("0.3015 %%: %+v", got)
	}
	got = check(leaf(0.79012))
	if len(got) != 1 || got[0].Severity != finding.Warning || !strings.Contains(got[0].Message, "bent by 0.8 mm at the start: a strain of 0.89 %") {
		t.Fatalf("0.889 %%: %+v", got)
	}
	// sqrt(0.8889/0.3) of the length, or 0.3/0.8889 of the thickness
	if !strings.Contains(got[0].Change, "34.5 mm long in place of 20.0 mm, or 1.01 mm thick in place of 3.00 mm") {
		t.Errorf("%q", got[0].Change)
	}
	k := leaf(5)
	k.Mechanism.Parts[sample.Lamp].Material.Bought = true
	if got := check(k); len(got) != 0 {
		t.Errorf("of steel: %q", got[0].Message)
	}
}

// The end of the way, 24 mm up, bends it more; a detent is relaxed where it holds.
func TestRests(t *testing.T) {
	k := leaf(0)
	k.Result.Way = sample.Way()
	got := check(k)
	if len(got) != 1 || !strings.Contains(got[0].Message, "bent by 24.0 mm at the end of the way") {
		t.Fatalf("lifted: %+v", got)
	}
	tr := &k.Mechanism.Travels[sample.LampLift]
	tr.Spring = nil
	tr.Detents = []mechanism.Detent{{At: 0, Width: 0.5, Lift: 0.6, Leaf: mechanism.Arm{Length: 20, Thickness: 3}}}
	if got = check(k); len(got) != 1 || !strings.Contains(got[0].Message, "detent of lamp is bent by 0.6 mm at the end of the way") {
		t.Fatalf("out of its detent: %+v", got)
	}
	k.Result.Way = nil
	if got = check(k); len(got) != 0 {
		t.Errorf("in it: %q", got[0].Message)
	}
}
