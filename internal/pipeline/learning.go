package pipeline

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"feint/internal/calibrate"
	"feint/internal/gauge"
	"feint/internal/logbook"
	"feint/internal/printed"
)

// LoggedReadings are the readings that a logbook has of prints with a model's
// printer, nozzle, spool and profile; left counts those that teach nothing. Of a
// printer that the logbook does not know there are none.
func LoggedReadings(ctx context.Context, b *logbook.Book, m *printed.Model) (rs []calibrate.Reading, left int, err error) {
	setup, err := SetupOf(ctx, b, m)
	if err != nil || setup.Printer == 0 {
		return nil, 0, err
	}
	all, err := logbook.ReadingsWith(ctx, b, setup)
	if err != nil {
		return nil, 0, err
	}
	var table bytes.Buffer
	if left, err = logbook.ReadingsTable(&table, all); err != nil {
		return nil, 0, err
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
