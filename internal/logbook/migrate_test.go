package logbook

import (
	"database/sql"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// older is a file as the first form had it, with a trial and a reading.
func older(t *testing.T) (dir string) {
	t.Helper()
	dir = t.TempDir()
	path := filepath.Join(dir, FileName)
	if err := os.WriteFile(path, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	db, err := sql.Open(driverName, source(path, false))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	all, err := migrations()
	if err != nil {
		t.Fatal(err)
	}
	c, err := db.Conn(ctx)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	if err := migrate(ctx, c, all[:1], nil); err != nil {
		t.Fatal(err)
	}
	_, err = c.ExecContext(ctx, `INSERT INTO designs(name) VALUES ('tower');
		INSERT INTO revisions(design, number, sha256, at, at_offset) VALUES (1, 1, 'x', '2026-01-01T00:00:00Z', 60);
		INSERT INTO trials(revision, at, at_offset, minutes) VALUES (1, '2026-01-01T00:00:00Z', 60, 95);
		INSERT INTO readings(trial, at, at_offset, kind, measured_mm) VALUES (1, '2026-01-01T00:00:00Z', 60, 'bore', 11.86);
		UPDATE readings SET note = 'again'`)
	if err != nil {
		t.Fatal(err)
	}
	return dir
}

func TestMigrate(t *testing.T) {
	dir := older(t)
	before := listed(t, dir)
	look, err := Open(ctx, dir, Options{ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	if got, err := Get[Reading](ctx, look, 1); err != nil || *got.Measured != 11.86 || got.Axis != "" {
		t.Errorf("an older file only read: %+v, %v", got, err)
	}
	if _, err := look.Do(ctx, "x", func(*Tx) error { return nil }); err == nil {
		t.Error("a deed was done in a copy")
	}
	copied := look.copied
	if err := look.Close(); err != nil {
		t.Error(err)
	}
	if _, err := os.Stat(copied); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("the copy stays: %v", err)
	}
	if d := cmp.Diff(before, listed(t, dir)); d != "" {
		t.Errorf("only read, and yet changed: %s", d)
	}
	b, err := Open(ctx, dir, Options{Now: clock()})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	got, err := Get[Reading](ctx, b, 1)
	if err != nil || *got.Measured != 11.86 || got.Axis != "" {
		t.Errorf("%+v, %v", got, err)
	}
	// the new columns have a history, and what was kept before can still be undone
	got.Axis = "z"
	deed := done(t, b, func(tx *Tx) error { return Change(tx, &got) })
	if p, err := PastOfDeed(ctx, b, deed); err != nil || len(p) != 1 || !strings.Contains(string(p[0].Before), `"axis":""`) {
		t.Errorf("%+v, %v", p, err)
	}
	copies, err := filepath.Glob(filepath.Join(dir, BackupDir, "logbook-version-1-*.sqlite"))
	if err != nil || len(copies) != 1 {
		t.Fatalf("copies: %v, %v", copies, err)
	}
	db, err := sql.Open(driverName, source(copies[0], true))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	var v int
	var size float64
	if err := db.QueryRow("SELECT (SELECT user_version FROM pragma_user_version), measured_mm FROM readings").Scan(&v, &size); err != nil || v != 1 || size != 11.86 {
		t.Errorf("the copy has version %d, size %g: %v", v, size, err)
	}
	// opened again nothing is copied
	c, err := Open(ctx, dir, Options{Now: clock()})
	if err != nil {
		t.Fatal(err)
	}
	c.Close()
	if again, _ := filepath.Glob(filepath.Join(dir, BackupDir, "*")); len(again) != 1 {
		t.Errorf("copies: %v", again)
	}
}

// Where the copy cannot be made the file stays as it was.
func TestMigrateWithoutCopy(t *testing.T) {
	dir := older(t)
	if err := os.WriteFile(filepath.Join(dir, BackupDir), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(ctx, dir, Options{Now: clock()}); err == nil {
		t.Fatal("changed without a copy")
	}
	os.Remove(filepath.Join(dir, BackupDir))
	if b, err := Open(ctx, dir, Options{Now: clock()}); err != nil {
		t.Error(err)
	} else {
		b.Close()
	}
}

func TestStrangeFiles(t *testing.T) {
	dir := older(t)
	change := func(text string) {
		db, err := sql.Open(driverName, source(filepath.Join(dir, FileName), false))
		if err != nil {
			t.Fatal(err)
		}
		defer db.Close()
		if _, err := db.Exec(text); err != nil {
			t.Fatal(err)
		}
	}
	change("PRAGMA user_version = 99")
	if _, err := Open(ctx, dir, Options{Now: clock()}); !errors.Is(err, errNewer) {
		t.Errorf("a newer file: %v", err)
	}
	change("PRAGMA application_id = 5")
	if _, err := Open(ctx, dir, Options{Now: clock()}); err == nil || !strings.Contains(err.Error(), "not a logbook") {
		t.Errorf("a database of another program: %v", err)
	}
	if err := os.WriteFile(filepath.Join(dir, FileName), []byte(strings.Repeat("no database ", 100)), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(ctx, dir, Options{Now: clock()}); err == nil {
		t.Error("no database at all was opened")
	}
	if _, err := Open(ctx, t.TempDir(), Options{Now: clock()}); !errors.Is(err, ErrNone) {
		t.Errorf("no file: %v", err)
	}
}

// Reading leaves a folder as it was, to the byte.
func TestReadOnlyLeavesNothing(t *testing.T) {
	b := opened(t)
	_, _, tr := tower(t, b)
	dir := b.Dir()
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	look := func() map[string]string {
		out := map[string]string{}
		e, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range e {
			raw, err := os.ReadFile(filepath.Join(dir, f.Name()))
			if err != nil {
				t.Fatal(err)
			}
			out[f.Name()] = string(raw)
		}
		return out
	}
	before := look()
	r, err := Open(ctx, dir, Options{ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Get[Trial](ctx, r, tr.ID); err != nil {
		t.Error(err)
	}
	if _, err := r.Do(ctx, "x", func(*Tx) error { return nil }); err == nil {
		t.Error("a deed was done")
	}
	if _, err := r.db.Exec("DELETE FROM trials"); err == nil {
		t.Error("a row was removed")
	}
	r.Close()
	after := look()
	if len(after) != len(before) || after[FileName] != before[FileName] {
		t.Errorf("the folder has changed: %d files, then %d", len(before), len(after))
	}
}

// listed is what lies in a folder, with the content of the files.
func listed(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	all, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range all {
		raw, err := os.ReadFile(filepath.Join(dir, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		out[e.Name()] = string(raw)
	}
	return out
}
