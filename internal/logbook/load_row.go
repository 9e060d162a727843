package logbook

import (
	"bytes"
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

// lastLine is the last line of a dump.
type lastLine struct {
	sum   string // of all lines before it, in hexadecimal digits
	bytes int
}

func (*lastLine) Error() string { return "the last line" }

// What can be wrong with the end of a dump.
var (
	errOther = errors.New("what was read is not what was written: a line is missing or was changed")
	errEarly = errors.New("the file ends too early; copy it again")
)

func (l *loader) anyLine(raw []byte) error {
	var v dumpRow
	d := json.NewDecoder(bytes.NewReader(raw))
	d.DisallowUnknownFields()
	if err := d.Decode(&v); err != nil {
		return err
	}
	switch {
	case v.Table != "":
		return l.row(v.Table, v.Row)
	case v.Photo != "":
		return l.photo(v.Photo, v.Base64)
	case v.SHA256 != "":
		return &lastLine{sum: v.SHA256}
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
	vals := k.row()
	for i, c := range k.cols {
		k.said[i], k.vary[i] = nil, true
		if vals[i], err = fitting(row[c], k.whole[i]); err != nil {
			return fmt.Errorf("%s: %w", c, err)
		}
	}
	return l.put(k)
}

// fitting is a value of JSON as a column of the given type takes it.
func fitting(v any, whole bool) (any, error) {
	n, ok := v.(json.Number)
	_, isText := v.(string)
	switch {
	case !ok && v != nil && !isText:
		return nil, errors.New("holds neither a number nor a text")
	case !ok:
		return v, nil
	case whole:
		return n.Int64()
	default:
		return n.Float64()
	}
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
