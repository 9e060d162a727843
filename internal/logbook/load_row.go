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
	"maps"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// line takes one line: at a run if it is a row as Dump writes it, else by and by.
func (l *loader) line(raw []byte) error {
	if done, err := l.plainRow(raw); done || err != nil {
		return err
	}
	return l.anyLine(raw)
}

var errEnd = errors.New("the last line")

func (l *loader) anyLine(raw []byte) error {
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
	d := json.NewDecoder(bytes.NewReader(raw))
	d.UseNumber()
	var row map[string]any
	if err := d.Decode(&row); err != nil {
		return err
	}
	k, err := l.shapeOf(table, slices.Sorted(maps.Keys(row)))
	if err != nil {
		return err
	}
	for i, c := range k.cols {
		if k.vals[i], err = fitting(row[c], k.whole[i]); err != nil {
			return fmt.Errorf("%s: %w", c, err)
		}
	}
	return l.put(k)
}

// fitting is a value of JSON as a column of the given type takes it.
func fitting(v any, whole bool) (any, error) {
	n, ok := v.(json.Number)
	switch {
	case !ok:
		return v, nil
	case whole:
		return n.Int64()
	default:
		return n.Float64()
	}
}

// shape is which columns a row gives, with the statement that adds such rows.
type shape struct {
	cols  []string
	whole []bool // of whole numbers, by column
	vals  []any
	add   *sql.Stmt // adds one row
	many  *sql.Stmt // adds addRows of them
	wait  []any     // the values of rows that are not added yet
}

// addRows is how many rows are added at once: the way to the database costs more than
// a row. Beyond this little is won.
const addRows = 16

// put takes a row of the shape's values. Rows of one shape are added together; an
// error may be that of a row before.
func (l *loader) put(k *shape) error {
	if l.waits != nil && l.waits != k {
		if err := l.flush(); err != nil {
			return err
		}
	}
	l.waits = k
	k.wait = append(k.wait, k.vals...)
	if len(k.wait) < addRows*len(k.vals) {
		return nil
	}
	_, err := k.many.ExecContext(context.WithoutCancel(l.ctx), k.wait...)
	k.wait = k.wait[:0]
	if err != nil {
		err = fmt.Errorf("this line or one of the %d before: %w", addRows-1, err)
	}
	return err
}

// flush adds the rows that wait, one by one. What ends the context is looked for
// elsewhere: to have the driver watch it costs more than the row.
func (l *loader) flush() error {
	k := l.waits
	if k == nil {
		return nil
	}
	l.waits = nil
	n := len(k.vals)
	for at := 0; at < len(k.wait); at += n {
		if _, err := k.add.ExecContext(context.WithoutCancel(l.ctx), k.wait[at:at+n]...); err != nil {
			return fmt.Errorf("one of the %d lines before: %w", len(k.wait)/n, err)
		}
	}
	k.wait = k.wait[:0]
	return nil
}

// shapeOf is the shape of rows of a table with the given columns, made once.
func (l *loader) shapeOf(table string, cols []string) (*shape, error) {
	kinds, ok := l.kinds[table]
	if !ok {
		return nil, fmt.Errorf("there is no table %q", table)
	}
	k := &shape{cols: cols, vals: make([]any, len(cols))}
	for _, c := range cols {
		if kinds[c] == "" {
			return nil, fmt.Errorf("%s has no column %q", table, c)
		}
		k.whole = append(k.whole, kinds[c] == "INTEGER")
	}
	marks := "(" + strings.TrimSuffix(strings.Repeat("?, ", len(cols)), ", ") + ")"
	text := fmt.Sprintf("INSERT INTO %s(%s) VALUES ", table, quoted(cols)) + marks
	if old := l.adds[text]; old != nil {
		return old, nil
	}
	var err error
	if k.add, err = l.c.PrepareContext(l.ctx, text); err != nil {
		return nil, err
	}
	if k.many, err = l.c.PrepareContext(l.ctx, text+strings.Repeat(", "+marks, addRows-1)); err != nil {
		return nil, err
	}
	l.adds[text] = k
	return k, nil
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
