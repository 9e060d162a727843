package pipeline

import (
	"context"
	"strings"

	"feint/internal/export"
	"feint/internal/logbook"
)

// KeepYield writes a foretold yield into a logbook, where revisions are compared
// by it. One that says nothing new leaves no trace.
func KeepYield(ctx context.Context, b *logbook.Book, d *export.YieldDocument) error {
	y := logbook.Yield{
		SHA256: d.DesignSHA256, Setting: d.Setting, Seed: int(d.Seed & (1<<62 - 1)), //nolint:gosec // cut to what fits
		Prints: d.Prints, Work: d.Works.Count, Bind: d.Binds.Count, Leak: d.Leaks.Count, Unknown: d.Undecided,
	}
	worst := 0
	for _, k := range append(append([]export.YieldCause{}, d.BindBy...), d.LeakBy...) {
		if k.Count > worst && len(k.Parts) > 0 {
			worst, y.Worst = k.Count, strings.Join(k.Parts, " and ")
		}
	}
	_, err := b.Do(ctx, "yield "+d.Design, func(t *logbook.Tx) error { return logbook.KeepYield(ctx, t, &y) })
	return err
}
