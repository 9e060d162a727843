package pipeline

import (
	"context"
	"math"
	"testing"

	"feint/internal/forces/survey"
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
	got, err := cures(context.Background(), path, out, short(out, &verdict.Evidence{}), Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := []verdict.Cure{{Rule: "stack", Of: "gap under the cap", Param: "washer", Unit: "mm", From: 2.2, To: 2.15}}
	if d := cmp.Diff(want, got, cmpopts.EquateApprox(0, 1e-9)); d != "" {
		t.Error(d)
	}
}

// TestCureCocking: a slide guided over L, pushed e off, jams beyond L/(2 mu); the arm is
// to be as short as what was measured is too far off, to a piece of the surface or so.
func TestCureCocking(t *testing.T) {
	const path = "../verdict/rules/cocking/testdata/found.star"
	m, err := Load(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	out := &Outcome{Mechanism: m}
	if out.Bodies, err = bodies(context.Background(), m, Options{}); err != nil {
		t.Fatal(err)
	}
	cs := survey.Cocks(m, trees(out.Bodies))
	got, err := cures(context.Background(), path, out, shortGuides(m, cs), Options{})
	if err != nil || len(cs) != 1 {
		t.Fatal(cs, err)
	}
	want := 24 - (cs[0].Offset - survey.Jams(cs[0].Length, cs[0].Friction.Hi))
	if len(got) != 1 || got[0].Param != "reach" || math.Abs(got[0].To-want) > 1 {
		t.Errorf("%+v, want reach at about %.1f", got, want)
	}
}
