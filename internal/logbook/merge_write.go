package logbook

import (
	"cmp"
	"context"
	"database/sql"
	"fmt"
	"slices"
)

// fill makes all rows of a logbook those of another, history and all, within a
// transaction of the connection.
func fill(ctx context.Context, c *sql.Conn, from *side) (err error) {
	if _, err := c.ExecContext(ctx, "PRAGMA defer_foreign_keys = 1"); err != nil {
		return err
	}
	if err := dropTriggers(ctx, c, actAdded, actChanged, actRemoved); err != nil {
		return err
	}
	l := &loader{ctx: ctx, c: c}
	if err := l.know(); err != nil {
		return err
	}
	defer func() { err = joined(err, l.close()) }()
	all := dumped()
	slices.Reverse(all)
	for _, t := range all {
		if _, err := c.ExecContext(ctx, "DELETE FROM "+t); err != nil {
			return err
		}
	}
	if err := l.dropIndices(); err != nil {
		return err
	}
	for _, t := range dumped() {
		for i := range from.rows[t] {
			if err := l.addRow(from.forms[t], &from.rows[t][i]); err != nil {
				return err
			}
		}
	}
	if err := l.flush(); err != nil {
		return err
	}
	return l.end()
}

// addRow adds a row, together with others of its table.
func (l *loader) addRow(f *form, r *row) error {
	l.number = r.line
	k := l.last[f.table]
	if k == nil {
		var err error
		if k, err = l.shapeOf(f.table, f.cols); err != nil {
			return err
		}
		l.last[f.table] = k
	}
	vals := k.row()
	copy(vals, r.vals)
	for i, v := range vals {
		k.vary[i] = k.vary[i] || k.rows > 0 && v != k.wait[i]
	}
	if err := l.put(k); err != nil {
		return l.at(err)
	}
	return nil
}

// write does what merge found out.
func (m *merger) write() (err error) {
	l := &loader{ctx: m.t.ctx, c: m.t.conn}
	if err := l.know(); err != nil {
		return err
	}
	defer func() { err = joined(err, l.close()) }()
	if _, err := m.t.exec("PRAGMA defer_foreign_keys = 1"); err != nil {
		return err
	}
	if err := m.writeFresh(l); err != nil {
		return err
	}
	for _, t := range tables() {
		for i := range m.changed[t] {
			if err := m.t.overwrite(m.forms[t], &m.changed[t][i]); err != nil {
				return fmt.Errorf("line %d: %w", m.changed[t][i].line, err)
			}
		}
	}
	all := tables()
	slices.Reverse(all)
	for _, t := range all {
		for _, id := range m.removed[t] {
			if _, err := m.t.exec("DELETE FROM "+t+" WHERE id = ?", id); err != nil {
				return explain(err, t)
			}
		}
	}
	return m.noteOrigins()
}

// writeFresh adds the rows that are not here.
func (m *merger) writeFresh(l *loader) error {
	n := 0
	for _, t := range tables() {
		n += len(m.fresh[t])
	}
	all := func() error {
		for _, t := range tables() {
			for i := range m.fresh[t] {
				if err := l.addRow(m.forms[t], &m.fresh[t][i]); err != nil {
					return explain(err, t)
				}
			}
		}
		return l.flush()
	}
	if n < m.t.book.quiet() {
		return all()
	}
	return m.t.quietly(func() error {
		if err := all(); err != nil {
			return err
		}
		for _, t := range tables() {
			var added spans
			for i := range m.fresh[t] {
				added = added.with(m.fresh[t][i].id)
			}
			if err := m.t.noteAdded(t, added); err != nil {
				return err
			}
		}
		return nil
	})
}

// noteOrigins writes which rows came from where, those in a row together.
func (m *merger) noteOrigins() error {
	var last origin
	var ours, n int64
	write := func() error {
		if n == 0 {
			return nil
		}
		_, err := m.t.exec(`INSERT INTO origins(id, book, tbl, theirs, ours, n) VALUES
			(1 + max(coalesce((SELECT max(id) FROM origins), 0), coalesce((SELECT max(row) FROM history WHERE tbl = 'origins'), 0)), ?, ?, ?, ?, ?)`,
			last.book, last.table, last.row, ours, n)
		return err
	}
	slices.SortFunc(m.news, func(a, b news) int {
		return cmp.Or(cmp.Compare(a.book, b.book), cmp.Compare(a.table, b.table), cmp.Compare(a.row, b.row), cmp.Compare(a.ours, b.ours))
	})
	for _, c := range m.news {
		if n > 0 && n < maxOrigin && c.book == last.book && c.table == last.table && c.row == last.row+n && c.ours == ours+n {
			n++
			continue
		}
		if err := write(); err != nil {
			return err
		}
		last, ours, n = c.origin, c.ours, 1
	}
	return write()
}
