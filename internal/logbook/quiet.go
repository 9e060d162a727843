package logbook

import (
	"cmp"
	"context"
	"slices"
)

// quietRows is from how many rows on a deed is done quietly: the triggers that keep the
// history cost two thirds of adding or removing a row, taking them away and making them
// again as much as some hundred rows.
const quietRows = 1000

// quiet is from how many rows on a deed is done quietly.
func (b *Book) quiet() int {
	if b.quietFrom > 0 {
		return b.quietFrom
	}
	return quietRows
}

// span is the rows from, from+1 ... to of a table.
type span struct{ from, to int64 }

// spans are rows of a table.
type spans []span

// with is the rows and one more, which must not be among them.
func (s spans) with(id int64) spans {
	if n := len(s); n > 0 && s[n-1].to == id-1 {
		s[n-1].to = id
		return s
	}
	return append(s, span{id, id})
}

func (s spans) has(id int64) bool {
	for _, a := range s {
		if a.from <= id && id <= a.to {
			return true
		}
	}
	return false
}

// sort puts the spans into the order of their rows.
func (s spans) sort() { slices.SortFunc(s, func(a, b span) int { return cmp.Compare(a.from, b.from) }) }

// find is has for spans in order.
func (s spans) find(id int64) bool {
	i, found := slices.BinarySearchFunc(s, id, func(a span, id int64) int { return cmp.Compare(a.from, id) })
	return found || i > 0 && id <= s[i-1].to
}

func (s spans) rows() (n int64) {
	for _, a := range s {
		n += a.to - a.from + 1
	}
	return n
}

// quietly does f without the triggers that note what is added and removed; f notes
// that itself, of many rows at once (noteAdded, noteRemoved). What it does not note it
// must make sure did not happen.
func (t *Tx) quietly(f func() error) error {
	if err := dropTriggers(t.ctx, t.tx, actAdded, actRemoved); err != nil {
		return err
	}
	// the one check of a table is of the word that noteAdded and noteRemoved write, and
	// costs a third of the row
	if _, err := t.exec("PRAGMA ignore_check_constraints = 1"); err != nil {
		return err
	}
	err := f()
	if _, e := t.conn.ExecContext(context.WithoutCancel(t.ctx), "PRAGMA ignore_check_constraints = 0"); e != nil || err != nil {
		return joined(err, e)
	}
	return rebuildTriggers(t.ctx, t.tx)
}
