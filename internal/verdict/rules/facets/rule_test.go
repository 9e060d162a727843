package facets

import (
	"strings"
	"testing"

	"feint/internal/verdict/sample"
)

// The share is that of doc.md: two tolerances against a fifth of the clearance.
func TestShare(t *testing.T) {
	k := sample.Case()
	k.Result.Fit.Tightest.Clearance = 0.2
	k.Mechanism.Tolerance = 0.0199
	if got := check(k); len(got) != 0 {
		t.Fatalf("0.0398 of 0.2 mm: %q", got[0].Message)
	}
	k.Mechanism.Tolerance = 0.0201
	got := check(k)
	if len(got) != 1 || !strings.Contains(got[0].Change, "0.020 mm") || !strings.Contains(got[0].Message, "0.040 mm of the 0.20 mm") {
		t.Errorf("got %+v", got)
	}
}
