package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"

	"feint/internal/calibrate"
	"feint/internal/logbook"
	"feint/internal/pipeline"
	"feint/internal/printed"

	"github.com/spf13/cobra"
)

func newPrinterLearn(s streams) *cobra.Command {
	f := &settingFlags{}
	var picture, dir string
	cmd := &cobra.Command{
		Use:   "learn NAME [READINGS...]",
		Short: "learn how a printer prints, from the logbook and the gauges",
		Long: `learn finds growth and its spread from all readings that the logbook has of prints
with the setting's printer, nozzle, spool and profile, and from the tables of gauges
(readings.csv, filled in) that are named, and writes the result into printers.toml
under NAME. A setting of that name is learnt anew: its printer, spool, profile,
layers, flare, seam and the like stay, its growths are found again from the start
(the unknown printer, or --like), so that no reading counts twice. Readings that are
both in the logbook and in a table do count twice: name no table that you have logged.`,
		Example: `  feint printer learn "kitchen, white PLA" --printer kitchen --spool "white PLA"
  feint printer learn "kitchen, white PLA" gauges/readings.csv --picture fit.svg`,
		Args: cobra.MinimumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			l, err := newLearning(f, args[0])
			if err != nil {
				return err
			}
			if err := l.fromLogbook(cmd.Context(), dir); err != nil {
				return err
			}
			for _, table := range args[1:] {
				if err := l.fromTable(table); err != nil {
					return err
				}
			}
			return l.learn(s.out, picture)
		},
	}
	f.add(cmd)
	cmd.Flags().StringVar(&picture, "picture", "", "also draw readings and fit to this SVG file")
	cmd.Flags().StringVar(&dir, "logbook", "", "the workshop folder, if it is not this one or one above it")
	return cmd
}

// learning is what a setting is learnt from.
type learning struct {
	name     string
	base     *printed.Model // the growths to start from, all else as the setting has it
	readings []calibrate.Reading
	told     []string // where they are from
}

func newLearning(f *settingFlags, name string) (*learning, error) {
	ms, _, err := readSettings(".")
	if err != nil {
		return nil, err
	}
	var like, old *printed.Model
	if f.like != "" {
		if like, err = printed.Named(ms, f.like); err != nil {
			return nil, err
		}
	}
	if i := slices.IndexFunc(ms, func(m *printed.Model) bool { return m.Name == name }); i >= 0 {
		old = ms[i]
	}
	l := &learning{name: name}
	if l.base, err = pipeline.LearnBase(name, like, old); err != nil {
		return nil, err
	}
	start := l.base.Name
	f.onto(l.base, name)
	l.base.Name = start
	return l, nil
}

// fromLogbook takes the readings of prints with the setting's printer, nozzle, spool
// and profile. A setting of no printer that the logbook knows takes none, since they
// would be another printer's.
func (l *learning) fromLogbook(ctx context.Context, dir string) error {
	at, err := (&logFlags{dir: dir}).find(".")
	if errors.Is(err, logbook.ErrNone) && dir == "" {
		return nil
	}
	if err != nil {
		return err
	}
	b, err := logbook.Open(ctx, at, logbook.Options{ReadOnly: true})
	if err != nil {
		return err
	}
	rs, left, err := pipeline.LoggedReadings(ctx, b, l.base)
	if err = errors.Join(err, b.Close()); err != nil {
		return err
	}
	l.readings = append(l.readings, rs...)
	told := fmt.Sprintf("%d readings from the logbook", len(rs))
	if left > 0 {
		told += fmt.Sprintf(", %d left out (slots, and sizes without the drawn one)", left)
	}
	l.told = append(l.told, told)
	return nil
}

// fromTable takes a table of a gauge, with its places beside it, or one as feint
// printer fit reads it.
func (l *learning) fromTable(table string) error {
	rs, err := pipeline.TableReadings(table)
	if err != nil {
		return err
	}
	l.readings = append(l.readings, rs...)
	l.told = append(l.told, fmt.Sprintf("%d readings from %s", len(rs), table))
	return nil
}

func (l *learning) learn(w io.Writer, picture string) error {
	for _, t := range l.told {
		fmt.Fprintln(w, t)
	}
	if len(l.readings) == 0 {
		return fmt.Errorf("there are no readings of %q: print a gauge (feint gauge), type what you find into its readings.csv and name that table, or log readings (feint log DESIGN on %s, 0.15 tight) and say which printer with --printer", l.name, orName(l.base.Printer))
	}
	res, err := calibrate.FitReadings(l.base, l.readings)
	if err != nil {
		return err
	}
	res.Model.Name = l.name
	fmt.Fprintln(w)
	if err := tellFit(w, res, l.readings, picture); err != nil {
		return err
	}
	return changeSettings(w, l.name, func(file string, data []byte) ([]byte, error) { return printed.PutSetting(file, data, res.Model) })
}

func orName(printer string) string {
	if printer == "" {
		return "PRINTER"
	}
	return printer
}

func newPrinterPrefer(s streams) *cobra.Command {
	return &cobra.Command{
		Use:   "prefer NAME",
		Short: "say which printer is meant where none is named",
		Long: `prefer writes into printers.toml which setting is meant where --printer is not given:
from then on every proof in this workshop tells what to expect on it. "none" takes
that back.`,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			name := args[0]
			if name == noPrinter {
				name = ""
			}
			_, file, err := readSettings(".")
			if err != nil {
				return err
			}
			if file == "" {
				return fmt.Errorf("there is no %s here or above; feint printer learn makes one", printed.FileName)
			}
			var quiet bytes.Buffer
			err = changeSettings(&quiet, name, func(file string, data []byte) ([]byte, error) { return printed.SetPreferred(file, data, name) })
			if err != nil {
				return err
			}
			if name == "" {
				_, err = fmt.Fprintf(s.out, "%s prefers no printer\n", file)
				return err
			}
			_, err = fmt.Fprintf(s.out, "%s prefers %q: feint prove and the rest mean it unless --printer says otherwise\n", file, name)
			return err
		},
	}
}
