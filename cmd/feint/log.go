package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"feint/internal/design"
	"feint/internal/logbook"
	"feint/internal/mechanism"
	"feint/internal/pipeline"
	"feint/internal/verdict/wording"

	"github.com/spf13/cobra"
)

// logFlags are the flags of all commands of the logbook.
type logFlags struct {
	dir string   // of the workshop; empty: found from where the design lies
	set []string // params of the design that was printed
}

func newLog(s streams) *cobra.Command {
	f := &logFlags{}
	cmd := &cobra.Command{
		Use:   "log [DESIGN [LINE...]]",
		Short: "keep and look up prints, readings, faults and solves in the workshop's logbook",
		Long: `log notes a print of DESIGN, or what became of it, in the logbook: one SQLite file in
the workshop folder (the design's folder or one above it; feint log start begins
one). Without words it shows the last prints.

` + logbook.LineHelp + `

What a line leaves out of printer, nozzle, spool and profile is as on the print before.
Misspelt words are read as the nearest and told; names are never guessed. Whatever was
noted can be changed (edit), removed (drop) and brought back (undo).`,
		Example: `  feint log start
  feint log add printer Kestrel bed_x=220 bed_y=220
  feint log tower.star on Kestrel, 95 min, 41 g
  feint log tower.star binds at ring 3, photo ring.jpg
  feint log stand 1 bind by 0.03`,
		Args:              cobra.ArbitraryArgs,
		PersistentPreRun:  func(*cobra.Command, []string) { roomy() },
		RunE:              func(cmd *cobra.Command, args []string) error { return runLog(cmd.Context(), s, f, args) },
		ValidArgsFunction: completeDesign,
	}
	cmd.PersistentFlags().StringVar(&f.dir, "logbook", "", "the workshop folder, if it is not the design's or one above it")
	cmd.Flags().StringArrayVar(&f.set, "set", nil, `the print had this param at another value: --set "side gap=0.3", before DESIGN`)
	cmd.Flags().SetInterspersed(false) // what follows the design are words, even "-0.1"
	_ = cmd.MarkPersistentFlagDirname("logbook")
	cmd.AddCommand(newLogStart(s), newLogAdd(s, f), newLogEdit(s, f), newLogDrop(s, f), newLogUndo(s, f),
		newLogList(s, f), newLogShow(s, f), newLogHistory(s, f), newLogStand(s, f), newLogReadings(s, f), newLogPace(s, f),
		newLogExport(s, f), newLogImport(s, f), newLogExamine(s, f))
	return cmd
}

// find is the folder of the logbook that is meant: the flag's, or start or one above it.
func (f *logFlags) find(start string) (string, error) {
	if f.dir != "" {
		return f.dir, nil
	}
	dir, ok := logbook.Find(start)
	if !ok {
		return "", fmt.Errorf("%w in %s or above it; feint log start %s begins one", logbook.ErrNone, start, start)
	}
	return dir, nil
}

// with opens a logbook to write into and closes it after the work. It is the user's
// from then on.
func (f *logFlags) with(ctx context.Context, start string, work func(*logbook.Book) error) error {
	dir, err := f.find(start)
	if err != nil {
		return err
	}
	b, err := logbook.Open(ctx, dir, logbook.Options{Now: time.Now})
	if err != nil {
		return err
	}
	err = markOwn(ctx, b)
	if err == nil {
		err = work(b)
	}
	return errors.Join(err, b.Close())
}

// look opens a logbook to read, and leaves no trace in one that is not the user's.
func (f *logFlags) look(ctx context.Context, start string, work func(*logbook.Book) error) error {
	dir, err := f.find(start)
	if err != nil {
		return err
	}
	b, _, err := openToLook(ctx, dir)
	if err != nil {
		return err
	}
	return errors.Join(work(b), b.Close())
}

// openToLook opens a logbook to read: as a file that others may be writing if it is
// the user's, and otherwise so that nothing is written, not even a lock.
func openToLook(ctx context.Context, dir string) (b *logbook.Book, own bool, err error) {
	b, err = logbook.Open(ctx, dir, logbook.Options{ReadOnly: true})
	if err != nil || !isOwn(ctx, b) {
		return b, false, err
	}
	if err := b.Close(); err != nil {
		return nil, true, err
	}
	b, err = logbook.Open(ctx, dir, logbook.Options{Now: time.Now})
	return b, true, err
}

func runLog(ctx context.Context, s streams, f *logFlags, args []string) error {
	if len(args) == 0 {
		return f.look(ctx, ".", func(b *logbook.Book) error { return recent(ctx, s.out, b) })
	}
	if len(args) == 2 && (args[1] == "--help" || args[1] == "-h") {
		_, err := fmt.Fprintln(s.out, logbook.LineHelp)
		return err
	}
	file := designFile(args[0])
	if len(args) == 1 && file == "" && !strings.HasSuffix(args[0], ".star") {
		return fmt.Errorf("%q is neither a design nor a command of feint log; see feint log --help", args[0])
	}
	start := "."
	if file != "" {
		start = filepath.Dir(file)
	}
	return f.with(ctx, start, func(b *logbook.Book) error {
		path, err := designPath(ctx, b, args[0])
		if err != nil {
			return err
		}
		return logLine(ctx, s, b, f, path, strings.Join(args[1:], " "))
	})
}

func exists(path string) bool {
	st, err := os.Stat(path)
	return err == nil && st.Mode().IsRegular()
}

// designFile is the file that arg names: itself, without its ".star", or of the same
// name in the folder arg, as feint new lays it; "" if there is none.
func designFile(arg string) string {
	for _, p := range []string{arg, arg + ".star", filepath.Join(arg, filepath.Base(arg)+".star")} {
		if exists(p) {
			return p
		}
	}
	return ""
}

// designPath finds the file of a design: designFile, or one that the logbook
// knows by name.
func designPath(ctx context.Context, b *logbook.Book, arg string) (string, error) {
	if p := designFile(arg); p != "" {
		return p, nil
	}
	id, err := logbook.Named[logbook.Design](ctx, b, strings.TrimSuffix(arg, ".star"))
	if errors.Is(err, logbook.ErrNoSuch) {
		return "", fmt.Errorf("there is no file %s, and the logbook knows no design of this name", arg)
	}
	if err != nil {
		return "", err
	}
	d, err := logbook.Get[logbook.Design](ctx, b, id)
	p := filepath.FromSlash(d.File)
	if !filepath.IsAbs(p) {
		p = filepath.Join(b.Dir(), p)
	}
	return p, err
}

// loadPrinted loads the design as it was printed.
func loadPrinted(path string, set []string) (*mechanism.Mechanism, error) {
	var o pipeline.Options
	for _, t := range set {
		k, err := design.ParseSetting(t)
		if err != nil {
			return nil, err
		}
		o.Set = append(o.Set, k)
	}
	return pipeline.Load(path, o)
}

func logLine(ctx context.Context, s streams, b *logbook.Book, f *logFlags, path, text string) error {
	m, err := loadPrinted(path, f.set)
	if err != nil {
		return err
	}
	p, steps, err := pipeline.LogbookPrint(ctx, b, path, m, func(path string) (io.ReadCloser, error) { return os.Open(path) })
	if err != nil {
		return err
	}
	line, err := logbook.Understand(ctx, b, p.Parts, steps, text, time.Now())
	if err != nil {
		return err
	}
	var e *logbook.Entered
	deed, err := b.Do(ctx, strings.TrimSpace("log "+m.Name+" "+text), func(t *logbook.Tx) (err error) {
		e, err = logbook.Enter(ctx, t, p, line)
		return err
	})
	if err != nil {
		return err
	}
	tellEntered(s.out, m.Name, line, e, deed)
	return nil
}

// tellEntered says what was understood, so that a slip is seen at once.
func tellEntered(w io.Writer, name string, l *logbook.Line, e *logbook.Entered, deed logbook.ID) {
	for _, r := range l.Read {
		fmt.Fprintf(w, "%s\n", wording.Name(r))
	}
	if deed == 0 {
		fmt.Fprintf(w, "trial %d has all this already; nothing was changed\n", e.Trial.ID)
		return
	}
	t := &e.Trial
	added := "added to"
	if e.Fresh {
		added = "new"
	}
	fmt.Fprintf(w, "%s trial %d: %s revision %d", added, t.ID, wording.Name(name), e.Revision.Number)
	if e.NewRev {
		fmt.Fprint(w, " (new)")
	}
	fmt.Fprintf(w, ", %s\n", t.At.Format("2 January 2006 15:04"))
	fmt.Fprintf(w, "  %s\n", strings.Join(trialWords(t, e.Setup, e.AsLast, e.Parts), "; "))
	for _, r := range l.Readings {
		fmt.Fprintf(w, "  %s\n", readingWords(&r))
	}
	for _, k := range l.Solves {
		fmt.Fprintf(w, "  %s\n", solveWords(&k))
	}
	if n := len(l.Photos); n > 0 {
		fmt.Fprintf(w, "  %s kept\n", wording.Count(n, "photo"))
	}
	if e.Fault != 0 && l.Place != "" && len(l.PlaceParts) == 0 {
		fmt.Fprintf(w, "  %s names no part of this design and is kept as it was said; feint log edit fault %d parts=PART ties it to one\n", wording.Quoted(l.Place), e.Fault)
	}
	if e.Fault != 0 {
		rule := pick(t.Outcome == logbook.Leaks, "leak", "bind")
		fmt.Fprintf(w, "  fault %d; to check every later revision for it: feint log stand %d %s by 0.03\n", e.Fault, e.Fault, rule)
	}
	fmt.Fprintf(w, "deed %d; feint log undo takes it back\n", deed)
}
