package pipeline

import (
	"context"

	"feint/internal/logbook"
	"feint/internal/printable"
)

// estimate sums what the parts take as drawn, every one printed for itself, in
// minutes before any pace and in grams. ok is false where a part could not be told.
func (out *PrintingOutcome) estimate() (minutes, grams float64, ok bool) {
	for i, r := range out.Survey.Reports {
		if out.Mechanism.Parts[i].Material.Bought {
			continue
		}
		if r == nil {
			return 0, 0, false
		}
		e := &r.Given.Estimate
		minutes += out.Survey.Settings.Pace.Model(e.Minutes)
		grams += e.Grams
	}
	return minutes, grams, true
}

// KeepEstimate writes what a design is foretold to take beside its proofs in a
// logbook. It tells whether there is a proof to stand beside and all could be told.
func KeepEstimate(ctx context.Context, b *logbook.Book, o *PrintingOutcome) (kept bool, err error) {
	minutes, grams, ok := o.estimate()
	if !ok {
		return false, nil
	}
	_, err = b.Do(ctx, "printing "+o.Mechanism.Name, func(t *logbook.Tx) error {
		proofs, err := logbook.All[logbook.Proof](ctx, t, "sha256 = ? ORDER BY id", o.Mechanism.SHA256)
		if err != nil {
			return err
		}
		kept = len(proofs) > 0
		for i := range proofs {
			proofs[i].Minutes, proofs[i].Grams = &minutes, &grams
			if err := logbook.Change(t, &proofs[i]); err != nil {
				return err
			}
		}
		return nil
	})
	return kept, err
}

// LearnPace fits how a printer's minutes follow the model's, from the prints of whole
// boxes as drawn for which the logbook has both. n is how many there were; with none
// the fit is what is held of printers in general.
func LearnPace(ctx context.Context, b *logbook.Book, s logbook.Setup) (fit printable.PaceFit, n int, err error) {
	costs, err := logbook.CostsWith(ctx, b, s)
	if err != nil {
		return fit, 0, err
	}
	var timed []printable.Timed
	for i := range costs {
		c := &costs[i]
		if c.Minutes == nil || c.ToldMin == nil || c.Scale != 1 || !(*c.Minutes > 0) || !(*c.ToldMin > 0) {
			continue
		}
		timed = append(timed, printable.Timed{Model: *c.ToldMin * float64(c.Copies), Real: *c.Minutes})
	}
	fit, err = printable.FitPace(timed, printable.DefaultPacePrior())
	return fit, len(timed), err
}
