package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"feint/internal/cache"
	"feint/internal/design"
	"feint/internal/export"
	"feint/internal/pipeline"
	"feint/internal/verdict"
	"feint/internal/verdict/finding"

	"github.com/spf13/cobra"
)

// proveFlags are the flags of "feint prove".
type proveFlags struct {
	common
	keepFlags
	json   bool
	all    bool
	try    string
	flare  bool
	report string
	watch  bool
	on     string
}

// defaultGrowth is the growths asked where nothing else is.
const defaultGrowth = "-0.05..0.05"

// common are the flags that every command which reads a design takes.
type common struct {
	set     []string
	growth  string
	workers int
	fresh   bool
}

func (c *common) add(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringArrayVar(&c.set, "set", nil, `give a param another value: --set "side gap=0.3" (again for more)`)
	f.StringVar(&c.growth, "growth", defaultGrowth, "print growths asked, mm a surface, loose..tight")
	f.IntVar(&c.workers, "workers", 0, "processors to use (0: all)")
	f.BoolVar(&c.fresh, "fresh", false, "compute everything anew, keep nothing")
	offer(cmd, "set", ofDesign(cobra.ShellCompDirectiveNoSpace, settings))
	cmd.ValidArgsFunction = completeDesign
}

// options turns the flags into the pipeline's options.
func (c *common) options(s streams) (pipeline.Options, error) {
	o := pipeline.Options{Workers: c.workers, Now: time.Now, Version: version()}
	for _, t := range c.set {
		k, err := design.ParseSetting(t)
		if err != nil {
			return o, err
		}
		o.Set = append(o.Set, k)
	}
	var err error
	if o.Growth, err = parseGrowth(c.growth); err != nil {
		return o, err
	}
	if !c.fresh {
		o.Cache = openCache(s)
	}
	return o, nil
}

// parseGrowth reads "lo..hi", mm.
func parseGrowth(t string) (g [2]float64, err error) {
	lo, hi, ok := strings.Cut(t, "..")
	if ok {
		var e1, e2 error
		g[0], e1 = strconv.ParseFloat(strings.TrimSpace(lo), 64)
		g[1], e2 = strconv.ParseFloat(strings.TrimSpace(hi), 64)
		ok = e1 == nil && e2 == nil && g[0] <= 0 && g[1] >= 0 && g[0] >= -1 && g[1] <= 1 && g[0] < g[1]
	}
	if !ok {
		return g, fmt.Errorf("--growth %q: write loose..tight in mm a surface, such as -0.05..0.05; 0 must lie within or at one end, the ends must differ, and neither lie beyond 1 mm", t)
	}
	return g, nil
}

// openCache opens the user's cache; without one feint works, only slower.
func openCache(s streams) *cache.Store {
	dir := os.Getenv("FEINT_CACHE")
	if dir == "" {
		base, err := os.UserCacheDir()
		if err != nil {
			return nil
		}
		dir = filepath.Join(base, "feint")
	}
	store, err := cache.Open(dir, 0)
	if err != nil {
		fmt.Fprintf(s.err, "feint: %v; going on without it\n", err)
		return nil
	}
	return store
}

func newProve(s streams) *cobra.Command {
	f := &proveFlags{}
	cmd := &cobra.Command{
		Use:   "prove DESIGN",
		Short: "tell whether the box opens, only as meant, and at which print sizes",
		Long: `prove reads DESIGN (a .star file), builds its parts, maps the clearance of every
pair and searches the motion; then it prints the verdict, the moves of the
shortest way, the fit window, the steps and the findings.

With --printer, or where printers.toml prefers one (feint printer prefer), prove also
foretells how many copies will work on it, and asks the growths of 19 of 20 of its
prints unless --growth says otherwise. The first time takes longer: the design is
learnt for that printer.

Where the folder, or one above it, has a logbook (feint log), prove also asks the
standing checks of the design and says which old fault would come back. In a logbook
that you have written into yourself it keeps what was proved; --keep keeps the
revision as well.

Of a finding that a param cures, prove says which and by how small a change, found
by trying. By default it tries what takes no more than a second or so: what a finding
of forces or of the print measures, and whether the way keeps its room. With --try it
tries every param on every finding, by whole proofs: minutes, on a large box more; with
--try=RULE,RULE only on the findings of those rules.

The exit status is 0 if it works, 1 if it does not work as meant or an old fault
would come back, 2 if the input has a mistake and 3 if the answer is undecided.`,
		Example: `  feint prove box.star
  feint prove box.star --set "side gap=0.3" --growth -0.08..0.08
  feint prove box.star --printer "kitchen, white PLA"
  feint prove box.star --report box.html --watch`,
		Args: cobra.ExactArgs(1),
		RunE: func(cmd *cobra.Command, args []string) error {
			o, err := f.options(s)
			if err != nil {
				return err
			}
			if err := forPrinter(cmd.Context(), args[0], f.on, cmd.Flags().Changed("growth"), &o); err != nil {
				return err
			}
			if o.Try, o.TryOnly, err = f.tries(); err != nil {
				return err
			}
			if o.Flare = f.flare; f.flare && f.asked() {
				return errors.New("--keep keeps what is proved of a design as drawn; leave --flare out")
			}
			if f.watch {
				return watch(cmd.Context(), s, args[0], f, o)
			}
			return proveOnce(cmd.Context(), s, args[0], f, o)
		},
	}
	f.add(cmd)
	cmd.Flags().BoolVar(&f.json, "json", false, "print one JSON document instead of words")
	cmd.Flags().BoolVar(&f.flare, "flare", false, "ask of parts whose first layers flare, as the printer's do; nothing is kept in the logbook")
	cmd.Flags().BoolVar(&f.all, "all", false, "tell every finding in full, also what only advises on the print")
	cmd.Flags().StringVar(&f.try, "try", "", "try every param on every finding, or on those of some `rules` (--try=climb,shake-open), by whole proofs, however long it takes")
	cmd.Flags().Lookup("try").NoOptDefVal = tryAll
	cmd.Flags().StringVar(&f.report, "report", "", "also write a self-contained HTML page to this file")
	cmd.Flags().BoolVar(&f.watch, "watch", false, "prove again whenever the design or a file it names changes")
	addPrinter(cmd, &f.on, " on which copies are foretold (default: the one that the file prefers; none: no printer)")
	_ = cmd.MarkFlagFilename("report", "html")
	f.addKeep(cmd)
	return cmd
}

// tryAll is the value of --try without one.
const tryAll = "all"

// tries reads --try: whether params are tried, and on which rules' findings, nil for all.
func (f *proveFlags) tries() (bool, []string, error) {
	switch f.try {
	case "":
		return false, nil, nil
	case tryAll:
		return true, nil, nil
	}
	var only []string
	for _, name := range strings.Split(f.try, ",") {
		name = strings.TrimSpace(name)
		if !slices.ContainsFunc(verdict.Rules(), func(r finding.Rule) bool { return r.Name == name }) {
			return false, nil, fmt.Errorf("--try=%s: no rule is called %q; feint explain lists them", f.try, name)
		}
		only = append(only, name)
	}
	return true, only, nil
}

// again is the command line that proves a design with the same settings.
func (f *proveFlags) again(path string) string {
	line := "feint prove " + shellWord(path)
	for _, k := range f.set {
		line += " --set " + shellWord(k)
	}
	if f.growth != defaultGrowth {
		line += " --growth " + f.growth
	}
	if f.on != "" {
		line += " --printer " + shellWord(f.on)
	}
	return line
}

// shellWord quotes a word where a shell would not take it as one.
func shellWord(s string) string {
	plain := func(r rune) bool {
		return unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune("-_./=+:,@", r)
	}
	if s != "" && strings.IndexFunc(s, func(r rune) bool { return !plain(r) }) < 0 {
		return s
	}
	if !strings.ContainsAny(s, "\"$`\\!") {
		return `"` + s + `"`
	}
	return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'"
}

// proveOnce proves and prints; the verdict's exit status comes back as an error.
func proveOnce(ctx context.Context, s streams, path string, f *proveFlags, o pipeline.Options) error {
	if err := f.readyToKeep(path); err != nil {
		return err
	}
	style := styleOf(s.out)
	style.All, style.Again = f.all, f.again(path)
	tell, b := &teller{out: s.out, style: style}, newBars(s.err)
	if !f.json {
		_, watched := asTerminal(s.out)
		o.Asked = func(out *pipeline.Outcome) {
			if watched || out.Document.ExitStatus == exitFine { // of a fault the growth is still found more exactly
				b.clear()
				tell.head(out.Document)
			}
		}
		o.Early = func(out *pipeline.Outcome) { b.clear(); tell.verdict(out.Document) }
	}
	out, err := proveQuietly(ctx, b, path, o)
	if err := errors.Join(err, tell.err); err != nil {
		return err
	}
	remembered := ""
	if !f.flare { // of which the logbook's checks and records do not tell
		if e := out.Document.Expected; e != nil && e.Yield != nil {
			keepYield(ctx, s, path, e.Yield)
		}
		if remembered, err = f.askLogbook(ctx, s, path, out.Document); err != nil {
			return err
		}
	}
	if f.report != "" {
		printers, _, err := readSettings(filepath.Dir(path))
		if err != nil {
			return err
		}
		err = writeWhole(f.report, func(w io.Writer) error { return out.WriteReport(ctx, w, pipeline.OnScale(printers)) })
		if err != nil {
			return fmt.Errorf("report: %w", err)
		}
	}
	if f.json {
		err = export.WriteJSON(s.out, out.Document)
	} else {
		err = export.TerminalFindings(s.out, out.Document, style)
	}
	if err != nil {
		return err
	}
	if f.report != "" && !f.json {
		fmt.Fprintf(s.out, "\nreport: %s\n", f.report)
	}
	if !f.json {
		fmt.Fprint(s.out, remembered)
	}
	if code := out.Document.ExitStatus; code != exitFine {
		return statusError(code)
	}
	return nil
}

// teller prints an answer as it comes to stand.
type teller struct {
	out   io.Writer
	style export.Style
	told  string // the head as it was printed
	err   error  // the first that was met
}

// head prints the verdict in a sentence, once, or anew if more is known of it.
func (t *teller) head(d *export.Document) {
	var b strings.Builder
	t.err = errors.Join(t.err, export.TerminalHead(&b, d, t.style))
	if b.String() == t.told {
		return
	}
	if t.told != "" {
		fmt.Fprintln(t.out)
	}
	t.told = b.String()
	_, err := io.WriteString(t.out, t.told)
	t.err = errors.Join(t.err, err)
}

// verdict prints it with what leads to it.
func (t *teller) verdict(d *export.Document) {
	t.head(d)
	t.err = errors.Join(t.err, export.TerminalVerdict(t.out, d, t.style))
}

// proveQuietly proves with progress bars on a terminal.
func proveQuietly(ctx context.Context, b *bars, path string, o pipeline.Options) (*pipeline.Outcome, error) {
	o.Progress = b.show
	out, err := pipeline.Prove(ctx, path, o)
	b.close()
	if ctx.Err() != nil {
		return nil, context.Canceled
	}
	return out, err
}

// writeWhole writes a file beside its place and renames it, so that it is there
// whole or not at all.
func writeWhole(path string, write func(io.Writer) error) error {
	f, err := os.CreateTemp(filepath.Dir(path), ".feint-*")
	if err != nil {
		return err
	}
	err = write(f)
	if err == nil {
		err = f.Chmod(0o644)
	}
	err = errors.Join(err, f.Close())
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	return nil
}
