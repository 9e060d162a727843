package logbook

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"os"
	"path/filepath"
)

// ErrThere says that a folder has a logbook already.
var ErrThere = errors.New("there is a logbook already, and nothing was changed in it")

// Load makes a logbook in an existing folder that has none, from a dump. It is
// there whole or not at all; an error names the line. A dump of an older feint is
// brought up to date. Into a logbook that is there, Merge takes a dump.
func Load(ctx context.Context, dir string, r io.Reader, o Options) (err error) {
	if dir, err = filepath.Abs(dir); err != nil {
		return err
	}
	final := filepath.Join(dir, FileName)
	if _, err := os.Lstat(final); err == nil {
		return fmt.Errorf("%s: %w", dir, ErrThere)
	}
	tmp, err := os.MkdirTemp(dir, ".feint-load-*")
	if err != nil {
		return err
	}
	defer func() { _ = os.RemoveAll(tmp) }()
	if err := loadInto(ctx, tmp, r, o); err != nil {
		return err
	}
	if err := movePhotos(tmp, dir); err != nil {
		return err
	}
	if err := syncFile(filepath.Join(tmp, FileName)); err != nil {
		return err
	}
	if err := takePlace(filepath.Join(tmp, FileName), final); err != nil {
		return err
	}
	return syncDir(dir)
}

// takePlace puts a file under a name that is free; on a file system without links
// another process could come between, which then finds its file replaced whole.
func takePlace(from, to string) error {
	err := os.Link(from, to)
	if err == nil || errors.Is(err, os.ErrExist) {
		return err
	}
	return os.Rename(from, to)
}

func movePhotos(from, to string) error {
	names, err := photoNames(from)
	if err != nil {
		return err
	}
	for _, n := range names {
		raw, err := os.ReadFile(filepath.Join(from, PhotoDir, n))
		if err != nil {
			return err
		}
		if err := keepFile(filepath.Join(to, PhotoDir, n), raw); err != nil {
			return err
		}
	}
	return nil
}

// loadInto builds the file in dir and closes it.
func loadInto(ctx context.Context, dir string, r io.Reader, o Options) (err error) {
	if err := os.WriteFile(filepath.Join(dir, FileName), nil, 0o644); err != nil { //nolint:gosec // a file of the maker's like any other
		return err
	}
	db, err := sql.Open(driverName, source(filepath.Join(dir, FileName), false))
	if err != nil {
		return err
	}
	b := &Book{db: db, dir: dir, now: o.Now}
	defer func() { err = joined(err, b.Close()) }()
	c, err := db.Conn(ctx)
	if err != nil {
		return err
	}
	defer func() { err = joined(err, c.Close()) }()
	if _, err := c.ExecContext(ctx, unsafePragmas); err != nil {
		return err
	}
	l := &loader{ctx: ctx, c: c, dir: dir, sum: sha256.New()}
	if err := joined(l.all(r), l.close()); err != nil {
		return l.at(err)
	}
	all, err := migrations()
	if err != nil {
		return err
	}
	if _, err := c.ExecContext(ctx, safePragmas); err != nil {
		return err
	}
	return migrate(ctx, c, all, func(int) error { return nil })
}

// A file that is being built lies in a folder of its own, which is removed unless
// the file is whole; it is brought to the disk before it takes its place. Until
// then neither a journal nor a wait for the disk keeps anything. Whether every row
// that is named is there is asked at the end.
const (
	unsafePragmas = "PRAGMA journal_mode = OFF; PRAGMA synchronous = OFF; PRAGMA foreign_keys = 0"
	safePragmas   = "PRAGMA foreign_keys = 1; PRAGMA synchronous = FULL; PRAGMA journal_mode = WAL"
)

type loader struct {
	ctx    context.Context //nolint:containedctx // lives as long as one call of Load
	c      *sql.Conn
	dir    string
	number int
	first  []byte // the first line
	sum    hash.Hash
	kinds  map[string]map[string]string     // of the columns, by table
	adds   map[string]*shape                // by their text
	last   map[string]*shape                // of the line before, by table
	waits  *shape                           // has rows that are not added yet
	index  []string                         // the texts of the indices, made at the end
	keep   func(k *shape, vals []any) error // takes the rows in place of the tables, unless nil
	adding *adding                          // adds rows meanwhile, unless nil
}

// at names the line that was read last.
func (l *loader) at(err error) error { return fmt.Errorf("line %d: %w", l.number, err) }

// all makes the tables of every line, in one transaction.
func (l *loader) all(r io.Reader) error {
	in := bufio.NewReaderSize(r, 1<<20)
	version, err := l.head(in)
	if err != nil {
		return err
	}
	if _, err := l.c.ExecContext(l.ctx, "BEGIN IMMEDIATE"); err != nil {
		return err
	}
	if err := l.begin(version); err != nil {
		return err
	}
	if err := l.body(in); err != nil {
		return err
	}
	if err := l.end(); err != nil {
		return err
	}
	_, err = l.c.ExecContext(l.ctx, "COMMIT")
	return err
}

// head reads the first line, which has the number of the tables' form.
func (l *loader) head(in *bufio.Reader) (version int, err error) {
	head, err := l.next(in)
	if err != nil && !errors.Is(err, io.EOF) {
		return 0, err
	}
	var h dumpHead
	l.sum.Write(head)
	l.first = bytes.Clone(head)
	if json.Unmarshal(head, &h) != nil || h.Format != dumpFormat {
		return 0, errors.New("this is not a logbook written by feint log export")
	}
	return h.Version, nil
}

// body reads all other lines.
func (l *loader) body(in *bufio.Reader) error {
	for {
		line, err := l.next(in)
		if err == nil {
			err = l.line(line)
		}
		if err == nil && l.number%watchEvery == 0 {
			err = l.ctx.Err()
		}
		if end := (*lastLine)(nil); errors.As(err, &end) {
			if end.sum != hex.EncodeToString(l.sum.Sum(nil)) {
				return errOther
			}
			break
		}
		if errors.Is(err, io.EOF) {
			err = errEarly
		}
		if err != nil {
			return err
		}
		l.sum.Write(line)
	}
	if _, err := in.ReadByte(); !errors.Is(err, io.EOF) {
		return errors.New("something follows the last line")
	}
	return l.flush()
}

// end makes what begin left out.
func (l *loader) end() error {
	for _, text := range l.index {
		if _, err := l.c.ExecContext(l.ctx, text); err != nil {
			return err
		}
	}
	if err := l.whole(); err != nil {
		return err
	}
	return rebuildTriggers(l.ctx, l.c)
}

// watchEvery is after how many lines the context is looked at.
const watchEvery = 256

// next is a line with its end, counted; it holds until the next one is read.
func (l *loader) next(in *bufio.Reader) ([]byte, error) {
	line, err := in.ReadSlice('\n')
	l.number++
	if errors.Is(err, bufio.ErrBufferFull) {
		start := bytes.Clone(line)
		line, err = in.ReadBytes('\n')
		line = append(start, line...)
	}
	if errors.Is(err, io.EOF) && len(line) > 0 {
		err = nil
	}
	return line, err
}

// begin makes the tables in the form that the dump has, without the history's
// triggers: the history comes with the dump.
func (l *loader) begin(version int) error {
	all, err := migrations()
	if err != nil {
		return err
	}
	if version < 1 || version > len(all) {
		return fmt.Errorf("%w (version %d, this one knows %d)", errNewer, version, len(all))
	}
	if version >= sameLines {
		version = len(all)
	}
	for _, m := range all[:version] {
		if _, err := l.c.ExecContext(l.ctx, m.text); err != nil {
			return fmt.Errorf("migration %s: %w", m.name, err)
		}
	}
	stamp := fmt.Sprintf("PRAGMA user_version = %d; PRAGMA application_id = %d", version, applicationID)
	if _, err := l.c.ExecContext(l.ctx, stamp); err != nil {
		return err
	}
	if err := l.know(); err != nil {
		return err
	}
	return l.dropIndices()
}

// know reads the kinds of all columns.
func (l *loader) know() (err error) {
	l.kinds, l.adds, l.last = map[string]map[string]string{}, map[string]*shape{}, map[string]*shape{}
	for _, t := range dumped() {
		if l.kinds[t], err = kindsOf(l.ctx, l.c, t); err != nil {
			return err
		}
	}
	return nil
}

// dropIndices takes the indices away and keeps their texts: made when all rows are
// there they cost a fraction.
func (l *loader) dropIndices() (err error) {
	var names []string
	rows, err := l.c.QueryContext(l.ctx, "SELECT name, sql FROM sqlite_master WHERE type = 'index' AND sql IS NOT NULL ORDER BY rowid")
	if err != nil {
		return err
	}
	for rows.Next() {
		var name, text string
		if err = rows.Scan(&name, &text); err != nil {
			break
		}
		names, l.index = append(names, name), append(l.index, text)
	}
	if err = joined(err, joined(rows.Err(), rows.Close())); err != nil {
		return err
	}
	for _, n := range names {
		if _, err := l.c.ExecContext(l.ctx, "DROP INDEX "+quoted([]string{n})); err != nil {
			return err
		}
	}
	return nil
}

// kindsOf gives the declared type of every column.
func kindsOf(ctx context.Context, c execer, table string) (out map[string]string, err error) {
	rows, err := c.QueryContext(ctx, "SELECT name, type "+infoOf, table)
	if err != nil {
		return nil, err
	}
	defer func() { err = joined(err, rows.Close()) }()
	out = map[string]string{}
	for rows.Next() {
		var name, kind string
		if err := rows.Scan(&name, &kind); err != nil {
			return nil, err
		}
		out[name] = kind
	}
	return out, rows.Err()
}
