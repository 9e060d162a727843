package logbook

import (
	"context"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"time"
)

// Field is one field of a record in words.
type Field struct{ Name, Value string }

// Show gives the fields of a record and what it was before, the newest first.
// Printers and the like are called by their names.
func Show(ctx context.Context, q querier, word string, id ID) ([]Field, []Was, error) {
	k, err := kindNamed(word)
	if err != nil {
		return nil, nil, err
	}
	v, err := k.get(ctx, q, id)
	if err != nil {
		return nil, nil, err
	}
	past, err := k.past(ctx, q, id)
	if err != nil {
		return nil, nil, err
	}
	rv := reflect.ValueOf(v).Elem()
	now := fieldsOf(rv, fieldNames(rv.Type()))
	was, err := k.told(past, now)
	if err != nil {
		return nil, nil, err
	}
	lists := [][]Field{now}
	for i := range was {
		lists = append(lists, was[i].Before)
	}
	return now, was, putNames(ctx, q, lists...)
}

// List gives the records of a kind in words, the last n of them (0: all) by rising ID.
func List(ctx context.Context, q querier, word string, n int) ([][]Field, error) {
	k, err := kindNamed(word)
	if err != nil {
		return nil, err
	}
	where, args := "", []any(nil)
	if n > 0 {
		where, args = "id IN (SELECT id FROM "+k.table+" ORDER BY id DESC LIMIT ?) ORDER BY id", []any{n}
	}
	all, err := k.all(ctx, q, where, args...)
	if err != nil {
		return nil, err
	}
	rv := reflect.ValueOf(all)
	names := fieldNames(rv.Type().Elem())
	out := make([][]Field, rv.Len())
	for i := range out {
		out[i] = fieldsOf(rv.Index(i), names)
	}
	return out, putNames(ctx, q, out...)
}

// Group is the records of one kind that belong to another record.
type Group struct {
	Kind string
	Rows [][]Field
}

// Belonging gives what belongs to a trial (its parts, readings, photos, faults and
// solves) or to a fault (its photos and standing checks); of other kinds nothing.
func Belonging(ctx context.Context, q querier, word string, id ID) (out []Group, err error) {
	k, err := kindNamed(word)
	if err != nil {
		return nil, err
	}
	for _, of := range map[string][]string{"trial": {"part", "reading", "photo", "fault", "solve"}, "fault": {"photo", "check"}}[k.word] {
		o, err := kindNamed(of)
		if err != nil {
			return nil, err
		}
		all, err := o.all(ctx, q, k.word+" = ? ORDER BY id", int64(id))
		if err != nil {
			return nil, err
		}
		g, rv := Group{Kind: of}, reflect.ValueOf(all)
		names := fieldNames(rv.Type().Elem())
		for i := range rv.Len() {
			row := fieldsOf(rv.Index(i), names)
			g.Rows = append(g.Rows, slices.DeleteFunc(row, func(f Field) bool { return f.Name == k.word })) // says nothing new
		}
		if len(g.Rows) > 0 {
			out = append(out, g)
		}
		if err := putNames(ctx, q, g.Rows...); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// fieldNames are the names of the fields of a record type.
func fieldNames(t reflect.Type) []string {
	out := make([]string, t.NumField())
	for i := range out {
		out[i] = fieldName(t.Field(i))
	}
	return out
}

// fieldsOf is a record in words; v can be addressed.
func fieldsOf(v reflect.Value, names []string) []Field {
	out := make([]Field, len(names))
	for i, n := range names {
		out[i] = Field{n, fieldText(v.Field(i))}
	}
	return out
}

// fieldText words a field that can be addressed; pointers to fields go into an
// interface without a copy.
func fieldText(f reflect.Value) string {
	switch x := f.Addr().Interface().(type) {
	case *string:
		return *x
	case *float64:
		return plain(*x)
	}
	if f.IsZero() {
		return ""
	}
	switch x := f.Addr().Interface().(type) {
	case *ID:
		return strconv.FormatInt(int64(*x), 10)
	case *time.Time:
		return x.Format("2006-01-02 15:04 -0700")
	case *bool:
		return "yes"
	case **float64:
		return plain(**x)
	case **int:
		return strconv.Itoa(**x)
	}
	switch f.Kind() {
	case reflect.String:
		return f.String()
	case reflect.Slice, reflect.Map:
		raw, err := json.Marshal(f.Interface())
		if err != nil {
			return err.Error()
		}
		return string(raw)
	default:
		return fmt.Sprint(f.Interface())
	}
}
