package logbook

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
)

// Prefer says which side decides where two logbooks contradict each other.
type Prefer string

// What may be preferred.
const (
	PreferNone Prefer = ""     // nothing is imported then
	PreferHere Prefer = "here" // the logbook that is imported into
	PreferFile Prefer = "file" // the file; what was removed here and stands in it comes back
)

// MergeOptions tell Merge what to do.
type MergeOptions struct {
	What   string // what the history is to tell of the deed
	Prefer Prefer
	Try    bool // find out what would come of it, and change nothing
}

// Merged tells what Merge did.
type Merged struct {
	Deed ID // 0: nothing was changed, or Whole
	// Whole: the file is this logbook further on (or the logbook was empty), and was
	// taken as it is, with its deeds.
	Whole bool
	Older bool // the file is this logbook as it once was
	// Rows by table: added, changed, removed; as they were here, since they were
	// changed or removed here only; alike on both sides.
	Added, Changed, Removed, Kept, Same map[string]int
	Notes                               []string // what else a maker should know
	Clashes                             []Clash  // contradictions, decided by Prefer
	Photos                              int      // that the file names and does not hold, and that are not here
}

// Clash is a contradiction between the file and the logbook.
type Clash struct {
	Line int // of the file; 0 if it is about what is missing in it
	What string
}

// ClashError is the refusal of Merge.
type ClashError struct{ Clashes []Clash }

func (e *ClashError) Error() string {
	return fmt.Sprintf("the file and the logbook contradict each other in %d places", len(e.Clashes))
}

// Merge takes a dump into a logbook, whole or not at all, as one deed.
//
// Which records are one and the same is told by where they came from: by their number
// in one logbook and its copies, as long as some state of both is alike, and by what
// was noted as they were imported. Printers, nozzles, spools, profiles and designs
// are also known by their name, revisions and proofs by their content hash, photos by
// their content, everything else by being alike in all its fields.
//
// Of two that are one, each field is taken from the side that changed it since both
// were alike. What was removed on one side and not changed on the other is removed.
// Where both sides changed it, the other way round, or where two that never were
// alike say different things, it is a Clash, and without Prefer a ClashError.
func (b *Book) Merge(ctx context.Context, r io.Reader, o MergeOptions) (out *Merged, err error) {
	forms, err := formsOf(ctx, b.db)
	if err != nil {
		return nil, err
	}
	tmp, err := os.MkdirTemp(b.dir, ".feint-load-*")
	if err != nil {
		return nil, err
	}
	defer func() { _ = os.RemoveAll(tmp) }()
	theirs, err := readDump(ctx, forms, tmp, r, Options{Now: b.now})
	if err != nil {
		return nil, err
	}
	if out, err = b.further(ctx, theirs, tmp, o.Try); err != nil || out != nil {
		return out, err
	}
	deed, err := b.Do(ctx, o.What, func(t *Tx) (err error) {
		ours, err := readSide(ctx, t.tx, forms, append(tables(), "meta"))
		if err != nil {
			return err
		}
		m := newMerger(t, forms, ours, theirs, o.Prefer)
		if err := m.merge(); err != nil {
			return err
		}
		out = m.out
		if out.Photos, err = b.missingPhotos(theirs, tmp); err != nil {
			return err
		}
		if o.Try {
			return ErrNothing
		}
		if err := movePhotos(tmp, b.dir); err != nil {
			return err
		}
		return m.write()
	})
	if err != nil {
		return nil, err
	}
	out.Deed = deed
	return out, nil
}

// missingPhotos counts the photos of a dump that came without their files and are not
// here.
func (b *Book) missingPhotos(theirs *side, tmp string) (n int, err error) {
	f := theirs.forms["photos"]
	sum, media := f.col("sha256"), f.col("media")
	for _, r := range theirs.rows["photos"] {
		p := Photo{}
		p.SHA256, _ = r.vals[sum].(string)
		p.Media, _ = r.vals[media].(string)
		here := b.PhotoFile(&p)
		for _, path := range []string{filepath.Join(tmp, PhotoDir, filepath.Base(here)), here} {
			if _, err = os.Stat(path); err == nil {
				break
			}
		}
		switch {
		case errors.Is(err, os.ErrNotExist):
			n++
		case err != nil:
			return n, err
		}
	}
	return n, nil
}

// further takes the file as it is if it is this logbook further on, or if this one is
// empty; it gives nil where it is neither, nor this logbook as it once was.
func (b *Book) further(ctx context.Context, theirs *side, tmp string, try bool) (out *Merged, err error) {
	c, err := b.db.Conn(ctx)
	if err != nil {
		return nil, err
	}
	defer func() { err = joined(err, c.Close()) }()
	tx, err := c.BeginTx(ctx, nil)
	if err != nil {
		return nil, busy(err)
	}
	done := false
	defer func() {
		if !done {
			err = joined(err, tx.Rollback())
		}
	}()
	ours, err := readSide(ctx, tx, theirs.forms, []string{"meta"})
	if err != nil {
		return nil, err
	}
	var begun bool
	if err := tx.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM deeds) OR EXISTS (SELECT 1 FROM history)").Scan(&begun); err != nil {
		return nil, err
	}
	if begun {
		if ours.name == "" || ours.name != theirs.name {
			return nil, nil
		}
		for _, t := range []string{"deeds", "history"} {
			if err := ours.table(ctx, tx, t); err != nil {
				return nil, err
			}
		}
	}
	switch {
	case !begins(theirs, ours) && !begins(ours, theirs):
		return nil, nil
	case len(ours.rows["history"]) >= len(theirs.rows["history"]):
		return &Merged{Older: true}, nil
	}
	out = &Merged{Whole: true, Added: map[string]int{}}
	for _, t := range dumped() {
		var n int
		count := "count(*)"
		if t == "history" {
			count = "coalesce(sum(run), 0)"
		}
		if err := tx.QueryRowContext(ctx, "SELECT "+count+" FROM "+t).Scan(&n); err != nil {
			return nil, err
		}
		out.Added[t] = max(0, len(theirs.rows[t])-n)
	}
	if out.Photos, err = b.missingPhotos(theirs, tmp); err != nil || try {
		return out, err
	}
	if err := movePhotos(tmp, b.dir); err != nil {
		return nil, err
	}
	if err := fill(ctx, c, theirs); err != nil {
		return nil, err
	}
	done = true
	return out, busyOrNil(tx.Commit())
}

func busyOrNil(err error) error {
	if err == nil {
		return nil
	}
	return busy(err)
}

// begins tells whether the deeds and the history of one logbook are the first ones of
// another.
func begins(all, first *side) bool {
	for _, t := range []string{"deeds", "history"} {
		a, f := all.rows[t], first.rows[t]
		if len(f) > len(a) {
			return false
		}
		for i := range f {
			if !slices.Equal(f[i].vals, a[i].vals) {
				return false
			}
		}
	}
	return true
}
