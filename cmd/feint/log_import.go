package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"feint/internal/logbook"
	"feint/internal/verdict/wording"

	"github.com/spf13/cobra"
)

func newLogImport(s streams, f *logFlags) *cobra.Command {
	o := logbook.MergeOptions{}
	var prefer string
	cmd := &cobra.Command{
		Use:   "import FILE [FOLDER]",
		Short: "take in what feint log export wrote: a logbook of its own, or into the one that is there",
		Long: `import takes FILE, which feint log export wrote (- is the standard input), into the
logbook of FOLDER; left out, into that of the present folder or one above it. Where there
is none it makes one. It is done whole or not at all.

If FILE is the same logbook further on, its deeds are taken over as they are. Otherwise
the import is one deed, which feint log undo takes back:
  - What is here already is not added again: it is known by where it came from, printers,
    spools, designs and the like by their name, revisions by their content, everything
    else by being alike in every field. The same import twice adds nothing.
  - Of a record that was changed since both were alike, each field is taken from the side
    that changed it; what was removed on one side and not touched on the other is removed.
    What a record was stays in the history.
  - Where the two contradict each other nothing is imported, and every place is named.
    --prefer here or --prefer file then says which side is right.
A revision whose number is taken gets the next one. What the other logbook has of its
own history is not taken over; keep FILE for that.`,
		Example: `  feint log import garage.jsonl --try
  feint log import garage.jsonl
  feint log import garage.jsonl --prefer here
  feint log import safe.jsonl ../workshop`,
		Args: cobra.RangeArgs(1, 2),
		RunE: func(cmd *cobra.Command, args []string) error {
			switch o.Prefer = logbook.Prefer(prefer); o.Prefer {
			case logbook.PreferNone, logbook.PreferHere, logbook.PreferFile:
			default:
				return fmt.Errorf("--prefer %q: say here (the logbook that is there) or file", prefer)
			}
			o.What = "import " + strings.Join(args, " ")
			in := s.in
			if args[0] != "-" {
				file, err := os.Open(args[0])
				if err != nil {
					return err
				}
				defer func() { _ = file.Close() }() // only read
				in = file
			}
			return importInto(cmd.Context(), s, importFolder(f, args), args[0], in, o)
		},
	}
	cmd.Flags().StringVar(&prefer, "prefer", "", "which side is right where they contradict each other: here or file")
	cmd.Flags().BoolVar(&o.Try, "try", false, "tell what would come of it and change nothing")
	return cmd
}

// importFolder is where an import goes.
func importFolder(f *logFlags, args []string) string {
	switch {
	case len(args) > 1:
		return args[1]
	case f.dir != "":
		return f.dir
	}
	if dir, ok := logbook.Find("."); ok {
		return dir
	}
	return "."
}

func importInto(ctx context.Context, s streams, dir, name string, in io.Reader, o logbook.MergeOptions) (err error) {
	if !exists(filepath.Join(dir, logbook.FileName)) {
		if o.Try {
			return fmt.Errorf("there is no logbook in %s; import makes one there, with all that is in the file", dir)
		}
		if err := logbook.Load(ctx, dir, in, logbook.Options{Now: time.Now}); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		b, err := logbook.Open(ctx, dir, logbook.Options{Now: time.Now})
		if err != nil {
			return err
		}
		err = markOwn(ctx, b)
		fmt.Fprintf(s.out, "made: %s\n", b.Dir())
		return errors.Join(err, b.Close())
	}
	b, err := logbook.Open(ctx, dir, logbook.Options{Now: time.Now})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, b.Close()) }()
	m, err := b.Merge(ctx, in, o)
	if c := (*logbook.ClashError)(nil); errors.As(err, &c) {
		return errors.New(clashWords(name, c.Clashes))
	}
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	tellMerged(s.out, b.Dir(), name, m, o)
	if o.Try {
		return nil
	}
	return markOwn(ctx, b)
}

// mostClashes is how many contradictions a refusal lists.
const mostClashes = 30

func clashWords(name string, all []logbook.Clash) string {
	var w strings.Builder
	for i, c := range all {
		if i == mostClashes {
			fmt.Fprintf(&w, "and %d more\n", len(all)-i)
			break
		}
		w.WriteString(clashLine(name, c) + "\n")
	}
	fmt.Fprintf(&w, `%s and the logbook contradict each other in %s, and nothing was imported. `+
		`Make them agree (feint log edit) and import again, or say which is right everywhere: --prefer here or --prefer file; what was here stays in the history`,
		name, wording.Count(len(all), "place"))
	return w.String()
}

func clashLine(name string, c logbook.Clash) string {
	if c.Line > 0 {
		return fmt.Sprintf("%s, line %d: %s", name, c.Line, shown(c.What))
	}
	return fmt.Sprintf("%s: %s", name, shown(c.What))
}

func tellMerged(w io.Writer, dir, name string, m *logbook.Merged, o logbook.MergeOptions) {
	if m.Older {
		fmt.Fprintf(w, "%s has all that is in %s already: it is the same logbook, as far or further on; nothing was changed\n", dir, name)
		return
	}
	would := ""
	if o.Try {
		would = "would be "
	}
	for _, k := range []struct {
		what string
		rows map[string]int
	}{{would + "added", m.Added}, {would + "changed", m.Changed}, {would + "removed", m.Removed}, {"left as here, where it was changed or removed since", m.Kept}} {
		if words := tableWords(k.rows); words != "" {
			fmt.Fprintf(w, "%s: %s\n", k.what, words)
		}
	}
	for _, c := range m.Clashes {
		fmt.Fprintf(w, "%s (%s is taken)\n", clashLine(name, c), pick(o.Prefer == logbook.PreferHere, "what is here", "the file"))
	}
	for _, n := range m.Notes {
		fmt.Fprintln(w, shown(n))
	}
	if m.Photos > 0 {
		fmt.Fprintf(w, "%s not in the file (it was exported without them) and not here\n", wording.Count(m.Photos, "photo"))
	}
	switch {
	case o.Try:
		fmt.Fprintln(w, "nothing was changed; without --try it is")
	case m.Whole:
		fmt.Fprintf(w, "%s now holds what the file holds, with all its deeds\n", dir)
	case m.Deed == 0:
		fmt.Fprintf(w, "%s has all of it already; nothing was changed\n", dir)
	case len(m.Added)+len(m.Changed)+len(m.Removed) == 0:
		fmt.Fprintf(w, "%s has all of it already; which records of the two are one was noted (deed %d)\n", dir, m.Deed)
	default:
		fmt.Fprintf(w, "%s: deed %d; feint log undo takes it back\n", dir, m.Deed)
	}
}

// tableWords counts rows by kind: "3 trials, 12 readings".
func tableWords(rows map[string]int) string {
	var out []string
	for _, t := range logbook.Tables() {
		if n := rows[t]; n > 0 && !slices.Contains([]string{"origins", "history", "deeds"}, t) {
			out = append(out, wording.Count(n, strings.TrimSuffix(strings.ReplaceAll(t, "_", " "), "s")))
		}
	}
	return strings.Join(out, ", ")
}
