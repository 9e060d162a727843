package logbook

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/json"
	"fmt"
	"io"
	"strings"
)

// form is how a table is made.
type form struct {
	table string
	cols  []string
	whole []bool   // of whole numbers
	none  []any    // what stands in a column of which nothing was said
	refs  []string // the table of which a column names a row, "" if none
	loose []bool   // such a column is emptied when that row is removed
	along []bool   // the row goes when that row is removed
}

// formsOf reads the forms of all tables of a dump.
func formsOf(ctx context.Context, c execer) (map[string]*form, error) {
	out := map[string]*form{}
	for _, t := range dumped() {
		f := &form{table: t}
		if err := f.columns(ctx, c); err != nil {
			return nil, err
		}
		if err := f.references(ctx, c); err != nil {
			return nil, err
		}
		out[t] = f
	}
	return out, nil
}

func (f *form) columns(ctx context.Context, c execer) (err error) {
	rows, err := c.QueryContext(ctx, "SELECT name, type, dflt_value "+infoOf+" ORDER BY cid", f.table)
	if err != nil {
		return err
	}
	defer func() { err = joined(err, rows.Close()) }()
	for rows.Next() {
		var name, kind string
		var text sql.NullString
		if err := rows.Scan(&name, &kind, &text); err != nil {
			return err
		}
		var none any
		switch {
		case !text.Valid:
		case kind == "TEXT":
			none = strings.Trim(text.String, "'")
		default:
			if none, err = fitting(json.Number(text.String), kind == "INTEGER"); err != nil {
				return err
			}
		}
		f.cols, f.whole, f.none, f.refs = append(f.cols, name), append(f.whole, kind == "INTEGER"), append(f.none, none), append(f.refs, "")
		f.loose, f.along = append(f.loose, false), append(f.along, false)
	}
	return rows.Err()
}

func (f *form) references(ctx context.Context, c execer) (err error) {
	rows, err := c.QueryContext(ctx, `SELECT "table", "from", on_delete FROM pragma_foreign_key_list(?)`, f.table)
	if err != nil {
		return err
	}
	defer func() { err = joined(err, rows.Close()) }()
	for rows.Next() {
		var table, col, act string
		if err := rows.Scan(&table, &col, &act); err != nil {
			return err
		}
		i := f.col(col)
		f.refs[i], f.loose[i], f.along[i] = table, act == "SET NULL", act == "CASCADE"
	}
	return rows.Err()
}

// col is the place of a column, -1 if there is none.
func (f *form) col(name string) int {
	for i, c := range f.cols {
		if c == name {
			return i
		}
	}
	return -1
}

// row is one row of a table; its first column is its number.
type row struct {
	id   int64
	vals []any // int64, float64, string or nil
	line int   // of the file, 0 if it is not read from one
}

// origin tells where a row came from.
type origin struct {
	book, table string
	row         int64
}

// side is one of two logbooks that are held against each other.
type side struct {
	name  string
	forms map[string]*form
	rows  map[string][]row // by rising number
	at    map[string]map[int64]int
	came  map[origin][]int64            // which rows came from there
	from  map[string]map[int64][]origin // where a row came from
	old   func(table string, id int64) (pastOf, error)
}

// pastOf is what the history has of a row.
type pastOf struct {
	before  []string // what it was, the oldest first, as JSON
	removed bool     // it was removed once
	added   int64    // the deed that added it first, 0 if that is not known
}

func newSide(forms map[string]*form) *side {
	return &side{
		forms: forms, rows: map[string][]row{}, at: map[string]map[int64]int{},
		came: map[origin][]int64{}, from: map[string]map[int64][]origin{},
	}
}

func (s *side) add(table string, r row) {
	s.rows[table] = append(s.rows[table], r)
}

// row is the row of a number, nil if there is none.
func (s *side) row(table string, id int64) *row {
	if s.at[table] == nil {
		at := make(map[int64]int, len(s.rows[table]))
		for i := range s.rows[table] {
			at[s.rows[table][i].id] = i
		}
		s.at[table] = at
	}
	if i, ok := s.at[table][id]; ok {
		return &s.rows[table][i]
	}
	return nil
}

// know reads the name and the origins out of the rows.
func (s *side) know() {
	for _, r := range s.rows["meta"] {
		if r.vals[0] == "name" {
			s.name, _ = r.vals[1].(string)
		}
	}
	for _, r := range s.rows["origins"] {
		book, _ := r.vals[1].(string)
		table, _ := r.vals[2].(string)
		theirs, _ := r.vals[3].(int64)
		ours, _ := r.vals[4].(int64)
		n, _ := r.vals[5].(int64)
		for i := range min(n, maxOrigin) {
			k := origin{book, table, theirs + i}
			s.came[k] = append(s.came[k], ours+i)
			if s.from[table] == nil {
				s.from[table] = map[int64][]origin{}
			}
			s.from[table][ours+i] = append(s.from[table][ours+i], k)
		}
	}
}

// maxOrigin bounds one row of the origins, so that a file made to fill the memory
// cannot: far more rows than a logbook has.
const maxOrigin = 1 << 20

// removed lists the rows that the history says were removed and that are not there.
func (s *side) removed() map[string][]int64 {
	out := map[string][]int64{}
	seen := map[origin]bool{}
	for _, h := range s.rows["history"] {
		t, _ := h.vals[2].(string)
		id, _ := h.vals[3].(int64)
		if k := (origin{table: t, row: id}); h.vals[4] == actRemoved && !seen[k] && s.row(t, id) == nil {
			seen[k] = true
			out[t] = append(out[t], id)
		}
	}
	return out
}

// states lists what a row was, the oldest first, and at the end what it is, if it
// is there.
func (s *side) states(table string, id int64) (out [][]any, err error) {
	p, err := s.old(table, id)
	if err != nil {
		return nil, err
	}
	f := s.forms[table]
	for _, text := range p.before {
		vals, err := f.read(text)
		if err != nil {
			return nil, fmt.Errorf("the history of %s %d: %w", table, id, err)
		}
		out = append(out, vals)
	}
	if r := s.row(table, id); r != nil {
		out = append(out, r.vals)
	}
	return out, nil
}

// readDump reads a dump into memory and its photos into dir. One of an older form is
// first brought up to date there.
func readDump(ctx context.Context, forms map[string]*form, dir string, r io.Reader, o Options) (*side, error) {
	in := bufio.NewReaderSize(r, 1<<20)
	s := newSide(forms)
	l := &loader{ctx: ctx, dir: dir, sum: sha256.New(), kinds: map[string]map[string]string{}, adds: map[string]*shape{}, last: map[string]*shape{}}
	for t, f := range forms {
		l.kinds[t] = map[string]string{}
		for i, c := range f.cols {
			l.kinds[t][c] = "REAL"
			if f.whole[i] {
				l.kinds[t][c] = "INTEGER"
			}
		}
	}
	version, err := l.head(in)
	if err != nil {
		return nil, l.at(err)
	}
	all, err := migrations()
	if err != nil {
		return nil, err
	}
	switch {
	case version < 1 || version > len(all):
		return nil, l.at(fmt.Errorf("%w (version %d, this one knows %d)", errNewer, version, len(all)))
	case version < sameLines:
		return readOlder(ctx, forms, dir, io.MultiReader(bytes.NewReader(l.first), in), o)
	}
	l.keep = s.keep(l)
	if err := s.blocks(l, in); err != nil {
		return nil, l.at(err)
	}
	s.know()
	s.old = s.oldInMemory()
	return s, nil
}

// readOlder makes a logbook of a dump and reads that. The new form has the rows in the
// same order, so that the lines are the same.
func readOlder(ctx context.Context, forms map[string]*form, dir string, r io.Reader, o Options) (s *side, err error) {
	if err := loadInto(ctx, dir, r, o); err != nil {
		return nil, err
	}
	b, err := Open(ctx, dir, o)
	if err != nil {
		return nil, err
	}
	defer func() { err = joined(err, b.Close()) }()
	if s, err = readSide(ctx, b.db, forms, dumped()); err != nil {
		return nil, err
	}
	line := 1 // the head
	for _, t := range dumped() {
		for i := range s.rows[t] {
			line++
			s.rows[t][i].line = line
		}
	}
	s.old = s.oldInMemory()
	return s, nil
}

// keep takes the rows of a dump as they are read.
func (s *side) keep(l *loader) func(k *shape, vals []any) error {
	return func(k *shape, vals []any) error {
		f := s.forms[k.table]
		r := row{vals: make([]any, len(f.cols)), line: l.number}
		copy(r.vals, f.none)
		for i, v := range vals {
			at := i
			if at >= len(f.cols) || f.cols[at] != k.cols[i] {
				at = f.col(k.cols[i])
			}
			r.vals[at] = v
		}
		id, ok := r.vals[0].(int64)
		if !ok && k.table != "meta" {
			return fmt.Errorf("a row of %s without a number", k.table)
		}
		r.id = id
		s.add(k.table, r)
		return nil
	}
}

// oldInMemory looks up the history among the rows.
func (s *side) oldInMemory() func(table string, id int64) (pastOf, error) {
	type key struct {
		table string
		id    int64
	}
	var at map[key]pastOf
	return func(table string, id int64) (pastOf, error) {
		if at == nil {
			at = map[key]pastOf{}
			for _, h := range s.rows["history"] {
				t, _ := h.vals[2].(string)
				n, _ := h.vals[3].(int64)
				deed, _ := h.vals[1].(int64)
				before, _ := h.vals[5].(string)
				at[key{t, n}] = at[key{t, n}].then(deed, text(h.vals[4]), before)
			}
		}
		return at[key{table, id}], nil
	}
}

// readSide reads tables of a logbook's file.
func readSide(ctx context.Context, c execer, forms map[string]*form, tables []string) (*side, error) {
	s := newSide(forms)
	for _, t := range tables {
		if err := s.table(ctx, c, t); err != nil {
			return nil, fmt.Errorf("%s: %w", t, err)
		}
	}
	s.know()
	s.old = func(table string, id int64) (pastOf, error) { return pastIn(ctx, c, table, id) }
	return s, nil
}

// What the history says was done to a row.
const (
	actAdded   = "added"
	actChanged = "changed"
	actRemoved = "removed"
)

// then is the past with one more entry of the history.
func (p pastOf) then(deed int64, act, before string) pastOf {
	if before != "" {
		p.before = append(p.before, before)
	} else if p.added == 0 {
		p.added = deed
	}
	p.removed = p.removed || act == actRemoved
	return p
}

// pastIn reads the history of a row.
func pastIn(ctx context.Context, c execer, table string, id int64) (out pastOf, err error) {
	err = entriesOfRow(ctx, c.QueryContext, table, id, false, func(e *entry) error {
		out = out.then(e.deed.Int64, e.act, e.before.String)
		return nil
	})
	return out, err
}

// history reads the history of a logbook's file.
func (s *side) history(ctx context.Context, c execer) error {
	return entries(ctx, c.QueryContext, "1", false, func(e *entry) error {
		s.add("history", row{id: e.id, vals: e.vals()})
		return nil
	})
}

func (s *side) table(ctx context.Context, c execer, table string) (err error) {
	if table == "history" {
		return s.history(ctx, c)
	}
	f := s.forms[table]
	rows, err := c.QueryContext(ctx, "SELECT "+quoted(f.cols)+" FROM "+table+" ORDER BY 1")
	if err != nil {
		return err
	}
	defer func() { err = joined(err, rows.Close()) }()
	targets := make([]any, len(f.cols))
	for rows.Next() {
		r := row{vals: make([]any, len(f.cols))}
		for i := range r.vals {
			targets[i] = &r.vals[i]
		}
		if err := rows.Scan(targets...); err != nil {
			return err
		}
		r.id, _ = r.vals[0].(int64)
		s.add(table, r)
	}
	return rows.Err()
}
