package logbook

import (
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
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// dumpFormat is what the first line of a dump calls itself.
const dumpFormat = "feint logbook"

// sameLines is the first form of the tables of which a dump has the same lines as of the
// newest.
const sameLines = 4

// dumpHead is the first line.
type dumpHead struct {
	Format  string `json:"format"`
	Version int    `json:"version"` // of the tables
}

// dumpRow is any other line: a row of a table, or a photo.
type dumpRow struct {
	Table  string          `json:"table,omitempty"`
	Row    json.RawMessage `json:"row,omitempty"`
	Photo  string          `json:"photo,omitempty"` // the name of its file
	Base64 string          `json:"base64,omitempty"`
	SHA256 string          `json:"sha256,omitempty"` // the last line: of all before it
}

// dumped lists the tables of a dump in the order of its lines.
func dumped() []string { return append([]string{"meta", "deeds", "history"}, tables()...) }

// Dump writes the whole logbook as JSON lines (one JSON value a line, RFC 8259):
// every row with all its history and, if asked, the photos themselves. The same
// content gives the same bytes.
func (b *Book) Dump(ctx context.Context, w io.Writer, photos bool) (err error) {
	tx, err := b.db.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return err
	}
	defer func() { err = joined(err, tx.Rollback()) }()
	d := &dumper{w: w, sum: sha256.New()}
	all, err := migrations()
	if err != nil {
		return err
	}
	d.line(dumpHead{dumpFormat, len(all)})
	for _, t := range dumped() {
		if err := d.table(ctx, tx, t); err != nil {
			return fmt.Errorf("%s: %w", t, err)
		}
	}
	if photos {
		if err := d.photos(b); err != nil {
			return err
		}
	}
	d.flush()
	d.line(dumpRow{SHA256: hex.EncodeToString(d.sum.Sum(nil))})
	d.flush()
	return d.err
}

// dumpBlock is how much is gathered before it is written and summed, bytes.
const dumpBlock = 1 << 16

type dumper struct {
	w   io.Writer
	buf []byte
	sum hash.Hash // of all that was flushed
	err error
}

// line adds one line and keeps the first error.
func (d *dumper) line(v any) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		d.err = joined(d.err, err)
		return
	}
	d.buf = append(d.buf, b.Bytes()...)
	d.full()
}

// full writes what is gathered if it is a block.
func (d *dumper) full() {
	if len(d.buf) >= dumpBlock {
		d.flush()
	}
}

func (d *dumper) flush() {
	d.sum.Write(d.buf)
	if d.err == nil {
		_, d.err = d.w.Write(d.buf)
	}
	d.buf = d.buf[:0]
}

func (d *dumper) table(ctx context.Context, c execer, table string) (err error) {
	cols, err := columnsOf(ctx, c, table)
	if err != nil {
		return err
	}
	keys := make([]string, len(cols))
	for i, c := range cols {
		keys[i] = `,"` + c + `":`
	}
	keys[0] = fmt.Sprintf(`{"table":%q,"row":{%s`, table, keys[0][1:])
	if table == "history" {
		return entries(ctx, c.QueryContext, "1", false, func(e *entry) error { return d.row(cols, keys, e.vals()) })
	}
	rows, err := c.QueryContext(ctx, fmt.Sprintf("SELECT %s FROM %s ORDER BY %s", quoted(cols), table, quoted(cols[:1])))
	if err != nil {
		return err
	}
	defer func() { err = joined(err, rows.Close()) }()
	vals, targets := make([]any, len(cols)), make([]any, len(cols))
	for i := range cols {
		targets[i] = &vals[i]
	}
	for rows.Next() {
		if err := rows.Scan(targets...); err != nil {
			return err
		}
		if err := d.row(cols, keys, vals); err != nil {
			return err
		}
	}
	return rows.Err()
}

// row adds the line of a row.
func (d *dumper) row(cols, keys []string, vals []any) (err error) {
	for i, v := range vals {
		if d.buf, err = appendValue(append(d.buf, keys[i]...), v); err != nil {
			return fmt.Errorf("%s: %w", cols[i], err)
		}
	}
	d.buf = append(d.buf, "}}\n"...)
	d.full()
	return d.err
}

// appendValue writes a value of a column. Numbers are as short as brings them back
// exactly.
func appendValue(b []byte, v any) ([]byte, error) {
	switch x := v.(type) {
	case nil:
		return append(b, "null"...), nil
	case int64:
		return strconv.AppendInt(b, x, 10), nil
	case float64:
		return strconv.AppendFloat(b, x, 'g', -1, 64), nil
	case string:
		return appendText(b, x)
	default:
		return nil, fmt.Errorf("holds a %T", x)
	}
}

// appendText quotes a text; most have nothing that must be told in another way.
func appendText(b []byte, s string) ([]byte, error) {
	for i := range len(s) {
		if c := s[i]; c < ' ' || c == '"' || c == '\\' || c >= 0x7f {
			var w bytes.Buffer
			enc := json.NewEncoder(&w)
			enc.SetEscapeHTML(false)
			err := enc.Encode(s)
			return append(b, bytes.TrimSuffix(w.Bytes(), []byte{'\n'})...), err
		}
	}
	return append(append(append(b, '"'), s...), '"'), nil
}

func (d *dumper) photos(b *Book) error {
	names, err := photoNames(b.dir)
	if err != nil {
		return err
	}
	for _, n := range names {
		raw, err := os.ReadFile(filepath.Join(b.dir, PhotoDir, n))
		if err != nil {
			return err
		}
		d.line(dumpRow{Photo: n, Base64: base64.StdEncoding.EncodeToString(raw)})
	}
	return nil
}

// photoNames lists the files of the photo folder, without what a killed process
// left half written.
func photoNames(dir string) ([]string, error) {
	entries, err := os.ReadDir(filepath.Join(dir, PhotoDir))
	if errors.Is(err, os.ErrNotExist) {
		return nil, nil
	}
	var out []string
	for _, e := range entries {
		if e.Type().IsRegular() && !strings.HasPrefix(e.Name(), ".") {
			out = append(out, e.Name())
		}
	}
	slices.Sort(out)
	return out, err
}
