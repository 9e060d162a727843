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
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// dumpFormat is what the first line of a dump calls itself.
const dumpFormat = "feint logbook"

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
	d := &dumper{w: bufio.NewWriter(w), sum: sha256.New()}
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
	d.line(dumpRow{SHA256: hex.EncodeToString(d.sum.Sum(nil))})
	return joined(d.err, d.w.Flush())
}

type dumper struct {
	w   *bufio.Writer
	sum hash.Hash
	err error
}

// line writes one line and keeps the first error.
func (d *dumper) line(v any) {
	var b strings.Builder
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		d.err = joined(d.err, err)
		return
	}
	d.raw([]byte(b.String()))
}

// raw writes a line that is made already.
func (d *dumper) raw(line []byte) {
	d.sum.Write(line)
	if _, err := d.w.Write(line); d.err == nil {
		d.err = err
	}
}

func (d *dumper) table(ctx context.Context, c execer, table string) (err error) {
	cols, err := columnsOf(ctx, c, table)
	if err != nil {
		return err
	}
	rows, err := c.QueryContext(ctx, fmt.Sprintf("SELECT %s FROM %s ORDER BY %s", quoted(cols), table, quoted(cols[:1])))
	if err != nil {
		return err
	}
	defer func() { err = joined(err, rows.Close()) }()
	vals, targets := make([]any, len(cols)), make([]any, len(cols))
	for i := range vals {
		targets[i] = &vals[i]
	}
	for rows.Next() {
		if err := rows.Scan(targets...); err != nil {
			return err
		}
		row, err := rowJSON(cols, vals)
		if err != nil {
			return err
		}
		d.raw(fmt.Appendf(nil, "{\"table\":%q,\"row\":%s}\n", table, row))
	}
	return rows.Err()
}

// rowJSON is an object with the columns in their order. Numbers are as short as
// brings them back exactly.
func rowJSON(cols []string, vals []any) (json.RawMessage, error) {
	b := []byte{'{'}
	for i, c := range cols {
		if i > 0 {
			b = append(b, ',')
		}
		b = append(append(append(b, '"'), c...), '"', ':')
		switch x := vals[i].(type) {
		case nil:
			b = append(b, "null"...)
		case int64:
			b = strconv.AppendInt(b, x, 10)
		case float64:
			b = strconv.AppendFloat(b, x, 'g', -1, 64)
		case string:
			var err error
			if b, err = appendText(b, x); err != nil {
				return nil, err
			}
		default:
			return nil, fmt.Errorf("%s holds a %T", c, x)
		}
	}
	return append(b, '}'), nil
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
