package main

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"feint/internal/gauge"
	"feint/internal/pipeline"

	"github.com/spf13/cobra"
)

// gaugeFlags are the flags of "feint gauge".
type gaugeFlags struct {
	common
	printerFlags
	to    string
	fits  []int
	most  int
	gaps  []float64
	plain bool
	list  bool
	read  string
	learn string
}

func newGauge(s streams) *cobra.Command {
	f := &gaugeFlags{}
	cmd := &cobra.Command{
		Use:   "gauge DESIGN",
		Short: "make small prints, cut from this design, that tell how large a printer prints",
		Long: `gauge finds where parts of DESIGN slide in each other, cuts the hollow (bore, groove,
gate, bed) out of the one part, several times at a ladder of gaps, and a plug out
of the other, and writes them for the printer with labels that tell the gap per
side. Each takes less than 15 minutes and 6 g by feint's estimate. Beside them it
writes what to do with every place and a table, readings.csv, for what is found:
felt (stuck, tight, slides, loose) or measured with calipers.

--list only lists the fits. --read reads a filled-in table and tells, for every
measured place, how far each surface stands proud of the drawn one (the growth).`,
		Example: `  feint gauge box.star --list
  feint gauge box.star --to gauges --fit 2 --fit 5
  feint gauge --read gauges/readings.csv --learn learnt.csv
  feint printer fit "kitchen, white PLA" learnt.csv`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			switch {
			case f.read != "" && len(args) == 0:
				return readGauge(s, f)
			case f.read != "":
				return errors.New("--read needs no design: the places lie beside the table")
			case len(args) == 0:
				return errors.New("name the design to cut gauges from")
			}
			return gaugeOnce(cmd, s, args[0], f)
		},
	}
	f.common.add(cmd)
	f.printerFlags.add(cmd)
	cmd.Flags().StringVar(&f.to, "to", "", "folder to write to (default: the design's name with -gauges)")
	cmd.Flags().IntSliceVar(&f.fits, "fit", nil, "number of a fit, as --list tells (again for more; default: the tightest)")
	cmd.Flags().IntVar(&f.most, "most", 3, "how many gauges of fits at most (0: all)")
	cmd.Flags().Float64SliceVar(&f.gaps, "gap", nil, "gaps of the ladder, mm per side (default: steps round the drawn gap)")
	cmd.Flags().BoolVar(&f.plain, "plain", true, "also the plain ladder: a peg and round holes")
	cmd.Flags().BoolVar(&f.list, "list", false, "only list the fits")
	cmd.Flags().StringVar(&f.read, "read", "", "read a filled-in table instead")
	cmd.Flags().StringVar(&f.learn, "learn", "", "with --read: write the readings to this file as feint printer fit reads them")
	return cmd
}

func gaugeOnce(cmd *cobra.Command, s streams, path string, f *gaugeFlags) error {
	o, err := f.options(s)
	if err != nil {
		return err
	}
	bars := newBars(s.err)
	o.Progress = bars.show
	if f.list {
		out, err := pipeline.FindFits(cmd.Context(), path, o)
		bars.close()
		if err != nil {
			return err
		}
		return listFits(s, out)
	}
	g := pipeline.GaugeOptions{Fits: f.fits, Most: f.most, Gaps: f.gaps, Plain: f.plain}
	if len(f.fits) > 0 {
		g.Most = 0
	}
	if g.Settings, err = f.settings(cmd.Context(), filepath.Dir(path)); err != nil {
		return err
	}
	if f.to == "" {
		f.to = strings.TrimSuffix(filepath.Base(path), ".star") + "-gauges"
	}
	out, err := pipeline.CutGauges(cmd.Context(), path, o, g)
	bars.close()
	if err != nil {
		return err
	}
	for _, r := range out.Refused {
		fmt.Fprintf(s.out, "no gauge of %s in %s (%.2f mm per side): %s\n", out.Mechanism.Parts[r.Fit.Inner].Name, out.Mechanism.Parts[r.Fit.Outer].Name, r.Fit.Gap, r.Why)
	}
	names, err := out.WriteGauges(f.to, o)
	if err != nil {
		return err
	}
	for i := range out.Gauges {
		k := &out.Gauges[i]
		fmt.Fprintf(s.out, "%s\n  about %.0f minutes and %.1f g by feint's estimate, %d places\n", k.Title, k.Minutes, k.Grams, len(k.Places))
		for _, n := range k.Notes {
			fmt.Fprintf(s.out, "  %s\n", n)
		}
	}
	for _, n := range names {
		fmt.Fprintf(s.out, "wrote %s\n", filepath.Join(f.to, n))
	}
	_, err = fmt.Fprintf(s.out, "now: print them, fill in %s as %s tells, then\n  feint printer learn NAME %s --printer PRINTER --spool SPOOL\n",
		filepath.Join(f.to, "readings.csv"), filepath.Join(f.to, "what-to-do.txt"), filepath.Join(f.to, "readings.csv"))
	return err
}

func listFits(s streams, out *pipeline.GaugeOutcome) error {
	if len(out.Fits) == 0 {
		fmt.Fprintln(s.out, "no fit was found: nothing in this design slides within 0.6 mm per side")
		return nil
	}
	w := tabwriter.NewWriter(s.out, 0, 4, 2, ' ', 0)
	for i := range out.Fits {
		k := &out.Fits[i]
		kind, more := "between walls", ""
		if k.Round {
			kind = "in a round hollow"
		}
		if k.Alike > 0 {
			more = fmt.Sprintf("and %d alike", k.Alike)
		}
		fmt.Fprintf(w, "%d\t%s in %s\t%s, %.2f mm wide\t%.2f mm per side\t%.2f mm across\t%s\n", i+1,
			out.Mechanism.Parts[k.Inner].Name, out.Mechanism.Parts[k.Outer].Name, kind, k.Wide, k.Gap, 2*k.Gap, more)
	}
	return w.Flush()
}

func readGauge(s streams, f *gaugeFlags) error {
	table := f.read
	rs, err := pipeline.ReadGaugeReadings(table)
	if err != nil {
		return err
	}
	if len(rs) == 0 {
		return fmt.Errorf("%s: no row is filled in", table)
	}
	if f.learn != "" {
		if err := writeWhole(f.learn, func(w io.Writer) error { return gauge.WriteTable(w, rs) }); err != nil {
			return err
		}
	}
	w := tabwriter.NewWriter(s.out, 0, 4, 2, ' ', 0)
	for i := range rs {
		r := &rs[i]
		if g, sd, ok := r.Growth(); ok {
			fmt.Fprintf(w, "%s\t%s %s\tmeasured %.2f mm\tgrowth %+.3f mm a surface, +- %.3f\n", r.Gauge, r.Place.What, r.Place.Label, r.Measured, g, sd)
			continue
		}
		fmt.Fprintf(w, "%s\t%s %s\tfelt: %s\t%.2f mm per side\n", r.Gauge, r.Place.What, r.Place.Label, r.Felt, r.Place.Gap)
	}
	return w.Flush()
}
