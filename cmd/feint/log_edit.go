package main

import (
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"feint/internal/logbook"

	"github.com/spf13/cobra"
)

func newLogStart(s streams) *cobra.Command {
	return &cobra.Command{
		Use:   "start [FOLDER]",
		Short: "begin a logbook in a workshop folder",
		Long: `start begins a logbook in FOLDER (the present one if left out). It serves every
design in that folder and below it. The logbook is one file, logbook.sqlite, with its
photos in logbook-photos beside it; copy both to keep them safe.`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			dir := "."
			if len(args) > 0 {
				dir = args[0]
			}
			if above, ok := logbook.Find(dir); ok {
				return fmt.Errorf("%s has a logbook, which serves the folders below it as well", above)
			}
			b, err := logbook.Create(cmd.Context(), dir, logbook.Options{Now: time.Now})
			if err != nil {
				return err
			}
			err = markOwn(cmd.Context(), b)
			fmt.Fprintf(s.out, "begun: %s\nnow: feint log add printer NAME, then feint log DESIGN 95 min, 41 g\n", b.Dir())
			return errors.Join(err, b.Close())
		},
	}
}

func newLogAdd(s streams, f *logFlags) *cobra.Command {
	return &cobra.Command{
		Use:   "add KIND [NAME] [FIELD=VALUE...]",
		Short: "add a printer, a spool or any other record",
		Long: `add puts a record into the logbook. KIND is one of ` + strings.Join(logbook.Kinds(), ", ") + `.
Fields are those that feint log list KIND shows. In the place of a number a
printer, nozzle, spool, profile or design can be given by its name.`,
		Example: `  feint log add printer Kestrel bed_x=220 bed_y=220 height=250
  feint log add spool red material=PLA density=1.24
  feint log add reading trial=7 kind=bore feature="ring 3" nominal=12 measured=11.86 uncertainty=0.02`,
		Args: cobra.MinimumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			settings := args[1:]
			if len(settings) > 0 && !strings.Contains(settings[0], "=") {
				settings = append([]string{"name=" + settings[0]}, settings[1:]...)
			}
			return f.with(cmd.Context(), ".", func(b *logbook.Book) error {
				var id logbook.ID
				deed, err := b.Do(cmd.Context(), "add "+strings.Join(args, " "), func(t *logbook.Tx) (err error) {
					id, err = logbook.AddKind(cmd.Context(), t, args[0], settings)
					return err
				})
				if err == nil {
					fmt.Fprintf(s.out, "added %s %d (deed %d)\n", args[0], id, deed)
				}
				return err
			})
		},
	}
}

func newLogEdit(s streams, f *logFlags) *cobra.Command {
	return &cobra.Command{
		Use:   "edit KIND NUMBER|NAME FIELD=VALUE...",
		Short: "change a record; what it was is kept",
		Long: `edit changes fields of a record; FIELD= with nothing after it empties the field.
What the record was stays in the history (feint log show KIND NUMBER).`,
		Example: `  feint log edit trial 7 minutes=102 outcome=works
  feint log edit fault 3 cause="flare of the first layers" cure="relief of 0.4 mm" cured_in=9
  feint log edit check 2 rests=yes
  feint log edit spool "white PLA" retired=yes`,
		Args: cobra.MinimumNArgs(3),
		RunE: func(cmd *cobra.Command, args []string) error {
			return f.with(cmd.Context(), ".", func(b *logbook.Book) error {
				id, err := logbook.Identify(cmd.Context(), b, args[0], args[1])
				if err != nil {
					return err
				}
				deed, err := b.Do(cmd.Context(), "edit "+strings.Join(args, " "), func(t *logbook.Tx) error {
					return logbook.EditKind(cmd.Context(), t, args[0], id, args[2:])
				})
				return told(s, deed, err, "changed %s %d", args[0], id)
			})
		},
	}
}

func newLogDrop(s streams, f *logFlags) *cobra.Command {
	return &cobra.Command{
		Use:   "drop KIND NUMBER|NAME",
		Short: "remove a record; the history keeps it",
		Long: `drop removes a record, and with a trial its readings, parts, photos and faults. All of it
stays in the history, and feint log undo brings it back. What others refer to is
not removed: a printer that is gone is retired (feint log edit printer 1 retired=yes).`,
		Example: "  feint log drop trial 7",
		Args:    cobra.ExactArgs(2),
		RunE: func(cmd *cobra.Command, args []string) error {
			return f.with(cmd.Context(), ".", func(b *logbook.Book) error {
				id, err := logbook.Identify(cmd.Context(), b, args[0], args[1])
				if err != nil {
					return err
				}
				deed, err := b.Do(cmd.Context(), "drop "+strings.Join(args, " "), func(t *logbook.Tx) error {
					return logbook.DropKind(t, args[0], id)
				})
				return told(s, deed, err, "removed %s %d", args[0], id)
			})
		},
	}
}

func newLogUndo(s streams, f *logFlags) *cobra.Command {
	return &cobra.Command{
		Use:   "undo [DEED]",
		Short: "take back the last deed, or one by its number",
		Long: `undo takes back all that a deed added, changed and removed: without a number the
newest that is not taken back yet. An undoing can itself be undone by its number. It is
refused where a later deed built upon it.`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			var id logbook.ID
			if len(args) > 0 {
				var err error
				if id, err = recordNumber(args[0]); err != nil {
					return err
				}
			}
			return f.with(cmd.Context(), ".", func(b *logbook.Book) error {
				d, err := b.Undo(cmd.Context(), id)
				if err == nil {
					fmt.Fprintf(s.out, "taken back: deed %d, %s\n", d.ID, shown(d.What))
				}
				return err
			})
		},
	}
}

// told says what was done and under which number.
func told(s streams, deed logbook.ID, err error, format string, a ...any) error {
	switch {
	case err != nil:
		return err
	case deed == 0:
		fmt.Fprintln(s.out, "it is so already; nothing was changed")
	default:
		fmt.Fprintf(s.out, format+" (deed %d; feint log undo takes it back)\n", append(a, deed)...)
	}
	return nil
}

func recordNumber(text string) (logbook.ID, error) {
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil || n < 1 {
		return 0, fmt.Errorf("%q is not the number of a record", text)
	}
	return logbook.ID(n), nil
}

func newLogExport(s streams, f *logFlags) *cobra.Command {
	var bare bool
	cmd := &cobra.Command{
		Use:   "export FILE",
		Short: "write the whole logbook as JSON lines",
		Long: `export writes every record with its history, and the photos, as JSON lines: one JSON
value a line, the last with a checksum of all before it. FILE may be - for the standard
output. For one table as CSV see feint log list --csv.`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return f.look(cmd.Context(), ".", func(b *logbook.Book) error {
				if args[0] == "-" {
					return b.Dump(cmd.Context(), s.out, !bare)
				}
				return writeWhole(args[0], func(w io.Writer) error { return b.Dump(cmd.Context(), w, !bare) })
			})
		},
	}
	cmd.Flags().BoolVar(&bare, "no-photos", false, "leave the photos themselves out")
	return cmd
}
