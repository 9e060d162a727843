package logbook

import (
	"context"
	"fmt"
	"strings"
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

// noteAdded writes into the history that rows were added.
func (t *Tx) noteAdded(table string, rows spans) error {
	for _, s := range rows {
		_, err := t.exec(fmt.Sprintf(`INSERT INTO history(deed, tbl, row, act) SELECT ?, '%[1]s', id, '%[2]s' FROM %[1]s WHERE id BETWEEN ? AND ? ORDER BY id`,
			table, actAdded), int64(t.deed), s.from, s.to)
		if err != nil {
			return err
		}
	}
	return nil
}

// noteRemoved writes into the history what rows are that are about to be removed.
// Unlike in triggers, which other programs may run, real numbers need no care: this
// SQLite writes them in JSON as they are.
func (t *Tx) noteRemoved(f *form, rows spans) error {
	var was []string
	for _, c := range f.cols {
		was = append(was, fmt.Sprintf(`'%[1]s', "%[1]s"`, c))
	}
	for _, s := range rows {
		_, err := t.exec(fmt.Sprintf(`INSERT INTO history(deed, tbl, row, act, before) SELECT ?, '%[1]s', id, '%[2]s', json_object(%[3]s) FROM %[1]s
			WHERE id BETWEEN ? AND ? ORDER BY id`, f.table, actRemoved, strings.Join(was, ", ")), int64(t.deed), s.from, s.to)
		if err != nil {
			return err
		}
	}
	return nil
}
