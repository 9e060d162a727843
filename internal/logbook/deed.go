package logbook

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"time"
)

// querier is what can be asked: a Book or a Tx.
type querier interface {
	query(ctx context.Context, text string, args ...any) (*sql.Rows, error)
}

func (b *Book) query(ctx context.Context, text string, args ...any) (*sql.Rows, error) {
	return b.db.QueryContext(ctx, text, args...)
}

// Tx is one deed being done.
type Tx struct {
	tx   *sql.Tx
	conn *sql.Conn // on which tx runs
	book *Book
	now  time.Time
	deed ID
	ctx  context.Context     //nolint:containedctx // lives as long as the call of Do that was given it
	over map[*form]*sql.Stmt // write over a row; they end with tx
}

func (t *Tx) query(ctx context.Context, text string, args ...any) (*sql.Rows, error) {
	return t.tx.QueryContext(ctx, text, args...)
}

func (t *Tx) exec(text string, args ...any) (sql.Result, error) {
	return t.tx.ExecContext(t.ctx, text, args...)
}

// Now is the time of the deed, to the second, in the maker's zone.
func (t *Tx) Now() time.Time { return t.now }

// ErrNothing may be returned by the function given to Do: nothing is to be done,
// and no trace of the deed stays.
var ErrNothing = errors.New("nothing to do")

// Do does one deed: whatever f does is done whole, or, where f or the commit
// fails, not at all. what tells in the history what was done, such as the command
// line. The deed's number is 0 if f returned ErrNothing or changed nothing: no trace
// of it then stays.
func (b *Book) Do(ctx context.Context, what string, f func(*Tx) error) (ID, error) {
	return b.do(ctx, what, 0, f)
}

func (b *Book) do(ctx context.Context, what string, undoes ID, f func(*Tx) error) (deed ID, err error) {
	if b.now == nil {
		return 0, errors.New("the logbook is open for reading only")
	}
	c, err := b.db.Conn(ctx)
	if err != nil {
		return 0, err
	}
	defer func() { err = joined(err, c.Close()) }()
	tx, err := c.BeginTx(ctx, nil)
	if err != nil {
		return 0, busy(err)
	}
	defer func() {
		if err != nil || deed == 0 {
			err = joined(err, tx.Rollback())
		}
	}()
	t := &Tx{tx: tx, conn: c, book: b, now: b.now().Truncate(time.Second), ctx: ctx}
	_, offset := t.now.Zone()
	r, err := t.exec("INSERT INTO deeds(at, at_offset, what, undoes) VALUES (?, ?, ?, ?)",
		t.now.UTC().Format(timeLayout), offset/60, what, sql.NullInt64{Int64: int64(undoes), Valid: undoes != 0})
	if err != nil {
		return 0, busy(err)
	}
	n, err := r.LastInsertId()
	if err != nil {
		return 0, err
	}
	t.deed = ID(n)
	if _, err := t.exec("UPDATE doing SET deed = ?", n); err != nil {
		return 0, err
	}
	if err := f(t); errors.Is(err, ErrNothing) {
		return 0, nil
	} else if err != nil {
		return 0, err
	}
	var touched bool
	if err := tx.QueryRowContext(ctx, "SELECT EXISTS (SELECT 1 FROM history WHERE deed = ?)", n).Scan(&touched); err != nil || !touched {
		return 0, err
	}
	if _, err := t.exec("UPDATE doing SET deed = NULL"); err != nil {
		return 0, err
	}
	if err := tx.Commit(); err != nil {
		return 0, busy(err)
	}
	return t.deed, nil
}

// busy words the one failure that a maker can do something about.
func busy(err error) error {
	if strings.Contains(err.Error(), "SQLITE_BUSY") {
		return fmt.Errorf("another program has kept the logbook busy for %d s; end it and try again: %w", busyMillis/1000, err)
	}
	return err
}

// Add puts a record into the logbook and sets its ID.
func Add[T Record](t *Tx, v *T) error {
	if err := fit(v, t.now); err != nil {
		return err
	}
	rv := reflect.ValueOf(v).Elem()
	cols := columns(rv.Type())
	vals, err := values(rv)
	if err != nil {
		return err
	}
	// a number that a removed record had is not given again: its history is another's
	// (the history's index has the greatest at its end)
	text := fmt.Sprintf(`INSERT INTO %[1]s(%[2]s) VALUES (1 + max(coalesce((SELECT max(id) FROM %[1]s), 0), coalesce((SELECT max(row) FROM history WHERE tbl = '%[1]s'), 0)), %[3]s)`,
		tableOf[T](), quoted(cols), strings.TrimSuffix(strings.Repeat("?, ", len(cols)-1), ", "))
	r, err := t.exec(text, vals[1:]...)
	if err != nil {
		return explain(err, tableOf[T]())
	}
	id, err := r.LastInsertId()
	rv.FieldByName("ID").SetInt(id)
	return err
}

// Change writes a record over the one with its ID. What it was stays in the history.
func Change[T Record](t *Tx, v *T) error {
	if err := fit(v, t.now); err != nil {
		return err
	}
	rv := reflect.ValueOf(v).Elem()
	cols := columns(rv.Type())
	vals, err := values(rv)
	if err != nil {
		return err
	}
	set := strings.ReplaceAll(quoted(cols[1:]), ",", " = ?,") + " = ?"
	r, err := t.exec(fmt.Sprintf("UPDATE %s SET %s WHERE id = ?", tableOf[T](), set), append(vals[1:], vals[0])...)
	if err != nil {
		return explain(err, tableOf[T]())
	}
	return touched(r, tableOf[T](), ID(rv.FieldByName("ID").Int()))
}

// overwrite writes a row over the one with its number.
func (t *Tx) overwrite(f *form, r *row) (err error) {
	s := t.over[f]
	if s == nil {
		set := strings.ReplaceAll(quoted(f.cols[1:]), ",", " = ?,") + " = ?"
		if s, err = t.tx.PrepareContext(t.ctx, fmt.Sprintf("UPDATE %s SET %s WHERE id = ?", f.table, set)); err != nil {
			return err
		}
		if t.over == nil {
			t.over = map[*form]*sql.Stmt{}
		}
		t.over[f] = s
	}
	res, err := s.ExecContext(t.ctx, append(slices.Clone(r.vals[1:]), r.id)...)
	if err != nil {
		return explain(err, f.table)
	}
	return touched(res, f.table, ID(r.id))
}

// Drop removes a record, and with a trial its readings, photos, faults and parts.
// The history keeps them all; Undo brings them back.
func Drop[T Record](t *Tx, id ID) error {
	r, err := t.exec(fmt.Sprintf("DELETE FROM %s WHERE id = ?", tableOf[T]()), int64(id))
	if err != nil {
		if needed := t.needing(tableOf[T](), int64(id)); needed != nil {
			return needed
		}
		return explain(err, tableOf[T]())
	}
	return touched(r, tableOf[T](), id)
}

func touched(r sql.Result, table string, id ID) error {
	n, err := r.RowsAffected()
	if err == nil && n == 0 {
		return noSuch(table, id)
	}
	return err
}

// ErrNoSuch says that a row is not there.
var ErrNoSuch = errors.New("there is none")

func noSuch(table string, id ID) error {
	return fmt.Errorf("%s %d: %w with this number", wordOf(table), id, ErrNoSuch)
}

func quoted(cols []string) string { return `"` + strings.Join(cols, `", "`) + `"` }

// explain words the constraints that a maker can run into.
func explain(err error, table string) error {
	text := err.Error()
	switch {
	case strings.Contains(text, "UNIQUE constraint failed: revisions"):
		return fmt.Errorf("this revision is in the logbook already: %w", err)
	case strings.Contains(text, "UNIQUE constraint failed"):
		return fmt.Errorf("%s: there is one of this name already: %w", table, err)
	case strings.Contains(text, "FOREIGN KEY constraint failed"):
		return fmt.Errorf("%s: something else in the logbook needs it, or it names something that is not there: %w", table, err)
	default:
		return fmt.Errorf("%s: %w", table, err)
	}
}

// Get reads the record with the given ID.
func Get[T Record](ctx context.Context, q querier, id ID) (T, error) {
	all, err := All[T](ctx, q, "id = ?", int64(id))
	if err == nil && len(all) == 0 {
		err = noSuch(tableOf[T](), id)
	}
	if err != nil {
		var none T
		return none, err
	}
	return all[0], nil
}

// All reads the records that a condition in SQL selects, such as "revision = ?
// ORDER BY id"; the columns are named as the fields in JSON. Without a condition
// it reads all, by rising ID.
func All[T Record](ctx context.Context, q querier, where string, args ...any) (out []T, err error) {
	if where == "" {
		where = "1 ORDER BY id"
	}
	var v T
	for i, a := range args {
		if id, ok := a.(ID); ok {
			args[i] = int64(id)
		}
	}
	rows, err := q.query(ctx, fmt.Sprintf("SELECT %s FROM %s WHERE %s", quoted(columns(reflect.TypeOf(v))), tableOf[T](), where), args...)
	if err != nil {
		return nil, err
	}
	defer func() { err = joined(err, rows.Close()) }()
	s := newScanner[T]()
	for rows.Next() {
		v, err := s.read(rows)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", tableOf[T](), err)
		}
		out = append(out, v)
	}
	return out, rows.Err()
}
