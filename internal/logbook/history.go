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
		(SELECT coalesce(sum(h.run), 0) FROM history h WHERE h.deed = d.id) FROM deeds d WHERE `+where, args...)
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
func PastOf[T Record](ctx context.Context, q querier, id ID) (out []Past, err error) {
	err = entriesOfRow(ctx, q.query, tableOf[T](), int64(id), true, pastInto(&out))
	return out, err
}

// PastOfDeed lists what a deed touched, the last first.
func PastOfDeed(ctx context.Context, q querier, deed ID) (out []Past, err error) {
	err = entries(ctx, q.query, "deed = ?", true, pastInto(&out), int64(deed))
	return out, err
}

func pastInto(out *[]Past) func(e *entry) error {
	return func(e *entry) error {
		p := Past{ID: ID(e.id), Deed: ID(e.deed.Int64), Table: e.table, Row: ID(e.row), Act: e.act, Before: json.RawMessage("null")}
		if e.before.Valid {
			p.Before = json.RawMessage(e.before.String)
		}
		*out = append(*out, p)
		return nil
	}
}
