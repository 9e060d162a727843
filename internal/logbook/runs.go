package logbook

import (
	"bytes"
	"context"
	"database/sql"
	"fmt"
	"strings"
)

// maxRun is how many rows an entry of the history may tell of at once. What a row was is
// looked for among the runs that end within so many rows behind it.
const maxRun = 128

// entry is what the history says of one row.
type entry struct {
	id     int64
	deed   sql.NullInt64
	table  string
	row    int64
	act    string
	before sql.NullString
}

const entryColumns = "id, deed, tbl, row, act, before, run"

// asker puts a question to the database.
type asker func(ctx context.Context, text string, args ...any) (*sql.Rows, error)

// entries gives the entries that a condition selects to f, a run row by row, by rising
// number or, backwards, by falling.
func entries(ctx context.Context, ask asker, where string, backwards bool, f func(e *entry) error, args ...any) error {
	order := " ORDER BY id"
	if backwards {
		order += " DESC"
	}
	return entriesOf(ctx, ask, "SELECT "+entryColumns+" FROM history WHERE "+where+order, backwards, f, args...)
}

// entriesOfRow gives the entries of one row to f.
func entriesOfRow(ctx context.Context, ask asker, table string, row int64, backwards bool, f func(e *entry) error) error {
	order := ""
	if backwards {
		order = " DESC"
	}
	text := fmt.Sprintf(`SELECT %[1]s FROM history WHERE tbl = ?1 AND row = ?2 AND run = 1
		UNION ALL SELECT %[1]s FROM history INDEXED BY history_runs
		WHERE run > 1 AND tbl = ?1 AND row >= ?2 AND row < ?2 + %[2]d AND row - run < ?2 ORDER BY 1%[3]s`, entryColumns, maxRun, order)
	return entriesOf(ctx, ask, text, backwards, func(e *entry) error {
		if e.row != row {
			return nil
		}
		return f(e)
	}, table, row)
}

func entriesOf(ctx context.Context, ask asker, text string, backwards bool, f func(e *entry) error, args ...any) (err error) {
	rows, err := ask(ctx, text, args...)
	if err != nil {
		return err
	}
	defer func() { err = joined(err, rows.Close()) }()
	for rows.Next() {
		var e entry
		var run int64
		if err := rows.Scan(&e.id, &e.deed, &e.table, &e.row, &e.act, &e.before, &run); err != nil {
			return err
		}
		if err := e.each(run, backwards, f); err != nil {
			return err
		}
	}
	return rows.Err()
}

// each gives the entries of a run to f.
func (e *entry) each(run int64, backwards bool, f func(e *entry) error) error {
	if run == 1 {
		return f(e)
	}
	damaged := fmt.Errorf("the history of %s %d is damaged: entry %d is not of %d rows", e.table, e.row, e.id, run)
	var names, lines []string
	if e.before.Valid {
		lines = strings.Split(e.before.String, "\n")
		names, lines = elements(lines[0]), lines[1:]
	}
	if run < 1 || run > maxRun || e.before.Valid && int64(len(lines)) != run {
		return damaged
	}
	for k := range run {
		if backwards {
			k = run - 1 - k
		}
		one := *e
		one.id, one.row = e.id-run+1+k, e.row-run+1+k
		if e.before.Valid {
			var ok bool
			if one.before.String, ok = object(names, lines[k]); !ok {
				return damaged
			}
		}
		if err := f(&one); err != nil {
			return err
		}
	}
	return nil
}

// elements are the texts of the values in an array of JSON that holds neither arrays nor
// objects, without spaces between them; nil if it is anything else.
func elements(array string) (out []string) {
	rest := []byte(array)
	for opens := byte('['); len(rest) > 1 && rest[0] == opens; opens = ',' {
		n, b := 0, rest[1:]
		switch {
		case b[0] == '"':
			n = textEnd(b)
		case bytes.HasPrefix(b, []byte("null")):
			n = len("null")
		default:
			n = numberEnd(b)
		}
		if n <= 0 {
			return nil
		}
		out, rest = append(out, string(b[:n])), b[n:]
	}
	if len(rest) != 1 || rest[0] != ']' {
		return nil
	}
	return out
}

// object is an object of JSON with the names and the values of two arrays.
func object(names []string, values string) (string, bool) {
	vals := elements(values)
	if len(vals) != len(names) || len(names) == 0 {
		return "", false
	}
	var b strings.Builder
	for i, v := range vals {
		b.WriteByte("{,"[min(i, 1)])
		b.WriteString(names[i] + ":" + v)
	}
	b.WriteByte('}')
	return b.String(), true
}

// vals are the values of an entry in the columns of a dump.
func (e *entry) vals() []any {
	v := []any{e.id, nil, e.table, e.row, e.act, nil}
	if e.deed.Valid {
		v[1] = e.deed.Int64
	}
	if e.before.Valid {
		v[5] = e.before.String
	}
	return v
}

// cut calls f with pieces of at most maxRun rows.
func (s spans) cut(f func(from, to int64) error) error {
	for _, a := range s {
		for from := a.from; from <= a.to; from += maxRun {
			if err := f(from, min(a.to, from+maxRun-1)); err != nil {
				return err
			}
		}
	}
	return nil
}

// noted is the number of the history's last entry.
func (t *Tx) noted() (n int64, err error) {
	err = t.tx.QueryRowContext(t.ctx, "SELECT coalesce(max(id), 0) FROM history").Scan(&n)
	return n, err
}

// noteAdded writes into the history that rows were added.
func (t *Tx) noteAdded(table string, rows spans) error {
	last, err := t.noted()
	if err != nil {
		return err
	}
	return rows.cut(func(from, to int64) error {
		last += to - from + 1
		_, err := t.exec("INSERT INTO history(id, deed, tbl, row, act, run) VALUES (?, ?, ?, ?, ?, ?)", last, int64(t.deed), table, to, actAdded, to-from+1)
		return err
	})
}

// noteRemoved writes into the history what rows are that are about to be removed.
// Unlike in triggers, which other programs may run, real numbers need no care: this
// SQLite writes them in JSON as they are, and line ends within texts as \n.
func (t *Tx) noteRemoved(f *form, rows spans) (err error) {
	var was []string
	for _, c := range f.cols {
		was = append(was, fmt.Sprintf(`'%[1]s', "%[1]s"`, c))
	}
	last, err := t.noted()
	if err != nil {
		return err
	}
	object := "json_object(" + strings.Join(was, ", ") + ")"
	many := fmt.Sprintf(`INSERT INTO history(id, deed, tbl, row, act, before, run)
		SELECT ?, ?, '%[1]s', max(id), '%[2]s', json_array('%[3]s') || char(10) || group_concat(json_array(%[4]s), char(10)), count(*)
		FROM (SELECT * FROM %[1]s WHERE id BETWEEN ? AND ? ORDER BY id) HAVING count(*) = ?`, f.table, actRemoved, strings.Join(f.cols, "', '"), quoted(f.cols))
	single := fmt.Sprintf(`INSERT INTO history(deed, tbl, row, act, before) SELECT ?, '%[1]s', id, '%[2]s', %[3]s FROM %[1]s WHERE id BETWEEN ? AND ? ORDER BY id`,
		f.table, actRemoved, object)
	run, err := t.tx.PrepareContext(t.ctx, many)
	if err != nil {
		return err
	}
	defer func() { err = joined(err, run.Close()) }()
	return rows.cut(func(from, to int64) error {
		n := int64(0)
		if to > from {
			r, err := run.ExecContext(t.ctx, last+to-from+1, int64(t.deed), from, to, to-from+1)
			if err != nil {
				return err
			}
			if n, err = r.RowsAffected(); err != nil {
				return err
			}
			last += n * (to - from + 1)
		}
		if n > 0 {
			return nil
		}
		r, err := t.exec(single, int64(t.deed), from, to) // one, or some of them are not there any more
		if err != nil {
			return err
		}
		n, err = r.RowsAffected()
		last += n
		return err
	})
}
