package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"

	"feint/internal/design"
	"feint/internal/logbook"
	"feint/internal/pipeline"

	"github.com/spf13/cobra"
)

func newRevisions(s streams) *cobra.Command {
	f := &logFlags{}
	cmd := &cobra.Command{
		Use:   "revisions DESIGN [BEFORE AFTER]",
		Short: "show the tree of a design's revisions, or what changed between two",
		Long: `revisions shows every revision of DESIGN that the logbook has, as a tree: which was made
from which, what each was to answer, what was proved of it and how its prints came out.
With two numbers it tells what changed from the one to the other: params, fit
window, moves, yield, grams, hours, outcomes and faults. A revision is kept by
feint log (when it is printed) or by feint prove --keep "what it is to answer"; what it
is to answer, and from which it was made, are changed with feint log edit revision.`,
		Example: `  feint revisions tower.star
  feint revisions tower.star 3 5`,
		Args: cobra.RangeArgs(1, 3),
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 2 {
				return errors.New("give two numbers of revisions to compare, or none")
			}
			start := "."
			if file := designFile(args[0]); file != "" {
				start = filepath.Dir(file)
			}
			return f.look(cmd.Context(), start, func(b *logbook.Book) error { return runRevisions(cmd.Context(), s, b, args) })
		},
	}
	cmd.Flags().StringVar(&f.dir, "logbook", "", "the workshop folder, if it is not the design's or one above it")
	return cmd
}

func runRevisions(ctx context.Context, s streams, b *logbook.Book, args []string) error {
	name := strings.TrimSuffix(filepath.Base(args[0]), ".star")
	id, err := logbook.Named[logbook.Design](ctx, b, name)
	if errors.Is(err, logbook.ErrNoSuch) {
		return fmt.Errorf("the logbook knows no design %q; feint log or feint prove --keep begins it", name)
	}
	if err != nil {
		return err
	}
	revs, err := logbook.Revisions(ctx, b, id)
	if err != nil {
		return err
	}
	if len(args) == 1 {
		writeTree(s.out, logbook.Tree(revs), styleOf(s.out).Unicode)
		for i := range slices.Backward(revs) {
			if r := &revs[i]; r.Question == "" {
				fmt.Fprintf(s.out, "to say what revision %d is to answer: feint log edit revision %d question=...\n", r.Number, r.ID)
				break
			}
		}
		return nil
	}
	before, err := numbered(revs, args[1])
	if err != nil {
		return err
	}
	after, err := numbered(revs, args[2])
	if err != nil {
		return err
	}
	if err := writeDeltas(s.out, before, after); err != nil {
		return err
	}
	for _, r := range []*logbook.SumOf{before, after} {
		if r.Yield == nil {
			fmt.Fprintln(s.out, yieldHint(args[0], r))
		}
	}
	return nil
}

// yieldHint says how the yield of a revision that has none is found: by a command
// where the design's file as it stands, with the params of the revision, is the
// revision, and else from which content.
func yieldHint(arg string, r *logbook.SumOf) string {
	if file := designFile(arg); file != "" {
		o, set := settingsOf(file, r.Params)
		if m, err := pipeline.Load(file, o); err == nil && m.SHA256 == r.SHA256 {
			return fmt.Sprintf("revision %d has no yield yet: feint yield %s%s", r.Number, file, set)
		}
	}
	return fmt.Sprintf("revision %d has no yield, and the file that is there is another by now: bring back the one whose design_sha256 (in feint prove --json) is %s, and ask feint yield", r.Number, r.SHA256)
}

func numbered(revs []logbook.SumOf, text string) (*logbook.SumOf, error) {
	n, err := strconv.Atoi(text)
	if err != nil {
		return nil, fmt.Errorf("%q is not the number of a revision", text)
	}
	for i := range revs {
		if revs[i].Number == n {
			return &revs[i], nil
		}
	}
	return nil, fmt.Errorf("there is no revision %d; the newest is %d", n, revs[len(revs)-1].Number)
}

// settingsOf are the params that a file must be given to have the values asked for,
// also as flags.
func settingsOf(file string, params map[string]float64) (o pipeline.Options, set string) {
	m, err := pipeline.Load(file, o)
	if err != nil {
		return o, "" // whoever loads it again tells
	}
	for i := range m.Params {
		p := &m.Params[i]
		if v, ok := params[p.Name]; ok && v != p.Value {
			k := design.Setting{Name: p.Name, Value: strconv.FormatFloat(v, 'g', -1, 64)}
			o.Set = append(o.Set, k)
			set += fmt.Sprintf(" --set %q", k.Name+"="+k.Value)
		}
	}
	return o, set
}

// writeTree draws the tree, two lines a revision.
func writeTree(w io.Writer, tree []logbook.Branch, unicode bool) {
	bar, tee, corner := "|  ", "+- ", "`- "
	if unicode {
		bar, tee, corner = "│  ", "├─ ", "└─ "
	}
	for i := range tree {
		t := &tree[i]
		var lead strings.Builder
		for _, last := range t.Last[1:max(1, t.Depth)] {
			lead.WriteString(pick(last, "   ", bar))
		}
		own, under := lead.String(), lead.String()
		if t.Depth > 0 {
			own += pick(t.Last[t.Depth], corner, tee)
			under += pick(t.Last[t.Depth], "   ", bar)
		}
		question := shown(t.Question)
		if question == "" {
			question = "(not said what it is to answer)"
		}
		fmt.Fprintf(w, "%s%d  %s  %s\n", own, t.Number, t.At.Format("2006-01-02"), question)
		if i+1 < len(tree) && tree[i+1].Depth > t.Depth {
			under += bar
		} else {
			under += "   "
		}
		fmt.Fprintf(w, "%s%s\n", under, shown(strings.Join(pipeline.RevisionWords(&t.SumOf), "; ")))
	}
}

func pick(yes bool, a, b string) string {
	if yes {
		return a
	}
	return b
}

func writeDeltas(w io.Writer, before, after *logbook.SumOf) error {
	fmt.Fprintf(w, "revision %d (%s) to revision %d (%s)\n", before.Number, before.At.Format("2006-01-02"), after.Number, after.At.Format("2006-01-02"))
	ds := logbook.Compare(before, after)
	if len(ds) == 0 {
		_, err := fmt.Fprintln(w, "nothing that the logbook knows of has changed but the content of the design")
		return err
	}
	t := tabwriter.NewWriter(w, 0, 4, 2, ' ', 0)
	group := ""
	for i := range ds {
		d := &ds[i]
		if d.Group != group {
			group = d.Group
			fmt.Fprintf(t, "%s\n", group)
		}
		fmt.Fprintf(t, "  %s\t%s\t->\t%s\t%s\n", shown(d.Name), dash(d.Before), dash(d.After), d.Change)
	}
	return t.Flush()
}

func dash(s string) string {
	if s == "" {
		return "-"
	}
	return shown(s)
}
