package logbook

import (
	"context"
	"crypto/rand"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	_ "modernc.org/sqlite" // the driver "sqlite", in Go
)

// The names within a workshop folder.
const (
	FileName   = "logbook.sqlite"
	PhotoDir   = "logbook-photos"
	BackupDir  = "logbook-backups"
	driverName = "sqlite"
)

// busyMillis is how long a writer waits for another process, ms: far longer than
// any deed takes, shorter than a person waits before asking what is wrong.
const busyMillis = 10_000

// ErrNone says that a folder has no logbook.
var ErrNone = errors.New("there is no logbook")

// Options are what a logbook needs of its surroundings.
type Options struct {
	// Now gives the time of deeds in the maker's zone; it must be set unless ReadOnly.
	Now func() time.Time
	// ReadOnly opens without writing anything, not even beside the file.
	ReadOnly bool
}

// Book is an open logbook. It may be used from several goroutines.
type Book struct {
	db        *sql.DB
	dir       string
	now       func() time.Time
	copied    string // the folder of the copy that is read in place of the file, "" if none is
	quietFrom int    // from how many rows on a deed is done quietly; 0 is quietRows
}

// Find looks for a logbook in folder and in those above it.
func Find(folder string) (dir string, ok bool) {
	dir, err := filepath.Abs(folder)
	if err != nil {
		return "", false
	}
	for {
		if st, err := os.Stat(filepath.Join(dir, FileName)); err == nil && st.Mode().IsRegular() {
			return dir, true
		}
		up := filepath.Dir(dir)
		if up == dir {
			return "", false
		}
		dir = up
	}
}

// Create begins a logbook in an existing folder that has none.
func Create(ctx context.Context, dir string, o Options) (*Book, error) {
	f, err := os.OpenFile(filepath.Join(dir, FileName), os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644) //nolint:gosec // a file of the maker's like any other
	if errors.Is(err, fs.ErrExist) {
		return nil, fmt.Errorf("%s has a logbook already", dir)
	}
	if err == nil {
		err = f.Close()
	}
	if err != nil {
		return nil, fmt.Errorf("beginning a logbook: %w", err)
	}
	b, err := Open(ctx, dir, o)
	if err != nil {
		return nil, err
	}
	if _, err := b.db.ExecContext(ctx, "INSERT OR IGNORE INTO meta VALUES ('name', ?)", rand.Text()); err != nil {
		return nil, errors.Join(err, b.Close())
	}
	return b, nil
}

// Name is a random text that no other logbook has; copies share it.
func (b *Book) Name(ctx context.Context) (name string, err error) {
	err = b.db.QueryRowContext(ctx, "SELECT coalesce((SELECT value FROM meta WHERE key = 'name'), '')").Scan(&name)
	return name, err
}

// Open opens the logbook of a folder. A file of an older feint is copied to
// BackupDir and brought up to date, or, where it is only to be read, read from a copy
// elsewhere that is; one of a newer feint is an error. No logbook is ErrNone.
func Open(ctx context.Context, dir string, o Options) (*Book, error) {
	path, err := filepath.Abs(filepath.Join(dir, FileName))
	if err != nil {
		return nil, err
	}
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%w in %s", ErrNone, dir)
	}
	if o.Now == nil && !o.ReadOnly {
		return nil, errors.New("logbook: Options.Now is not set")
	}
	db, err := sql.Open(driverName, source(path, o.ReadOnly))
	if err != nil {
		return nil, err
	}
	b := &Book{db: db, dir: filepath.Dir(path), now: o.Now}
	err = b.begin(ctx, o.ReadOnly)
	if errors.Is(err, errOlder) {
		err = b.lookInCopy(ctx)
	}
	if err != nil {
		return nil, errors.Join(fmt.Errorf("%s: %w", path, err), b.Close())
	}
	return b, nil
}

// errOlder is a file of an older feint that is only to be read.
var errOlder = errors.New("it was written by an older feint")

// lookInCopy makes b read a copy of the file that is brought up to date.
func (b *Book) lookInCopy(ctx context.Context) (err error) {
	if b.copied, err = os.MkdirTemp("", "feint-logbook-*"); err != nil {
		return err
	}
	file := filepath.Join(b.copied, FileName)
	if _, err := b.db.ExecContext(ctx, "VACUUM INTO ?", file); err != nil {
		return err
	}
	if err := b.db.Close(); err != nil {
		return err
	}
	if b.db, err = sql.Open(driverName, source(file, false)); err != nil {
		return err
	}
	all, err := migrations()
	if err != nil {
		return err
	}
	c, err := b.db.Conn(ctx)
	if err != nil {
		return err
	}
	return errors.Join(migrate(ctx, c, all, func(int) error { return nil }), c.Close())
}

// source is the data source name: a URI as in https://www.sqlite.org/uri.html. A
// file that nobody has open is read as it lies (immutable), since reading it
// otherwise would leave files beside it.
func source(path string, readOnly bool) string {
	slashed := filepath.ToSlash(path)
	if !strings.HasPrefix(slashed, "/") {
		slashed = "/" + slashed // a drive letter
	}
	q := url.Values{"_pragma": {
		fmt.Sprintf("busy_timeout(%d)", busyMillis), "foreign_keys(1)", "trusted_schema(0)",
		"cache_size(-65536)", "temp_store(2)", // all that a large deed changes is in memory until it is done
	}, "_txlock": {"immediate"}}
	if readOnly {
		q.Set("mode", "ro")
		if st, err := os.Stat(path + "-wal"); err != nil || st.Size() == 0 {
			q.Set("immutable", "1")
		}
		q.Set("_txlock", "deferred")
	} else {
		q.Set("mode", "rw")
		q["_pragma"] = append(q["_pragma"], "journal_mode(WAL)", "synchronous(FULL)")
	}
	return (&url.URL{Scheme: "file", Path: slashed, RawQuery: q.Encode()}).String()
}

// begin brings the file up to date.
func (b *Book) begin(ctx context.Context, readOnly bool) (err error) {
	all, err := migrations()
	if err != nil {
		return err
	}
	c, err := b.db.Conn(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, c.Close()) }()
	if readOnly {
		v, err := version(ctx, c)
		switch {
		case err == nil && v > len(all):
			err = fmt.Errorf("%w (version %d, this one knows %d)", errNewer, v, len(all))
		case err == nil && v < len(all):
			err = errOlder
		}
		return err
	}
	return migrate(ctx, c, all, func(v int) error { return b.backup(ctx, fmt.Sprintf("version-%d", v)) })
}

// Dir is the workshop folder.
func (b *Book) Dir() string { return b.dir }

// Close closes the logbook.
func (b *Book) Close() error {
	err := b.db.Close()
	if b.copied != "" {
		err = joined(err, os.RemoveAll(b.copied))
	}
	return err
}

// joined keeps the first error and adds the second if there is one.
func joined(a, b error) error {
	switch {
	case a == nil:
		return b
	case b == nil:
		return a
	default:
		return errors.Join(a, b)
	}
}
