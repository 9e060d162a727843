package pipeline

import (
	"context"

	"feint/internal/export"
)

// foretell adds to a proof how many copies will work on the printer asked for. What
// cannot be foretold is said, with the reason; it spoils no proof.
func foretell(ctx context.Context, path string, out *Outcome, watch *stopwatch, o Options) error {
	if o.Copies == nil || o.Flare { // which the model of the printer has of its own
		return nil
	}
	y := *o.Copies
	if y.Count == 0 && !out.Mechanism.HandsOnly() {
		y.Count = besidePrints
	}
	y.defaults(out.Mechanism)
	k := &export.ExpectedInfo{Setting: y.Model.Name}
	out.Document.Expected = k
	yo, err := yieldOf(ctx, path, out.Mechanism, out.Bodies, o, y)
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case err != nil:
		k.Sentence = "It is not foretold how many copies will work: " + err.Error() + "."
	default:
		k.Yield = yo.Document()
		k.Sentence = k.Yield.Sentence()
	}
	watch.lap("copies")
	for stage, s := range watch.seconds {
		out.Document.Seconds[stage] = s
	}
	return nil
}
