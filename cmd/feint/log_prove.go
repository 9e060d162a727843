package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"feint/internal/export"
	"feint/internal/logbook"
	"feint/internal/pipeline"

	"github.com/spf13/cobra"
)

// keepFlags are what a proof takes from the logbook and leaves in it.
type keepFlags struct {
	keep     string
	logFlags logFlags
	asked    func() bool // whether --keep was given at all
}

func (k *keepFlags) addKeep(cmd *cobra.Command) {
	cmd.Flags().StringVar(&k.keep, "keep", "", `keep this revision in the logbook: --keep "what it is to answer"`)
	cmd.Flags().StringVar(&k.logFlags.dir, "logbook", "", "the workshop folder, if it is not the design's or one above it")
	k.asked = func() bool { return cmd.Flags().Changed("keep") }
}

// readyToKeep refuses before a long proof what could not be kept after it.
func (k *keepFlags) readyToKeep(path string) error {
	if !k.asked() {
		return nil
	}
	_, err := k.logFlags.find(filepath.Dir(path))
	return err
}

// askLogbook asks the standing checks of the logbook beside a design, if there is
// one, and keeps the proof in it if it is the user's own or the user asks. A
// stranger's logbook is read and no more. The text is for the end of a page of words.
func (k *keepFlags) askLogbook(ctx context.Context, s streams, path string, d *export.Document) (string, error) {
	dir, err := k.logFlags.find(filepath.Dir(path))
	if errors.Is(err, logbook.ErrNone) {
		return "", nil
	}
	if err != nil {
		return "", err
	}
	b, own, err := openToLook(ctx, dir)
	if err == nil && k.asked() && !own {
		err = b.Close()
		if err == nil {
			b, err = logbook.Open(ctx, dir, logbook.Options{Now: time.Now})
		}
	}
	text := ""
	if err == nil {
		text, err = k.askBook(ctx, b, own, path, d)
		err = errors.Join(err, b.Close())
	}
	if err != nil && !k.asked() && k.logFlags.dir == "" {
		// the proof stands by itself; what a logbook found by chance lacks must not hide it
		fmt.Fprintf(s.err, "feint: the logbook could not be asked or kept: %v\n", err)
		return text, nil
	}
	return text, err
}

func (k *keepFlags) askBook(ctx context.Context, b *logbook.Book, own bool, path string, d *export.Document) (string, error) {
	if err := pipeline.AskStanding(ctx, b, path, d); err != nil {
		return "", err
	}
	var w strings.Builder
	tellStanding(&w, d.Standing)
	if !own && !k.asked() {
		return w.String(), nil
	}
	if k.asked() {
		if err := markOwn(ctx, b); err != nil {
			return "", err
		}
	}
	kept, err := pipeline.KeepProof(ctx, b, d, pipeline.Keeping{
		Path: path, What: "prove " + d.Design.Name, Revision: k.asked(), Question: k.keep,
	})
	if err != nil {
		return w.String(), err
	}
	if r := &kept.Revision; r.ID != 0 {
		state := "in the logbook already"
		if kept.NewRev {
			state = "kept in the logbook"
		}
		fmt.Fprintf(&w, "\nrevision %d, %s\n", r.Number, state)
	}
	return w.String(), nil
}

// tellStanding words the answers of the standing checks, what would come back first.
func tellStanding(w *strings.Builder, all []export.StandingInfo) {
	if len(all) == 0 {
		return
	}
	count := map[string]int{}
	for i := range all {
		count[all[i].Answer]++
	}
	fmt.Fprintf(w, "\nStanding checks: %d hold, %d would come back, %d not told\n", count["holds"], count["returns"], count["untold"])
	for _, answer := range []string{"returns", "untold"} {
		for i := range all {
			c := &all[i]
			if c.Answer != answer {
				continue
			}
			head := "would come back"
			if answer == "untold" {
				head = "not told"
			}
			what := shown(c.Fault)
			if what == "" {
				what = fmt.Sprintf("check of %s", c.Rule)
			}
			fmt.Fprintf(w, "  %s: %s\n    check %d: %s\n", head, what, c.Check, shown(c.Why))
		}
	}
}
