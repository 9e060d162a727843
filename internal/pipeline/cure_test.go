package pipeline

import (
	"context"
	"testing"

	"feint/internal/verdict"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// TestCureStack: 20 - 17.6 - 2.2 = 0.2 mm with 0.25 mm of tolerance is 0.05 mm short of
// nothing at worst, so that the washer is to have 2.15 mm (sums by hand).
func TestCureStack(t *testing.T) {
	const path = "../verdict/rules/stack/testdata/found.star"
	m, err := Load(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	out := &Outcome{Mechanism: m, Bodies: make([]Body, len(m.Parts))}
	got, err := cures(context.Background(), path, out, short(out), Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := []verdict.Cure{{Rule: "stack", Of: "gap under the cap", Param: "washer", Unit: "mm", From: 2.2, To: 2.15}}
	if d := cmp.Diff(want, got, cmpopts.EquateApprox(0, 1e-9)); d != "" {
		t.Error(d)
	}
}
