package logbook

import (
	"bytes"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// importer takes a dump into a logbook and takes that back, over and over.
func importer(dir string) error {
	file, err := os.ReadFile(filepath.Join(dir, "..", "dump"))
	if err != nil {
		return err
	}
	b, err := Open(ctx, dir, Options{Now: time.Now})
	if err != nil {
		return err
	}
	defer b.Close()
	b.quietFrom = 1
	for range 3 {
		m, err := b.Merge(ctx, bytes.NewReader(file), MergeOptions{What: "import"})
		if err != nil {
			return err
		}
		if _, err := b.Undo(ctx, m.Deed); err != nil {
			return err
		}
	}
	return nil
}

// TestKillImport ends a process that imports some hundreds of records and takes them
// back, noted in runs: the logbook then has all of the import or nothing of it, the
// history leads to what stands, and its triggers are there.
func TestKillImport(t *testing.T) {
	if testing.Short() {
		t.Skip("a minute with the race detector, which uses -short; the plain run has it")
	}
	from := full(t)
	done(t, from, func(tx *Tx) error { return someReadings2(tx, 300) })
	b := opened(t)
	done(t, b, func(tx *Tx) error { return Add(tx, &Printer{Name: "Robin"}) })
	dir, without := b.Dir(), contents(t, b)
	m, err := b.Merge(ctx, strings.NewReader(dump(t, from)), MergeOptions{What: "import"})
	if err != nil {
		t.Fatal(err)
	}
	many := len(strings.Split(contents(t, b), "\n"))
	if _, err := b.Undo(ctx, m.Deed); err != nil {
		t.Fatal(err)
	}
	b.Close()
	if err := os.WriteFile(filepath.Join(dir, "..", "dump"), []byte(dump(t, from)), 0o600); err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(5, 6))
	within, with := killed(t, "importer", dir, rng, 0, true), 0
	const rounds = 24
	for range rounds {
		killed(t, "importer", dir, rng, within, false)
		with += checkImport(t, dir, without, many)
	}
	t.Logf("of %d, %d had the import", rounds, with)
}

// checkImport takes the import back if it is there and tells whether it was.
func checkImport(t *testing.T, dir, without string, many int) (with int) {
	t.Helper()
	b, err := Open(ctx, dir, Options{Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	if found, err := b.Examine(ctx); len(found) > 0 || err != nil {
		t.Fatal(found, err)
	}
	deeds, err := Deeds(ctx, b, 1)
	if err != nil {
		t.Fatal(err)
	}
	if deeds[0].Undoes == 0 && deeds[0].What == "import" {
		with = 1
		if n := len(strings.Split(contents(t, b), "\n")); n != many {
			t.Fatalf("an import of %d lines, %d are there", many, n)
		}
		if _, err := b.Undo(ctx, deeds[0].ID); err != nil {
			t.Fatal(err)
		}
	}
	if d := cmp.Diff(without, contents(t, b)); d != "" {
		t.Fatal(d)
	}
	deed := done(t, b, func(tx *Tx) error { return Add(tx, &Printer{Name: "Wren"}) })
	if p, err := PastOfDeed(ctx, b, deed); err != nil || len(p) != 1 {
		t.Fatalf("the history has %v of what was added, %v", p, err)
	}
	if _, err := b.Undo(ctx, deed); err != nil {
		t.Fatal(err)
	}
	return with
}
