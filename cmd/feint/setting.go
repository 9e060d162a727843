package main

import (
	"context"
	"path/filepath"

	"feint/internal/pipeline"

	"github.com/spf13/cobra"
)

// noPrinter is the word by which no printer is meant, whatever the workshop prefers.
const noPrinter = pipeline.NoPrinter

// addPrinter adds the flag that names a printer's setting.
func addPrinter(cmd *cobra.Command, to *string, use string) {
	cmd.Flags().StringVar(to, "printer", "", "the printer's setting in printers.toml"+use)
	offer(cmd, "printer", ofDesign(0, printerNames))
}

// forPrinter makes a proof also foretell copies on the printer of that name, or on
// the one that the workshop prefers.
func forPrinter(ctx context.Context, path, name string, keepGrowth bool, o *pipeline.Options) error {
	dir := filepath.Dir(path)
	m, err := pipeline.NamedPrinter(dir, name)
	if err != nil || m == nil {
		return err
	}
	o.Copies = &pipeline.YieldOptions{Model: m, Seed: 1}
	return o.ForPrinter(ctx, dir, m, keepGrowth)
}
