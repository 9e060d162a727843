package pipeline

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"feint/internal/calibrate"
	"feint/internal/gauge"
	"feint/internal/logbook"
	"feint/internal/printed"
)

// LearnBase is the model that readings of the setting of a name are taken to: the
// growths are those of like (nil: the unknown printer), so that no reading counts
// twice, and all that readings do not tell is as the setting has it so far; old is
// nil where there is none yet. It is called as what it starts from, so that the source
// of what is learnt names that; whoever keeps the result gives it the setting's name.
func LearnBase(name string, like, old *printed.Model) (*printed.Model, error) {
	if name == printed.UnknownName || name == NoPrinter || strings.TrimSpace(name) == "" {
		return nil, fmt.Errorf("%q is no name for a setting of yours; choose another", name)
	}
	b := printed.Unknown()
	if like != nil {
		b = like.Clone()
	}
	switch {
	case old != nil:
		b.Printer, b.Spool, b.Profile, b.Nozzle = old.Printer, old.Spool, old.Profile, old.Nozzle
		b.Layer, b.FirstLayer, b.FlareHeight = old.Layer, old.FirstLayer, old.FlareHeight
		for _, e := range []printed.Effect{printed.Flare, printed.Seam, printed.Oval, printed.Give, printed.Wear} {
			b.Amounts[e] = old.Amounts[e]
		}
		for k, a := range old.Shrink {
			if k != "" {
				b.Shrink[k] = a
			}
		}
	case like == nil:
		b.Printer = ""
	}
	return b, nil
}

// LoggedReadings are the readings that a logbook has of prints with a model's
// printer, nozzle, spool and profile; left counts those that teach nothing. Of a
// printer that the logbook does not know there are none.
func LoggedReadings(ctx context.Context, b *logbook.Book, m *printed.Model) (rs []calibrate.Reading, left int, err error) {
	setup, err := SetupOf(ctx, b, m)
	if err != nil || setup.Printer == 0 {
		return nil, 0, err
	}
	all, err := logbook.ReadingsWith(ctx, b, setup)
	if err != nil || len(all) == 0 {
		return nil, 0, err
	}
	var table bytes.Buffer
	if left, err = logbook.ReadingsTable(&table, all); err != nil || left == len(all) {
		return nil, left, err
	}
	rs, err = calibrate.ReadTable("the logbook", &table)
	return rs, left, err
}

// TableReadings reads the filled-in table of a gauge, beside which its places lie, or
// else a table as calibrate.ReadTable takes it.
func TableReadings(file string) ([]calibrate.Reading, error) {
	gs, err := ReadGaugeReadings(file)
	if err == nil {
		if len(gs) == 0 {
			return nil, fmt.Errorf("%s: no row is filled in", file)
		}
		var table bytes.Buffer
		if err := gauge.WriteTable(&table, gs); err != nil {
			return nil, err
		}
		return calibrate.ReadTable(file, &table)
	}
	if !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	in, open := os.Open(file)
	if open != nil {
		return nil, open
	}
	defer func() { _ = in.Close() }() // reading only
	return calibrate.ReadTable(file, in)
}
