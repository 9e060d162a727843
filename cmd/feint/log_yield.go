package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"feint/internal/export"
	"feint/internal/logbook"
	"feint/internal/pipeline"
)

// keepYield keeps a foretold yield in the user's own logbook beside the design, if
// there is one. A logbook that cannot be written into must not hide the yield.
func keepYield(ctx context.Context, s streams, path string, d *export.YieldDocument) {
	inOwnLogbook(ctx, s, path, "the yield", func(b *logbook.Book) error { return pipeline.KeepYield(ctx, b, d) })
}

// keepEstimate keeps what a design is foretold to take, likewise.
func keepEstimate(ctx context.Context, s streams, path string, o *pipeline.PrintingOutcome) {
	inOwnLogbook(ctx, s, path, "the estimate", func(b *logbook.Book) error {
		_, err := pipeline.KeepEstimate(ctx, b, o)
		return err
	})
}

func inOwnLogbook(ctx context.Context, s streams, path, what string, work func(*logbook.Book) error) {
	dir, ok := logbook.Find(filepath.Dir(path))
	if !ok {
		return
	}
	b, own, err := openToLook(ctx, dir)
	if err == nil {
		if own {
			err = work(b)
		}
		err = errors.Join(err, b.Close())
	}
	if err != nil {
		fmt.Fprintf(s.err, "feint: %s was not kept in the logbook: %v\n", what, err)
	}
}
