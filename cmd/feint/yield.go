package main

import (
	"context"
	"fmt"
	"path/filepath"

	"feint/internal/pipeline"
	"feint/internal/printed"

	"github.com/spf13/cobra"
)

type yieldFlags struct {
	common
	on     string
	prints int
	given  bool // prints are
	seed   uint64
	solves float64
	firm   bool
	apart  bool
	try    bool
	tries  int
	json   bool
}

func newYield(s streams) *cobra.Command {
	f := &yieldFlags{}
	cmd := &cobra.Command{
		Use:   "yield DESIGN",
		Short: "foretell how many copies will work on a printer",
		Long: `yield draws virtual prints of DESIGN from what is known of a printer (growth in
plane and in height, bores and pegs by size, whole layers, flare, shrink, seam,
oval) and judges each: works, binds, or lets a step be left out. It tells which pair
of parts is to blame, what becomes of the print at the corners of the model, and at
which print scales the box still works.

Where weight, contact, springs or tools move parts a looser print is not always the
easier one. What falls and is pushed is then followed for every print by itself, on the
meshes and with the clearances that its pairs need; that takes a tenth of a second a
print and more, so fewer are drawn unless --prints says otherwise. Springs, detents and
magnets do not grow with a print, so of such boxes no print scale is told.

What is known of printers stands in printers.toml in the design's folder or one
above it; --printer names the setting, else the one that the file prefers is meant
(feint printer prefer). Without one the printer counts as unknown.
See "feint printer" and docs/printing.md.

--try changes params a little up and down, one at a time, and judges 500 of the same
prints again (150 where each is followed by itself), more roughly than above: first
those that change parts at which prints fail. What was not tried is told.`,
		Example: `  feint yield box.star
  feint yield box.star --printer "kitchen, white PLA" --prints 10000
  feint yield box.star --set "side gap=0.3" --try`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			f.given = cmd.Flags().Changed("prints")
			return runYield(cmd.Context(), s, args[0], f)
		},
	}
	fl := cmd.Flags()
	fl.StringArrayVar(&f.set, "set", nil, `give a param another value: --set "side gap=0.3" (again for more)`)
	offer(cmd, "set", ofDesign(cobra.ShellCompDirectiveNoSpace, settings))
	fl.IntVar(&f.workers, "workers", 0, "processors to use (0: all)")
	fl.BoolVar(&f.fresh, "fresh", false, "compute everything anew, keep nothing")
	addPrinter(cmd, &f.on, " (default: the one that the file prefers, else the unknown printer)")
	fl.IntVar(&f.prints, "prints", 0, fmt.Sprintf("how many prints to draw (default %d, or %d where more than the hand moves parts)", pipeline.DefaultPrints, pipeline.DirectedPrints))
	fl.Uint64Var(&f.seed, "seed", 1, "which prints to draw")
	fl.Float64Var(&f.solves, "solves", 0, "how often the box has been solved (wear)")
	fl.BoolVar(&f.firm, "firm", false, "a firm hand, to which surfaces yield")
	fl.BoolVar(&f.apart, "apart", false, "every part is printed by itself, not all in one print")
	fl.BoolVar(&f.try, "try", false, "also try which one param change wins most (slow: each value is learnt anew)")
	fl.IntVar(&f.tries, "tries", pipeline.DefaultTries, "how many values --try tries at most, those at which the failures point first")
	fl.BoolVar(&f.json, "json", false, "print one JSON document instead of words")
	f.growth = "-0.05..0.05"
	return cmd
}

func runYield(ctx context.Context, s streams, path string, f *yieldFlags) error {
	if f.given && f.prints < 1 || f.prints > mostPrints {
		return fmt.Errorf("--prints %d: draw between 1 and %d", f.prints, mostPrints)
	}
	if f.tries < 1 {
		return fmt.Errorf("--tries %d: try at least one", f.tries)
	}
	if !(f.solves >= 0 && f.solves <= 1e6) {
		return fmt.Errorf("--solves %g: between 0 and a million", f.solves)
	}
	o, err := f.options(s)
	if err != nil {
		return err
	}
	y := pipeline.YieldOptions{Count: f.prints, Seed: f.seed, Apart: f.apart, Try: f.try, Tries: f.tries, Use: printed.Use{Solves: f.solves, Firm: f.firm}}
	if y.Model, err = pipeline.NamedPrinter(filepath.Dir(path), f.on); err != nil {
		return err
	}
	bars := newBars(s.err)
	o.Progress = bars.show
	out, err := pipeline.Yield(ctx, path, o, y)
	bars.close()
	if ctx.Err() != nil {
		return context.Canceled
	}
	if err != nil {
		return err
	}
	keepYield(ctx, s, path, out.Document())
	if f.json {
		return out.Document().WriteJSON(s.out)
	}
	return out.Document().WriteWords(s.out)
}

// mostPrints is a limit of memory: a print takes some hundred bytes a pair.
const mostPrints = 1_000_000

// readSettings reads the nearest printers.toml; file is "" if there is none.
func readSettings(dir string) (ms []*printed.Model, file string, err error) {
	return pipeline.FindPrinters(dir)
}
