package logbook

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"reflect"
	"strconv"
	"time"
)

// Was tells what a deed did to a record.
type Was struct {
	Deed   ID      // 0: another program than feint
	Act    string  // added, changed, removed
	Before []Field // the fields that were otherwise; what it had, where it was removed
}

// told words what a record was, the newest first, beside what it is.
func (k kind) told(past []Past, now []Field) ([]Was, error) {
	out := make([]Was, 0, len(past))
	after := now
	for _, p := range past {
		w := Was{Deed: p.Deed, Act: p.Act}
		if p.Act != actAdded {
			v, err := k.was(p.Before)
			if err != nil {
				return nil, fmt.Errorf("the history of %s %d: %w", k.word, p.Row, err)
			}
			rv := reflect.ValueOf(v).Elem()
			before := fieldsOf(rv, fieldNames(rv.Type()))
			for i, f := range before {
				if p.Act == actRemoved && f.Value != "" || p.Act != actRemoved && f.Value != after[i].Value {
					w.Before = append(w.Before, f)
				}
			}
			after = before
		}
		out = append(out, w)
	}
	return out, nil
}

// wasOf reads a record from its JSON in the history; a field that it did not have yet
// is empty.
func wasOf[T Record](text []byte) (*T, error) {
	var was map[string]any
	d := json.NewDecoder(bytes.NewReader(text))
	d.UseNumber()
	if err := d.Decode(&was); err != nil {
		return nil, err
	}
	s := newScanner[T]()
	rv := reflect.ValueOf(&s.row).Elem()
	at := 0
	for i, put := range s.puts {
		name, t := fieldName(rv.Type().Field(i)), rv.Field(i).Type()
		vals := s.vals[at:]
		if at++; t == reflect.TypeFor[time.Time]() {
			vals[1], at = whole(was[name+"_offset"]), at+1
		}
		v, ok := was[name]
		if !ok {
			continue
		}
		vals[0] = v
		if n, ok := v.(json.Number); ok {
			vals[0] = whole(n)
			if t == reflect.TypeFor[float64]() || t == reflect.TypeFor[*float64]() {
				x, err := n.Float64()
				if err != nil {
					return nil, err
				}
				vals[0] = x
			}
		}
		if err := put(); err != nil {
			return nil, err
		}
	}
	return &s.row, nil
}

// whole is a whole number of JSON, anything else as it is.
func whole(v any) any {
	if n, ok := v.(json.Number); ok {
		if i, err := n.Int64(); err == nil {
			return i
		}
	}
	return v
}

// putNames puts the names of printers and the like in place of their numbers. A revision
// keeps its number as a record, by which it is asked for, with its design and its
// number there beside it.
func putNames(ctx context.Context, q querier, lists ...[]Field) error {
	known := map[string]map[string]string{}
	texts := map[string]string{
		"printer": "SELECT id, name FROM printers", "nozzle": "SELECT id, name FROM nozzles", "spool": "SELECT id, name FROM spools",
		"profile": "SELECT id, name FROM profiles", "design": "SELECT id, name FROM designs",
		"revision": revisionNames, "parent": revisionNames, "cured_in": revisionNames,
	}
	for _, fields := range lists {
		for i, f := range fields {
			text := texts[f.Name]
			if text == "" || f.Value == "" {
				continue
			}
			if known[text] == nil {
				var err error
				if known[text], err = namesBy(ctx, q, text); err != nil {
					return err
				}
			}
			if n := known[text][f.Value]; n != "" {
				fields[i].Value = n
			}
		}
	}
	return nil
}

const revisionNames = "SELECT r.id, r.id || ' (' || d.name || ' ' || r.number || ')' FROM revisions r JOIN designs d ON d.id = r.design"

func namesBy(ctx context.Context, q querier, text string) (out map[string]string, err error) {
	rows, err := q.query(ctx, text)
	if err != nil {
		return nil, err
	}
	defer func() { err = joined(err, rows.Close()) }()
	out = map[string]string{}
	for rows.Next() {
		var id int64
		var name string
		if err := rows.Scan(&id, &name); err != nil {
			return nil, err
		}
		out[strconv.FormatInt(id, 10)] = name
	}
	return out, rows.Err()
}
