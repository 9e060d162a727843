package logbook

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Deed is one thing that was done to the logbook.
type Deed struct {
	ID     ID        `json:"id"`
	At     time.Time `json:"at"`
	What   string    `json:"what"`
	Undoes ID        `json:"undoes"` // the deed that this one undid
	Undone ID        `json:"undone"` // the deed that undid this one
	Rows   int       `json:"rows"`   // rows added, changed and removed
}

// Past is what one row was before a deed.
type Past struct {
	ID     ID              `json:"id"`
	Deed   ID              `json:"deed"` // 0: changed by another program than feint
	Table  string          `json:"table"`
	Row    ID              `json:"row"`
	Act    string          `json:"act"` // added, changed, removed
	Before json.RawMessage `json:"before"`
}

// Deeds lists the last n deeds, the newest first; 0 lists all.
func Deeds(ctx context.Context, q querier, n int) (out []Deed, err error) {
	if n <= 0 {
		n = -1
	}
	return deeds(ctx, q, "1 ORDER BY d.id DESC LIMIT ?", n)
}

func deeds(ctx context.Context, q querier, where string, args ...any) (out []Deed, err error) {
	rows, err := q.query(ctx, `SELECT d.id, d.at, d.at_offset, d.what, coalesce(d.undoes, 0),
		coalesce((SELECT max(u.id) FROM deeds u WHERE u.undoes = d.id), 0),
		(SELECT count(*) FROM history h WHERE h.deed = d.id) FROM deeds d WHERE `+where, args...)
	if err != nil {
		return nil, err
	}
	defer func() { err = joined(err, rows.Close()) }()
	known := zones{}
	for rows.Next() {
		var d Deed
		var at string
		var offset int
		if err := rows.Scan(&d.ID, &at, &offset, &d.What, &d.Undoes, &d.Undone, &d.Rows); err != nil {
			return nil, err
		}
		if d.At, err = known.parse(at, offset); err != nil {
			return nil, err
		}
		out = append(out, d)
	}
	return out, rows.Err()
}

// PastOf lists what a row was, the newest first.
func PastOf[T Record](ctx context.Context, q querier, id ID) ([]Past, error) {
	return past(ctx, q, "tbl = ? AND row = ? ORDER BY id DESC", tableOf[T](), int64(id))
}

// PastOfDeed lists what a deed touched, the last first.
func PastOfDeed(ctx context.Context, q querier, deed ID) ([]Past, error) {
	return past(ctx, q, "deed = ? ORDER BY id DESC", int64(deed))
}

func past(ctx context.Context, q querier, where string, args ...any) (out []Past, err error) {
	rows, err := q.query(ctx, "SELECT id, coalesce(deed, 0), tbl, row, act, coalesce(before, 'null') FROM history WHERE "+where, args...)
	if err != nil {
		return nil, err
	}
	defer func() { err = joined(err, rows.Close()) }()
	for rows.Next() {
		var p Past
		var before string
		if err := rows.Scan(&p.ID, &p.Deed, &p.Table, &p.Row, &p.Act, &before); err != nil {
			return nil, err
		}
		p.Before = json.RawMessage(before)
		out = append(out, p)
	}
	return out, rows.Err()
}

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
	_, err = b.do(ctx, "undo: "+undone.What, undone.ID, func(t *Tx) error { return t.reverse(ctx, undone.ID) })
	return undone, err
}

// reverse takes back every row of a deed, the last first.
func (t *Tx) reverse(ctx context.Context, deed ID) error {
	steps, err := PastOfDeed(ctx, t, deed)
	if err != nil {
		return err
	}
	if err := t.untouchedSince(ctx, deed); err != nil {
		return err
	}
	if _, err := t.exec("PRAGMA defer_foreign_keys = 1"); err != nil {
		return err
	}
	for _, p := range steps {
		if err := t.takeBack(p); err != nil {
			return fmt.Errorf("%s %d: %w", p.Table, p.Row, err)
		}
	}
	after, err := PastOfDeed(ctx, t, t.deed)
	if err != nil {
		return err
	}
	type row struct {
		table string
		id    ID
	}
	mine := map[row]bool{}
	for _, p := range steps {
		mine[row{p.Table, p.Row}] = true
	}
	for _, a := range after {
		if !mine[row{a.Table, a.Row}] {
			return fmt.Errorf("deed %d cannot be undone: %s %d came to it since; undo that first", deed, a.Table, a.Row)
		}
	}
	return nil
}

// untouchedSince refuses where a later deed changed a row of this one.
func (t *Tx) untouchedSince(ctx context.Context, deed ID) (err error) {
	rows, err := t.query(ctx, `SELECT DISTINCT l.tbl, l.row, coalesce(l.deed, 0) FROM history e JOIN history l
		ON l.tbl = e.tbl AND l.row = e.row AND l.id > e.id AND l.deed IS NOT e.deed WHERE e.deed = ?
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

// takeBack does the opposite of one entry of the history.
func (t *Tx) takeBack(p Past) error {
	if !slices.Contains(tables(), p.Table) {
		return fmt.Errorf("the history names a table that is not there: %q", p.Table)
	}
	if p.Act == "added" {
		_, err := t.exec(fmt.Sprintf("DELETE FROM %s WHERE id = ?", p.Table), int64(p.Row))
		return err
	}
	cols, vals, err := t.pastColumns(p)
	if err != nil {
		return err
	}
	if p.Act == "removed" {
		marks := strings.TrimSuffix(strings.Repeat("?, ", len(cols)), ", ")
		_, err = t.exec(fmt.Sprintf("INSERT INTO %s(%s) VALUES (%s)", p.Table, quoted(cols), marks), vals...)
		return err
	}
	set := strings.ReplaceAll(quoted(cols), ",", " = ?,") + " = ?"
	_, err = t.exec(fmt.Sprintf("UPDATE %s SET %s WHERE id = ?", p.Table, set), append(vals, int64(p.Row))...)
	return err
}

// pastColumns gives the columns that the row had and what stood in them, those
// that the table still has.
func (t *Tx) pastColumns(p Past) (cols []string, vals []any, err error) {
	var was map[string]any
	d := json.NewDecoder(strings.NewReader(string(p.Before)))
	d.UseNumber()
	if err := d.Decode(&was); err != nil {
		return nil, nil, err
	}
	now, err := columnsOf(t.ctx, t.tx, p.Table)
	if err != nil {
		return nil, nil, err
	}
	for _, c := range now {
		v, ok := was[c]
		if !ok {
			continue
		}
		if n, ok := v.(json.Number); ok {
			if v, err = number(n); err != nil {
				return nil, nil, err
			}
		}
		cols, vals = append(cols, c), append(vals, v)
	}
	return cols, vals, nil
}

// number is a whole number where it is written as one, and otherwise a real one.
func number(n json.Number) (any, error) {
	if strings.ContainsAny(n.String(), ".eE") {
		return strconv.ParseFloat(n.String(), 64)
	}
	return strconv.ParseInt(n.String(), 10, 64)
}
