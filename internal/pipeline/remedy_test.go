package pipeline

import (
	"context"
	"testing"

	"feint/internal/motion"
	"feint/internal/verdict"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// TestRemedies: a slot of 5.9 mm stops a bar of 6 mm by 0.05 mm a side. For the
// leak to fall from -0.02 to -0.10 mm of growth 0.16 mm a side must go (two
// surfaces), so that the slot is to have 5.58 mm; the floor's thickness has no
// part in it, and the slot that is meant is not touched.
func TestRemedies(t *testing.T) {
	const path = "testdata/toll.star"
	o := Options{Cache: store(t)}
	m, err := Load(path, o)
	if err != nil {
		t.Fatal(err)
	}
	out := &Outcome{Mechanism: m}
	if out.Bodies, err = bodies(context.Background(), m, o); err != nil {
		t.Fatal(err)
	}
	ps, _, err := maps(context.Background(), m, out.Bodies, nil, o)
	if err != nil {
		t.Fatal(err)
	}
	way := func(across, clearance float64) *motion.Way {
		return &motion.Way{Moves: []motion.Move{{Part: 1, Against: 0, Clearance: clearance, Strokes: []motion.Stroke{
			{Travel: 1, To: across}, {Travel: 0, To: 40},
		}}}}
	}
	out.Result = &motion.Result{
		Asked: [2]float64{-0.05, 0.05}, Way: way(15, 0.25),
		Steps: []motion.Step{{Bypass: &motion.Limit{Lo: -0.03, Hi: -0.02}, Shortcut: way(0, -0.06)}},
		Fit:   motion.Fit{Tightest: motion.Tightest{A: 0, B: 1, At: []float64{22, 15}, Clearance: 0.25}},
	}
	got, err := remedies(context.Background(), path, out, ps, o)
	if err != nil {
		t.Fatal(err)
	}
	want := []verdict.Remedy{{Param: "near slot", Unit: "mm", From: 5.9, To: 5.58}}
	if d := cmp.Diff(want, got, cmpopts.EquateApprox(0, 1e-9)); d != "" {
		t.Error(d)
	}
	out.Result.Steps[0].Bypass = &motion.Limit{Lo: -0.2, Hi: -0.15}
	if got, err = remedies(context.Background(), path, out, ps, o); err != nil || len(got) > 0 {
		t.Errorf("a leak far below the range: %v %v", got, err)
	}
}
