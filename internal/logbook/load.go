package logbook

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// Load makes a logbook in an existing folder that has none, from a dump. It is
// there whole or not at all; an error names the line. A dump of an older feint is
// brought up to date.
func Load(ctx context.Context, dir string, r io.Reader, o Options) (err error) {
	if dir, err = filepath.Abs(dir); err != nil {
		return err
	}
	final := filepath.Join(dir, FileName)
	if _, err := os.Lstat(final); err == nil {
		return fmt.Errorf("%s has a logbook already, and nothing was changed in it: two logbooks are not mixed, since each has its own deeds and history. Import into a folder of its own (feint log import FILE FOLDER) and ask it there, or, if this file is the newer copy of the same logbook, move %s and %s away first", dir, FileName, PhotoDir)
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
	l := &loader{ctx: ctx, c: c, dir: dir, sum: sha256.New()}
	err = l.all(r)
	for _, add := range l.adds {
		err = joined(err, add.Close())
	}
	if err != nil {
		return fmt.Errorf("line %d: %w", l.number, err)
	}
	all, err := migrations()
	if err != nil {
		return err
	}
	return migrate(ctx, c, all, func(int) error { return nil })
}

type loader struct {
	ctx    context.Context //nolint:containedctx // lives as long as one call of Load
	c      *sql.Conn
	dir    string
	number int
	sum    hash.Hash
	kinds  map[string]map[string]string // of the columns, by table
	adds   map[string]*sql.Stmt         // by their text
}

// all reads every line, in one transaction.
func (l *loader) all(r io.Reader) error {
	in := bufio.NewReaderSize(r, 1<<20)
	head, err := l.next(in)
	if err != nil {
		return err
	}
	var h dumpHead
	l.sum.Write(head)
	if json.Unmarshal(head, &h) != nil || h.Format != dumpFormat {
		return errors.New("this is not a logbook written by feint")
	}
	if err := l.begin(h.Version); err != nil {
		return err
	}
	for {
		line, err := l.next(in)
		if err == nil {
			err = l.line(line)
		}
		if errors.Is(err, errEnd) {
			break
		}
		if errors.Is(err, io.EOF) {
			err = errors.New("the file ends too early; copy it again")
		}
		if err != nil {
			return err
		}
	}
	if _, err := in.ReadByte(); !errors.Is(err, io.EOF) {
		return errors.New("something follows the last line")
	}
	if err := l.whole(); err != nil {
		return err
	}
	if err := rebuildTriggers(l.ctx, l.c); err != nil {
		return err
	}
	_, err = l.c.ExecContext(l.ctx, "COMMIT")
	return err
}

// next is a line with its end, counted.
func (l *loader) next(in *bufio.Reader) ([]byte, error) {
	line, err := in.ReadBytes('\n')
	l.number++
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
	if _, err := l.c.ExecContext(l.ctx, "BEGIN IMMEDIATE; PRAGMA defer_foreign_keys = 1"); err != nil {
		return err
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
	l.kinds, l.adds = map[string]map[string]string{}, map[string]*sql.Stmt{}
	for _, t := range dumped() {
		if l.kinds[t], err = kindsOf(l.ctx, l.c, t); err != nil {
			return err
		}
	}
	return nil
}

// kindsOf gives the declared type of every column.
func kindsOf(ctx context.Context, c execer, table string) (out map[string]string, err error) {
	rows, err := c.QueryContext(ctx, "SELECT name, type FROM pragma_table_info(?)", table)
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

var errEnd = errors.New("the last line")

func (l *loader) line(raw []byte) error {
	var v dumpRow
	d := json.NewDecoder(bytes.NewReader(raw))
	d.DisallowUnknownFields()
	if err := d.Decode(&v); err != nil {
		return err
	}
	switch {
	case v.Table != "":
		l.sum.Write(raw)
		return l.row(v.Table, v.Row)
	case v.Photo != "":
		l.sum.Write(raw)
		return l.photo(v.Photo, v.Base64)
	case v.SHA256 != "":
		if v.SHA256 != hex.EncodeToString(l.sum.Sum(nil)) {
			return errors.New("what was read is not what was written: a line is missing or was changed")
		}
		return errEnd
	default:
		return errors.New("neither a row nor a photo")
	}
}

func (l *loader) row(table string, raw json.RawMessage) error {
	kinds, ok := l.kinds[table]
	if !ok {
		return fmt.Errorf("there is no table %q", table)
	}
	d := json.NewDecoder(bytes.NewReader(raw))
	d.UseNumber()
	var row map[string]any
	if err := d.Decode(&row); err != nil {
		return err
	}
	cols := slices.Sorted(maps.Keys(row))
	vals := make([]any, len(cols))
	for i, c := range cols {
		if kinds[c] == "" {
			return fmt.Errorf("%s has no column %q", table, c)
		}
		var err error
		if vals[i], err = fitting(row[c], kinds[c]); err != nil {
			return fmt.Errorf("%s: %w", c, err)
		}
	}
	add, err := l.add(table, cols)
	if err != nil {
		return err
	}
	_, err = add.ExecContext(l.ctx, vals...)
	return err
}

// fitting is a value of JSON as a column of the given type takes it.
func fitting(v any, kind string) (any, error) {
	n, ok := v.(json.Number)
	switch {
	case !ok:
		return v, nil
	case kind == "INTEGER":
		return n.Int64()
	default:
		return n.Float64()
	}
}

// add is the statement that adds a row with the given columns, made once.
func (l *loader) add(table string, cols []string) (*sql.Stmt, error) {
	marks := strings.TrimSuffix(strings.Repeat("?, ", len(cols)), ", ")
	text := fmt.Sprintf("INSERT INTO %s(%s) VALUES (%s)", table, quoted(cols), marks)
	if s := l.adds[text]; s != nil {
		return s, nil
	}
	s, err := l.c.PrepareContext(l.ctx, text)
	if err == nil {
		l.adds[text] = s
	}
	return s, err
}

// photoName is what a file of the photo folder is called.
var photoName = regexp.MustCompile(`^[0-9a-f]{64}\.(jpg|png|gif|thumb\.jpg)$`)

func (l *loader) photo(name, text string) error {
	if !photoName.MatchString(name) {
		return fmt.Errorf("%q is no name of a photo", name)
	}
	raw, err := base64.StdEncoding.DecodeString(text)
	if err != nil {
		return fmt.Errorf("photo %s: %w", name, err)
	}
	if sum := sha256.Sum256(raw); !strings.Contains(name, ".thumb.") && hex.EncodeToString(sum[:]) != name[:64] {
		return fmt.Errorf("photo %s: its bytes are others than its name says", name)
	}
	return keepFile(filepath.Join(l.dir, PhotoDir, name), raw)
}

// whole asks the database whether every row that is named is there.
func (l *loader) whole() (err error) {
	rows, err := l.c.QueryContext(l.ctx, "PRAGMA foreign_key_check")
	if err != nil {
		return err
	}
	defer func() { err = joined(err, rows.Close()) }()
	if rows.Next() {
		var table, parent string
		var row sql.NullInt64
		var key int
		if err := rows.Scan(&table, &row, &parent, &key); err != nil {
			return err
		}
		return fmt.Errorf("%s %d names a row of %s that is not there", table, row.Int64, parent)
	}
	return rows.Err()
}
