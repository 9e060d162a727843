package main

import (
	"context"
	"errors"
	"fmt"
	"io"

	"feint/internal/logbook"
	"feint/internal/pipeline"

	"github.com/spf13/cobra"
)

func newLogReadings(s streams, f *logFlags) *cobra.Command {
	var on [4]string
	cmd := &cobra.Command{
		Use:   "readings FILE",
		Short: "write the readings of a printer as feint printer fit learns from them",
		Long: `readings writes the sizes and fits read on the prints of a printer, a nozzle, a spool
and a profile (each may be left out) as the table from which feint printer fit learns.
FILE may be - for the standard output. Readings of slots, and sizes measured without the
drawn one, are left out and counted.`,
		Example: `  feint log readings kestrel.csv --printer Kestrel --spool red
  feint printer fit "Kestrel, red" kestrel.csv`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return f.look(cmd.Context(), ".", func(b *logbook.Book) error {
				setup, err := setupNamed(cmd.Context(), b, on)
				if err != nil {
					return err
				}
				rs, err := logbook.ReadingsWith(cmd.Context(), b, setup)
				if err != nil {
					return err
				}
				left := 0
				write := func(w io.Writer) (err error) { left, err = logbook.ReadingsTable(w, rs); return err }
				if args[0] == "-" {
					return write(s.out)
				}
				if err := writeWhole(args[0], write); err != nil {
					return err
				}
				fmt.Fprintf(s.out, "wrote %d readings to %s, left out %d\n", len(rs)-left, args[0], left)
				return nil
			})
		},
	}
	addSetup(cmd, &on)
	return cmd
}

func addSetup(cmd *cobra.Command, on *[4]string) {
	for i, kind := range []string{"printer", "nozzle", "spool", "profile"} {
		cmd.Flags().StringVar(&on[i], kind, "", "only prints with this "+kind)
	}
}

func newLogPace(s streams, f *logFlags) *cobra.Command {
	var on [4]string
	cmd := &cobra.Command{
		Use:   "pace",
		Short: "learn from the prints how long a printer takes",
		Long: `pace fits how the minutes of a printer follow those that feint foretells: a start that
every print takes beside, and a factor. It takes the prints of whole boxes as drawn
whose minutes are in the logbook and for whose revision feint printing was asked after
it was proved. What it finds is given to feint printing and feint gauge.`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return f.look(cmd.Context(), ".", func(b *logbook.Book) error {
				setup, err := setupNamed(cmd.Context(), b, on)
				if err != nil {
					return err
				}
				fit, n, err := pipeline.LearnPace(cmd.Context(), b, setup)
				if err != nil {
					return err
				}
				if n == 0 {
					return errors.New("no print has both its minutes and what was foretold; prove the design, ask feint printing, and log how long the print took")
				}
				fmt.Fprintf(s.out, "from %d prints: %.1f +-%.1f min for the start, %.3f +-%.3f times the model; single prints lie %.1f min off\nuse: --pace-start %.1f --pace %.3f\n",
					n, fit.Start, fit.StartError, fit.Factor, fit.FactorError, fit.Spread, fit.Start, fit.Factor)
				return nil
			})
		},
	}
	addSetup(cmd, &on)
	return cmd
}

func setupNamed(ctx context.Context, b *logbook.Book, on [4]string) (out logbook.Setup, err error) {
	if on[0] != "" {
		if out.Printer, err = logbook.Named[logbook.Printer](ctx, b, on[0]); err != nil {
			return out, err
		}
	}
	if on[1] != "" {
		if out.Nozzle, err = logbook.Named[logbook.Nozzle](ctx, b, on[1]); err != nil {
			return out, err
		}
	}
	if on[2] != "" {
		if out.Spool, err = logbook.Named[logbook.Spool](ctx, b, on[2]); err != nil {
			return out, err
		}
	}
	if on[3] != "" {
		out.Profile, err = logbook.Named[logbook.Profile](ctx, b, on[3])
	}
	return out, err
}
