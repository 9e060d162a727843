package main

import (
	"fmt"
	"math"

	"feint/internal/export"

	"github.com/spf13/cobra"
)

func newHandle(s streams) *cobra.Command {
	f := &struct {
		common
		json  bool
		shake []float64
	}{}
	cmd := &cobra.Command{
		Use:   "handle DESIGN",
		Short: "tell how the box stands up to hands: tilted, shaken, spun, knocked, forced",
		Long: `handle proves DESIGN and prints what handling does to it: what comes loose when it
is tilted, shaken at 3, 5 and 10 g, spun at 300 rpm and knocked as by a fall of 50 mm,
with the hand moving nothing; whether that reaches the goal, may let a step be left
out or only rattles; how much more it would take; and what gives way first. It asks
at the loose end of the growths, where parts have most room. Levels are by convention,
friction and strength from tables: all of it is an estimate.

The exit status is 0 if nothing of it may open the box or leave out a step, 1 if
something may, 2 if the input has a mistake and 3 if it is not known.`,
		Example: `  feint handle box.star
  feint handle box.star --shake 2.5
  feint handle box.star --growth -0.1..0.05 --json`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			o, err := f.options(s)
			if err != nil {
				return err
			}
			for _, g := range f.shake {
				if !(g > 0) || math.IsInf(g, 0) {
					return fmt.Errorf("--shake %g: give a shake greater than 0, in g, as in --shake 4", g)
				}
			}
			o.Handling, o.Shakes = true, f.shake
			out, err := proveQuietly(cmd.Context(), newBars(s.err), args[0], o)
			if err != nil {
				return err
			}
			if f.json {
				err = export.WriteHandlingJSON(s.out, out.Document)
			} else {
				err = export.Handling(s.out, out.Document, styleOf(s.out))
			}
			if err != nil {
				return err
			}
			switch {
			case out.Document.Handling == nil:
				return statusError(exitUndecided)
			case out.Document.Handling.Opened():
				return statusError(exitFault)
			}
			return nil
		},
	}
	f.add(cmd)
	cmd.Flags().Float64SliceVar(&f.shake, "shake", nil, "also ask shaking at so many g (again for more)")
	cmd.Flags().BoolVar(&f.json, "json", false, "print one JSON document, the field handling of prove --json")
	return cmd
}
