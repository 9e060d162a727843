package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"text/tabwriter"

	"feint/internal/calibrate"
	"feint/internal/printed"

	"github.com/spf13/cobra"
)

func newPrinter(s streams) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "printer",
		Short: "tell and learn how the printers of this workshop print",
		Long: `printer keeps what is known of printers in printers.toml, a text file in the
present folder or one above it: growth in plane and in height, bores and pegs by
size, flare, shrink and so on, each with its mean and its spread, under a name of
your own for a printer with a nozzle, a spool and a profile. docs/printing.md tells
what the numbers mean. Without a subcommand it lists the settings.`,
		Example: `  feint printer
  feint printer learn "kitchen, white PLA" gauges/readings.csv --picture fit.svg
  feint printer prefer "kitchen, white PLA"
  feint yield box.star --printer "kitchen, white PLA"`,
		Args: cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error { return listSettings(s.out) },
	}
	cmd.AddCommand(newPrinterAdd(s), newPrinterFit(s), newPrinterLearn(s), newPrinterPrefer(s))
	return cmd
}

func listSettings(w io.Writer) error {
	ms, file, err := readSettings(".")
	if err != nil {
		return err
	}
	t := tabwriter.NewWriter(w, 0, 4, 2, ' ', 0)
	fmt.Fprintln(t, "setting\tgrowth in plane, mm a surface\t20 mm\tfrom")
	for _, m := range append(ms, printed.Unknown()) {
		a := m.Amounts[printed.InPlane]
		grade := "beyond IT18"
		if g, ok := m.Grade(20, ""); ok {
			grade = fmt.Sprintf("IT%d", g)
		}
		fmt.Fprintf(t, "%s\t%+.3f, prints +-%.3f, features +-%.3f\t%s\t%s\n", m.Name, a.Mean, a.Prints, a.Features, grade, m.Source)
	}
	if err := t.Flush(); err != nil {
		return err
	}
	if file != "" {
		fmt.Fprintf(w, "\nfrom %s\n", file)
	}
	return nil
}

// settingFlags describe a new setting.
type settingFlags struct {
	like, printer, spool, profile string
	nozzle                        float64
}

func (f *settingFlags) add(cmd *cobra.Command) {
	fl := cmd.Flags()
	fl.StringVar(&f.like, "like", "", "start from this setting instead of the unknown printer")
	fl.StringVar(&f.printer, "printer", "", "name of the printer")
	fl.StringVar(&f.spool, "spool", "", "name of the spool")
	fl.StringVar(&f.profile, "profile", "", "name of the slicer's profile")
	fl.Float64Var(&f.nozzle, "nozzle", 0, "nozzle, mm")
}

// onto puts the names on a model.
func (f *settingFlags) onto(m *printed.Model, name string) {
	m.Name = name
	for _, x := range []struct {
		to *string
		v  string
	}{{&m.Printer, f.printer}, {&m.Spool, f.spool}, {&m.Profile, f.profile}} {
		if x.v != "" {
			*x.to = x.v
		}
	}
	if f.nozzle > 0 {
		m.Nozzle = f.nozzle
	}
}

func newPrinterAdd(s streams) *cobra.Command {
	f := &settingFlags{}
	cmd := &cobra.Command{
		Use:     "add NAME",
		Short:   "add a setting to printers.toml, to be filled in by hand",
		Example: `  feint printer add "shed, black ABS" --nozzle 0.6`,
		Args:    cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			base, err := settingLike(f.like)
			if err != nil {
				return err
			}
			m := base.Clone()
			f.onto(m, args[0])
			return storeSetting(s.out, m)
		},
	}
	f.add(cmd)
	return cmd
}

func newPrinterFit(s streams) *cobra.Command {
	f := &settingFlags{}
	var picture string
	cmd := &cobra.Command{
		Use:   "fit NAME READINGS.csv",
		Short: "find how a printer prints from the readings of gauges",
		Long: `fit finds growth and its spread from readings, sizes measured with calipers or
fits judged by feel, and keeps the result in printers.toml under NAME. The
readings are a table (CSV) whose first line names its columns:

  name,print,kind,nominal,size,sd,gap,felt

kind is outside, peg, hole, tall (a height) or fit. A size needs nominal and size
(mm; sd is the instrument's uncertainty, 0.02 if empty); a fit needs gap, the
drawn gap a side, and felt: stuck, tight, slides or loose; nominal is then the
diameter, empty for flat walls. print tells prints apart.`,
		Example: `  feint printer fit "kitchen, white PLA" readings.csv --picture fit.svg`,
		Args:    cobra.ExactArgs(2),
		RunE: func(_ *cobra.Command, args []string) error {
			base, err := settingLike(f.like)
			if err != nil {
				return err
			}
			return fitPrinter(s.out, base, f, args[0], args[1], picture)
		},
	}
	f.add(cmd)
	cmd.Flags().StringVar(&picture, "picture", "", "also draw readings and fit to this SVG file")
	return cmd
}

func fitPrinter(w io.Writer, base *printed.Model, f *settingFlags, name, file, picture string) error {
	in, err := os.Open(file)
	if err != nil {
		return err
	}
	defer in.Close() //nolint:errcheck // only read
	rs, err := calibrate.ReadTable(file, in)
	if err != nil {
		return err
	}
	res, err := calibrate.FitReadings(base, rs)
	if err != nil {
		return fmt.Errorf("%s: %w", file, err)
	}
	f.onto(res.Model, name)
	if err := tellFit(w, res, rs, picture); err != nil {
		return err
	}
	return storeSetting(w, res.Model)
}

// tellFit tells what readings have taught, in words and as a picture if one is asked.
func tellFit(w io.Writer, res *calibrate.Result, rs []calibrate.Reading, picture string) error {
	if err := res.Words(w); err != nil {
		return err
	}
	fmt.Fprintln(w)
	if picture == "" {
		return nil
	}
	if err := writeWhole(picture, func(w io.Writer) error { return res.Picture(w, rs) }); err != nil {
		return fmt.Errorf("picture: %w", err)
	}
	_, err := fmt.Fprintf(w, "picture: %s\n", picture)
	return err
}

// settingLike is the setting to start from.
func settingLike(name string) (*printed.Model, error) {
	ms, _, err := readSettings(".")
	if err != nil {
		return nil, err
	}
	return printed.Named(ms, name)
}

// storeSetting adds a setting to the nearest printers.toml, or to a new one here.
func storeSetting(w io.Writer, m *printed.Model) error {
	return changeSettings(w, m.Name, func(file string, data []byte) ([]byte, error) { return printed.AppendSetting(file, data, m) })
}

// changeSettings changes the nearest printers.toml, or makes one here.
func changeSettings(w io.Writer, name string, change func(file string, data []byte) ([]byte, error)) error {
	_, file, err := readSettings(".")
	if err != nil {
		return err
	}
	if file == "" {
		file = filepath.Join(".", printed.FileName)
	}
	data, err := os.ReadFile(file)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	out, err := change(file, data)
	if err != nil {
		return err
	}
	if err := writeWhole(file, func(w io.Writer) error { _, err := w.Write(out); return err }); err != nil {
		return err
	}
	_, err = fmt.Fprintf(w, "setting %q is in %s; use it with --printer %[1]q, or always: feint printer prefer %[1]q\n", name, file)
	return err
}
