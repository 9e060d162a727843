package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"feint/internal/logbook"
	"feint/internal/pipeline"
	"feint/internal/printable"
	"feint/internal/printed"

	"github.com/spf13/cobra"
)

// noPrinter is the word by which no printer is meant, whatever the workshop prefers.
const noPrinter = "none"

// addPrinter adds the flag that names a printer's setting.
func addPrinter(cmd *cobra.Command, to *string, use string) {
	cmd.Flags().StringVar(to, "printer", "", "the printer's setting in printers.toml"+use)
}

// namedModel is the model of the setting of a name, or of the one that the workshop
// prefers where none is named; nil if that is none.
func namedModel(dir, name string) (*printed.Model, error) {
	if name == noPrinter {
		return nil, nil
	}
	if name == "" {
		var err error
		if name, err = preferred(dir); err != nil || name == "" {
			return nil, err
		}
	}
	return findSetting(dir, name)
}

// preferred is the setting that the nearest printers.toml prefers, "" if none.
func preferred(dir string) (string, error) {
	_, file, err := readSettings(dir)
	if err != nil || file == "" {
		return "", err
	}
	data, err := os.ReadFile(file)
	if err != nil {
		return "", err
	}
	return printed.Preferred(file, data)
}

// ownSettings puts what is known of a printer into settings: its model, and what the
// logbook beside the design knows of it. A logbook is only read.
func ownSettings(ctx context.Context, dir string, base printable.Settings, m *printed.Model) (printable.Settings, error) {
	s := pipeline.PrintSettings(base, m)
	at, ok := logbook.Find(dir)
	if !ok {
		return s, nil
	}
	b, err := logbook.Open(ctx, at, logbook.Options{ReadOnly: true})
	if err != nil {
		return s, fmt.Errorf("the logbook: %w", err)
	}
	s, _, err = pipeline.OwnSettings(ctx, b, s, m)
	return s, errors.Join(err, b.Close())
}

// forPrinter makes a proof also foretell copies on the printer of that name, or on
// the one that the workshop prefers.
func forPrinter(ctx context.Context, path, name string, keepGrowth bool, o *pipeline.Options) error {
	dir := filepath.Dir(path)
	m, err := namedModel(dir, name)
	if err != nil || m == nil {
		return err
	}
	s, err := ownSettings(ctx, dir, printable.Default(), m)
	if err != nil {
		return err
	}
	o.Print = &s
	o.Copies = &pipeline.YieldOptions{Model: m, Seed: 1}
	if !keepGrowth && m.Name != printed.UnknownName {
		o.Growth = m.Span(asked)
	}
	return nil
}

// asked is how many standard deviations of a known printer a proof asks for, unless
// --growth says otherwise: 19 of 20 prints.
const asked = 2
