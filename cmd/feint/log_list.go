package main

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"
	"unicode/utf8"

	"feint/internal/logbook"
	"feint/internal/verdict/wording"

	"github.com/spf13/cobra"
)

// shown is text from a logbook, fit for a terminal.
func shown(s string) string {
	if s == "" {
		return ""
	}
	return wording.Name(s)
}

func newLogList(s streams, f *logFlags) *cobra.Command {
	var last int
	var csv bool
	cmd := &cobra.Command{
		Use:   "list KIND",
		Short: "list the records of a kind",
		Long: `list shows the records of a kind: ` + strings.Join(logbook.Kinds(), ", ") + `.
With --csv it writes the table (` + strings.Join(logbook.Tables(), ", ") + `)
whole, as comma-separated values.`,
		Example: `  feint log list faults
  feint log list readings --csv >readings.csv`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			return f.look(cmd.Context(), ".", func(b *logbook.Book) error {
				if csv {
					return b.CSV(cmd.Context(), s.out, args[0])
				}
				rows, err := logbook.List(cmd.Context(), b, args[0], last)
				if err != nil {
					return err
				}
				return writeRows(s.out, rows)
			})
		},
	}
	cmd.Flags().IntVar(&last, "last", 30, "how many, the newest (0: all)")
	cmd.Flags().BoolVar(&csv, "csv", false, "the whole table as comma-separated values")
	return cmd
}

// widest is how many letters of a field a list shows; feint log show has them all.
const widest = 40

// writeRows shows the columns in which any row has something.
func writeRows(w io.Writer, rows [][]logbook.Field) error {
	if len(rows) == 0 {
		_, err := fmt.Fprintln(w, "none")
		return err
	}
	var used []int
	for i := range rows[0] {
		if slices.ContainsFunc(rows, func(r []logbook.Field) bool { return r[i].Value != "" }) {
			used = append(used, i)
		}
	}
	cells, wide := make([]string, 0, len(used)*(1+len(rows))), make([]int, len(used))
	line := func(cell func(i int) string) {
		for k, i := range used {
			c := cell(i)
			cells, wide[k] = append(cells, c), max(wide[k], utf8.RuneCountInString(c))
		}
	}
	line(func(i int) string { return rows[0][i].Name })
	for _, r := range rows {
		line(func(i int) string { return shortened(shown(r[i].Value)) })
	}
	out := bufio.NewWriter(w)
	for at := 0; at < len(cells); at += len(used) {
		for k, c := range cells[at : at+len(used)] {
			_, _ = out.WriteString(c) // Flush tells
			if k+1 < len(used) {
				for n := utf8.RuneCountInString(c); n < wide[k]+2; n++ {
					_ = out.WriteByte(' ')
				}
			}
		}
		_ = out.WriteByte('\n')
	}
	return out.Flush()
}

// shortened is what a list shows of a field.
func shortened(s string) string {
	if len(s) <= widest {
		return s
	}
	if r := []rune(s); len(r) > widest {
		return string(r[:widest-3]) + "..."
	}
	return s
}

func newLogShow(s streams, f *logFlags) *cobra.Command {
	return &cobra.Command{
		Use:     "show KIND NUMBER|NAME",
		Short:   "show a record and what it was before",
		Example: "  feint log show trial 7",
		Args:    cobra.ExactArgs(2),
		RunE: func(cmd *cobra.Command, args []string) error {
			return f.look(cmd.Context(), ".", func(b *logbook.Book) error {
				id, err := logbook.Identify(cmd.Context(), b, args[0], args[1])
				if err != nil {
					return err
				}
				fields, past, err := logbook.Show(cmd.Context(), b, args[0], id)
				if err != nil {
					return err
				}
				t := tabwriter.NewWriter(s.out, 0, 4, 2, ' ', 0)
				for _, k := range fields {
					fmt.Fprintf(t, "%s\t%s\n", k.Name, shown(k.Value))
				}
				if err := t.Flush(); err != nil {
					return err
				}
				if err := writePast(s.out, past); err != nil {
					return err
				}
				groups, err := logbook.Belonging(cmd.Context(), b, args[0], id)
				if err != nil {
					return err
				}
				for _, g := range groups {
					fmt.Fprintf(s.out, "\n%s of it:\n", wording.Count(len(g.Rows), g.Kind))
					if err := writeRows(s.out, g.Rows); err != nil {
						return err
					}
				}
				return nil
			})
		},
	}
}

// writePast tells what changed, the newest first.
func writePast(w io.Writer, past []logbook.Was) error {
	for _, p := range past {
		by := fmt.Sprintf("deed %d", p.Deed)
		if p.Deed == 0 {
			by = "another program"
		}
		line := p.Act + " by " + by
		var was []string
		for _, f := range p.Before {
			was = append(was, f.Name+" "+orNothing(shown(f.Value)))
		}
		if len(was) > 0 {
			line += "; before: " + strings.Join(was, ", ")
		}
		if _, err := fmt.Fprintln(w, line); err != nil {
			return err
		}
	}
	return nil
}

func orNothing(s string) string {
	if s == "" {
		return "(empty)"
	}
	return s
}

func newLogHistory(s streams, f *logFlags) *cobra.Command {
	var last int
	cmd := &cobra.Command{
		Use:   "history",
		Short: "list what was done to the logbook",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return f.look(cmd.Context(), ".", func(b *logbook.Book) error {
				ds, err := logbook.Deeds(cmd.Context(), b, last)
				if err != nil {
					return err
				}
				slices.Reverse(ds)
				for i := range ds {
					d := &ds[i]
					mark := ""
					if d.Undone != 0 {
						mark = fmt.Sprintf("  (undone by deed %d)", d.Undone)
					}
					fmt.Fprintf(s.out, "%5d  %s  %s: %s%s\n", d.ID, d.At.Format("2006-01-02 15:04"), wording.Count(d.Rows, "row"), shown(d.What), mark)
				}
				return nil
			})
		},
	}
	cmd.Flags().IntVar(&last, "last", 30, "how many, the newest (0: all)")
	return cmd
}

func newLogExamine(s streams, f *logFlags) *cobra.Command {
	return &cobra.Command{
		Use:   "examine",
		Short: "look for damage in the logbook and its photos",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return f.look(cmd.Context(), ".", func(b *logbook.Book) error {
				found, err := b.Examine(cmd.Context())
				if err != nil {
					return err
				}
				for _, line := range found {
					fmt.Fprintln(s.out, line)
				}
				if len(found) > 0 {
					return statusError(exitFault)
				}
				fmt.Fprintln(s.out, "the logbook and its photos are whole")
				return nil
			})
		},
	}
}
