package pipeline

import (
	"context"
	"math"
	"testing"

	"feint/internal/logbook"
	"feint/internal/mechanism"
	"feint/internal/printable"
)

// Prints that took exactly 6 minutes and 1.2 times the model teach just that: with
// many of them the prior weighs little, and the exact line is known in closed form.
func TestLearnPace(t *testing.T) {
	ctx, b := context.Background(), standingBook(t)
	report := func(minutes, grams float64) *printable.Report {
		r := &printable.Report{}
		r.Given.Estimate.Minutes, r.Given.Estimate.Grams = minutes, grams
		return r
	}
	_, err := b.Do(ctx, "prints", func(tx *logbook.Tx) error {
		d := logbook.Design{Name: "tower"}
		if err := logbook.Add(tx, &d); err != nil {
			return err
		}
		for n, sha := range []string{"a", "b"} {
			r := logbook.Revision{Design: d.ID, Number: n + 1, SHA256: sha}
			if err := logbook.Add(tx, &r); err != nil {
				return err
			}
			if err := logbook.Add(tx, &logbook.Proof{SHA256: sha, Verdict: "works"}); err != nil {
				return err
			}
			for range 200 {
				real := 6 + 1.2*[]float64{30, 100}[n]
				if err := logbook.Add(tx, &logbook.Trial{Revision: r.ID, Minutes: &real}); err != nil {
					return err
				}
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	// the model's 30 and 100 minutes, told with a pace that must be taken out again
	for sha, model := range map[string]float64{"a": 30, "b": 100} {
		o := &PrintingOutcome{Mechanism: &mechanism.Mechanism{Name: "tower", SHA256: sha, Parts: make([]mechanism.Part, 2)}, Survey: &printable.Survey{
			Settings: printable.Settings{Pace: printable.Pace{Start: 5, Factor: 2}},
			Reports:  []*printable.Report{report(5+2*model/4, 10), report(5+2*model*3/4, 20)},
		}}
		if kept, err := KeepEstimate(ctx, b, o); !kept || err != nil {
			t.Fatal(kept, err)
		}
		if p, _, err := logbook.ProofOf(ctx, b, sha); err != nil || math.Abs(*p.Minutes-model) > 1e-9 || *p.Grams != 30 {
			t.Errorf("%+v, %v", p, err)
		}
		o.Survey.Reports[1] = nil
		if kept, err := KeepEstimate(ctx, b, o); kept || err != nil {
			t.Errorf("an estimate of half the parts was kept: %v", err)
		}
	}
	fit, n, err := LearnPace(ctx, b, logbook.Setup{})
	if err != nil || n != 400 || math.Abs(fit.Start-6) > 0.1 || math.Abs(fit.Factor-1.2) > 0.01 {
		t.Errorf("%+v from %d, %v", fit, n, err)
	}
}
