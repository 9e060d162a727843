package logbook

import (
	"context"
	"encoding/json"
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
