package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"feint/internal/logbook"
	"feint/internal/pipeline"
)

// keepYield keeps a foretold yield in the user's own logbook beside the design, if
// there is one. A logbook that cannot be written into must not hide the yield.
func keepYield(ctx context.Context, s streams, path string, d *pipeline.YieldDocument) {
	dir, ok := logbook.Find(filepath.Dir(path))
	if !ok {
		return
	}
	b, own, err := openToLook(ctx, dir)
	if err == nil {
		if own {
			err = pipeline.KeepYield(ctx, b, d)
		}
		err = errors.Join(err, b.Close())
	}
	if err != nil {
		fmt.Fprintf(s.err, "feint: the yield was not kept in the logbook: %v\n", err)
	}
}
