package logbook

import (
	"context"
	"database/sql"
	"fmt"
	"slices"
)

// Undo undoes a deed, or with 0 the newest that is not undone and is not itself an
// undoing. It is refused where later deeds built upon it, and says which.
func (b *Book) Undo(ctx context.Context, deed ID) (undone Deed, err error) {
	where, args := "d.undoes IS NULL AND NOT EXISTS (SELECT 1 FROM deeds u WHERE u.undoes = d.id) ORDER BY d.id DESC LIMIT 1", []any{}
	if deed != 0 {
		where, args = "d.id = ?", []any{int64(deed)}
	}
	found, err := deeds(ctx, b, where, args...)
	if err != nil {
		return undone, err
	}
	if len(found) == 0 {
		return undone, fmt.Errorf("nothing to undo: %w", ErrNoSuch)
	}
	undone = found[0]
	if undone.Undone != 0 {
		return undone, fmt.Errorf("deed %d is undone already, by deed %d; to bring it back undo that one", undone.ID, undone.Undone)
	}
	_, err = b.do(ctx, "undo: "+undone.What, undone.ID, func(t *Tx) error { return t.reverse(undone.ID) })
	return undone, err
}

// reverse takes every row of a deed back to what it was before it. Rows that the deed
// added go first, what belongs to a record before the record; then what it changed is
// changed back, the last change first; then what it removed comes again, a record
// before what belongs to it. So no name is ever there twice: besides the rows of other
// deeds there are always some of those that were there at one time within the deed,
// as they were then.
func (t *Tx) reverse(deed ID) error {
	if err := t.untouchedSince(deed); err != nil {
		return err
	}
	if _, err := t.exec("PRAGMA defer_foreign_keys = 1"); err != nil {
		return err
	}
	u, err := t.undoingOf(deed)
	if err != nil {
		return err
	}
	for _, table := range slices.Backward(tables()) {
		if err := u.remove(table); err != nil {
			return fmt.Errorf("%s: %w", table, err)
		}
	}
	if err := u.bringBack(); err != nil {
		return err
	}
	return u.alone()
}

// untouchedSince refuses where a later deed changed a row of this one.
func (t *Tx) untouchedSince(deed ID) (err error) {
	rows, err := t.query(t.ctx, `SELECT l.tbl, l.row, coalesce(l.deed, 0) FROM history l
		WHERE l.id > (SELECT min(id) FROM history WHERE deed = ?1) AND l.deed IS NOT ?1
		AND EXISTS (SELECT 1 FROM history e WHERE e.tbl = l.tbl AND e.row = l.row AND +e.deed = ?1 AND e.id < l.id)
		ORDER BY l.id DESC LIMIT 1`, int64(deed))
	if err != nil {
		return err
	}
	defer func() { err = joined(err, rows.Close()) }()
	if rows.Next() {
		var table string
		var row, later ID
		if err := rows.Scan(&table, &row, &later); err != nil {
			return err
		}
		who := fmt.Sprintf("deed %d", later)
		if later == 0 {
			who = "another program"
		}
		return fmt.Errorf("deed %d cannot be undone: %s changed %s %d since; undo that first, or edit what is wrong", deed, who, table, row)
	}
	return rows.Err()
}

// undoing is what there is to take back of a deed.
type undoing struct {
	t     *Tx
	deed  ID
	forms map[string]*form
	added map[string][]span // the rows that the deed added, by table
	past  []step            // what it changed and removed of others, the oldest first
	gone  map[origin]bool   // those of them that are not there any more
	done  int64             // how many rows were touched
}

// span is the rows from, from+1 ... to of a table.
type span struct{ from, to int64 }

// step is an entry of the history with something before it.
type step struct {
	origin
	before string
}

// undoingOf reads what a deed did.
func (t *Tx) undoingOf(deed ID) (u *undoing, err error) {
	u = &undoing{t: t, deed: deed, added: map[string][]span{}, gone: map[origin]bool{}}
	if u.forms, err = formsOf(t.ctx, t.tx); err != nil {
		return nil, err
	}
	rows, err := t.query(t.ctx, "SELECT tbl, row, act, before FROM history WHERE deed = ? ORDER BY id", int64(deed))
	if err != nil {
		return nil, err
	}
	defer func() { err = joined(err, rows.Close()) }()
	for rows.Next() {
		var s step
		var act string
		var before sql.NullString
		if err := rows.Scan(&s.table, &s.row, &act, &before); err != nil {
			return nil, err
		}
		if !slices.Contains(tables(), s.table) {
			return nil, fmt.Errorf("the history names a table that is not there: %q", s.table)
		}
		s.before = before.String
		u.step(s, act)
	}
	return u, rows.Err()
}

// step takes one entry of the history, in their order.
func (u *undoing) step(s step, act string) {
	_, known := u.gone[s.origin]
	switch {
	case act == actAdded && known:
		u.gone[s.origin] = false
	case act == actAdded:
		of := u.added[s.table]
		if n := len(of); n > 0 && of[n-1].to == s.row-1 {
			of[n-1].to = s.row
		} else {
			u.added[s.table] = append(of, span{s.row, s.row})
		}
	case known || !slices.ContainsFunc(u.added[s.table], func(a span) bool { return a.from <= s.row && s.row <= a.to }):
		u.past = append(u.past, s)
		u.gone[s.origin] = act == actRemoved
	}
}

// remove takes away what the deed added to a table.
func (u *undoing) remove(table string) error {
	for _, s := range u.added[table] {
		r, err := u.t.exec("DELETE FROM "+table+" WHERE id BETWEEN ? AND ?", s.from, s.to)
		if err != nil {
			return explain(err, table)
		}
		if err := u.count(r); err != nil {
			return err
		}
	}
	return nil
}

func (u *undoing) count(r sql.Result) error {
	n, err := r.RowsAffected()
	u.done += n
	return err
}

// bringBack makes what the deed changed and removed what it was.
func (u *undoing) bringBack() error {
	lost, seen := map[string][]step{}, map[origin]bool{}
	for _, s := range u.past {
		if u.gone[s.origin] && !seen[s.origin] {
			seen[s.origin] = true
			lost[s.table] = append(lost[s.table], s)
		}
	}
	for _, s := range slices.Backward(u.past) {
		if u.gone[s.origin] {
			continue
		}
		r, err := u.was(s)
		if err != nil {
			return err
		}
		if err := u.t.overwrite(u.forms[s.table], &r); err != nil {
			return err
		}
		u.done++
	}
	if len(lost) == 0 {
		return nil
	}
	return u.restore(lost)
}

// was is the row as the history has it.
func (u *undoing) was(s step) (row, error) {
	vals, err := u.forms[s.table].read(s.before)
	if err != nil {
		return row{}, fmt.Errorf("the history of %s %d: %w", s.table, s.row, err)
	}
	return row{id: s.row, vals: vals}, nil
}

// restore adds rows again as they were.
func (u *undoing) restore(lost map[string][]step) (err error) {
	l := &loader{ctx: u.t.ctx, c: u.t.conn}
	if err := l.know(); err != nil {
		return err
	}
	defer func() { err = joined(err, l.close()) }()
	for _, t := range tables() {
		for _, s := range lost[t] {
			r, err := u.was(s)
			if err != nil {
				return err
			}
			if err := l.addRow(u.forms[t], &r); err != nil {
				return explain(err, t)
			}
			u.done++
		}
	}
	return l.flush()
}

// alone makes sure that nothing else was touched or needs what is gone. Every row that
// a trigger noted and that was not asked for was taken along by the database.
func (u *undoing) alone() error {
	var noted int64
	if err := u.t.tx.QueryRowContext(u.t.ctx, "SELECT count(*) FROM history WHERE deed = ?", int64(u.t.deed)).Scan(&noted); err != nil {
		return err
	}
	if noted != u.done {
		if err := u.refuse("came to it since", `SELECT tbl, row FROM history a WHERE deed = ? AND NOT EXISTS
			(SELECT 1 FROM history e WHERE e.tbl = a.tbl AND e.row = a.row AND +e.deed = ?) LIMIT 1`, int64(u.t.deed), int64(u.deed)); err != nil {
			return err
		}
	}
	for _, t := range tables() {
		f := u.forms[t]
		for i, to := range f.refs {
			if to == "" || len(u.added[to]) == 0 {
				continue
			}
			err := u.refuse("needs it", fmt.Sprintf(`SELECT '%s', id FROM %s WHERE "%s" IN
				(SELECT row FROM history WHERE tbl = ? AND +deed = ? AND act = 'added') LIMIT 1`, t, t, f.cols[i]), to, int64(u.deed))
			if err != nil {
				return err
			}
		}
	}
	return nil
}

// refuse is an error if a question finds a row.
func (u *undoing) refuse(why, text string, args ...any) (err error) {
	rows, err := u.t.query(u.t.ctx, text, args...)
	if err != nil {
		return err
	}
	defer func() { err = joined(err, rows.Close()) }()
	if rows.Next() {
		var table string
		var id ID
		if err := rows.Scan(&table, &id); err != nil {
			return err
		}
		return fmt.Errorf("deed %d cannot be undone: %s %d %s; undo that first", u.deed, table, id, why)
	}
	return rows.Err()
}
