package logbook

import (
	"context"
	"database/sql"
	"errors"
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
	if u.rows() < t.book.quiet() {
		return u.run()
	}
	return u.runQuietly()
}

// rows is how many there are to add and to remove, about.
func (u *undoing) rows() int {
	n := len(u.gone)
	for _, a := range u.added {
		n += int(a.rows())
	}
	return n
}

// errMore says that more was touched than was asked for.
var errMore = errors.New("more was touched")

// runQuietly takes many rows back. If the database takes others along it is done again
// with the triggers, which tell which.
func (u *undoing) runQuietly() error {
	if _, err := u.t.exec("SAVEPOINT quiet"); err != nil {
		return err
	}
	u.quiet = true
	err := u.t.quietly(u.run)
	if errors.Is(err, errMore) {
		u.quiet = false
		if _, err := u.t.exec("ROLLBACK TO quiet"); err != nil {
			return err
		}
		err = u.run()
	}
	if err != nil {
		return err
	}
	_, err = u.t.exec("RELEASE quiet")
	return err
}

func (u *undoing) run() (err error) {
	u.done = 0
	var before, after, noted int64
	if err := u.t.tx.QueryRowContext(u.t.ctx, "SELECT total_changes()").Scan(&before); err != nil {
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
	err = u.t.tx.QueryRowContext(u.t.ctx, "SELECT total_changes(), (SELECT count(*) FROM history WHERE deed = ?)", int64(u.t.deed)).Scan(&after, &noted)
	if err != nil {
		return err
	}
	// a row that a foreign key takes along counts as changed (sqlite.org/c3ref/total_changes.html)
	if after-before-noted != u.done {
		if err := u.more(); err != nil {
			return err
		}
	}
	return u.needed()
}

// untouchedSince refuses where a later deed changed a row of this one and was not undone.
func (t *Tx) untouchedSince(deed ID) error {
	var first sql.NullInt64
	err := t.tx.QueryRowContext(t.ctx, `SELECT min(id) FROM history WHERE id > (SELECT min(id) FROM history WHERE deed = ?1) AND deed IS NOT ?1`, int64(deed)).Scan(&first)
	if err != nil || !first.Valid {
		return err
	}
	idle, err := t.idle()
	if err != nil {
		return err
	}
	rows := map[string]spans{}
	err = entries(t.ctx, t.query, "deed = ?", false, func(e *entry) error {
		rows[e.table] = rows[e.table].with(e.row)
		return nil
	}, int64(deed))
	if err != nil {
		return err
	}
	for _, s := range rows {
		s.sort()
	}
	return entries(t.ctx, t.query, "id >= ?1 AND deed IS NOT ?2", true, func(e *entry) error {
		if idle[e.deed.Int64] || !rows[e.table].find(e.row) {
			return nil
		}
		who := fmt.Sprintf("deed %d", e.deed.Int64)
		if !e.deed.Valid {
			who = "another program"
		}
		return fmt.Errorf("deed %d cannot be undone: %s changed %s %d since; undo that first, or edit what is wrong", deed, who, wordOf(e.table), e.row)
	}, first.Int64, int64(deed))
}

// idle are the deeds that were undone and their undoings, which together changed nothing;
// where an undoing was itself undone, what it undid stands again.
func (t *Tx) idle() (map[int64]bool, error) {
	idle := map[int64]bool{}
	u := &undoing{t: t}
	err := u.each("SELECT id, undoes FROM deeds WHERE undoes IS NOT NULL ORDER BY id DESC", func(id, undoes int64) error {
		if !idle[id] {
			idle[id], idle[undoes] = true, true
		}
		return nil
	})
	return idle, err
}

// undoing is what there is to take back of a deed.
type undoing struct {
	t     *Tx
	deed  ID
	forms map[string]*form
	added map[string]spans // the rows that the deed added, by table
	past  []step           // what it changed and removed of others, the oldest first
	gone  map[origin]bool  // those of them that are not there any more
	done  int64            // how many rows were touched on purpose
	quiet bool             // no trigger notes what is added and removed
}

// step is an entry of the history with something before it.
type step struct {
	origin
	before string
}

// undoingOf reads what a deed did.
func (t *Tx) undoingOf(deed ID) (u *undoing, err error) {
	u = &undoing{t: t, deed: deed, added: map[string]spans{}, gone: map[origin]bool{}}
	if u.forms, err = formsOf(t.ctx, t.tx); err != nil {
		return nil, err
	}
	err = entries(t.ctx, t.query, "deed = ?", false, func(e *entry) error {
		if !slices.Contains(tables(), e.table) {
			return fmt.Errorf("the history names a table that is not there: %q", e.table)
		}
		u.step(step{origin{table: e.table, row: e.row}, e.before.String}, e.act)
		return nil
	}, int64(deed))
	return u, err
}

// step takes one entry of the history, in their order.
func (u *undoing) step(s step, act string) {
	_, known := u.gone[s.origin]
	switch {
	case act == actAdded && known:
		u.gone[s.origin] = false
	case act == actAdded:
		u.added[s.table] = u.added[s.table].with(s.row)
	case known || !u.added[s.table].has(s.row):
		u.past = append(u.past, s)
		u.gone[s.origin] = act == actRemoved
	}
}

// remove takes away what the deed added to a table.
func (u *undoing) remove(table string) error {
	if u.quiet {
		if err := u.t.noteRemoved(u.forms[table], u.added[table]); err != nil {
			return err
		}
	}
	for _, s := range u.added[table] {
		r, err := u.t.exec("DELETE FROM "+table+" WHERE id BETWEEN ? AND ?", s.from, s.to)
		if err != nil {
			return explain(err, table)
		}
		n, err := r.RowsAffected()
		if err != nil {
			return err
		}
		u.done += n
	}
	return nil
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
	if err := l.flush(); err != nil || !u.quiet {
		return err
	}
	for _, t := range tables() {
		var added spans
		for _, s := range lost[t] {
			added = added.with(s.row)
		}
		if err := u.t.noteAdded(t, added); err != nil {
			return err
		}
	}
	return nil
}

// more refuses if rows were taken along that the deed did not touch.
func (u *undoing) more() error {
	if u.quiet {
		return errMore
	}
	return u.refuse("came to it since", fmt.Sprintf(`SELECT tbl, row FROM history a WHERE deed = ?1
		AND NOT EXISTS (SELECT 1 FROM history e WHERE e.tbl = a.tbl AND e.row = a.row AND +e.deed = ?2)
		AND NOT EXISTS (SELECT 1 FROM history e INDEXED BY history_runs WHERE e.run > 1 AND e.tbl = a.tbl
			AND e.row >= a.row AND e.row < a.row + %d AND e.row - e.run < a.row AND +e.deed = ?2) LIMIT 1`, maxRun), int64(u.t.deed), int64(u.deed))
}

// needed refuses if a row of another deed needs what is gone.
func (u *undoing) needed() error {
	for _, t := range tables() {
		for i, to := range u.forms[t].refs {
			gone := slices.Clone(u.added[to])
			if len(gone) == 0 {
				continue
			}
			gone.sort()
			col, rest := u.forms[t].cols[i], gone
			err := u.each(fmt.Sprintf(`SELECT id, "%s" FROM %s WHERE "%[1]s" BETWEEN ? AND ?`, col, t), func(id, names int64) error {
				if !rest.find(names) {
					return nil
				}
				return u.refusal("refers to what it added", t, id)
			}, gone[0].from, gone[len(gone)-1].to)
			if err != nil {
				return err
			}
		}
	}
	return nil
}

// each gives pairs of numbers to f.
func (u *undoing) each(text string, f func(a, b int64) error, args ...any) (err error) {
	rows, err := u.t.query(u.t.ctx, text, args...)
	if err != nil {
		return err
	}
	defer func() { err = joined(err, rows.Close()) }()
	for rows.Next() {
		var a, b int64
		if err := rows.Scan(&a, &b); err != nil {
			return err
		}
		if err := f(a, b); err != nil {
			return err
		}
	}
	return rows.Err()
}

func (u *undoing) refusal(why, table string, id int64) error {
	return fmt.Errorf("deed %d cannot be undone: %s %d %s; undo that first", u.deed, wordOf(table), id, why)
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
		var id int64
		if err := rows.Scan(&table, &id); err != nil {
			return err
		}
		return u.refusal(why, table, id)
	}
	return rows.Err()
}
