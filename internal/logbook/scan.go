package logbook

import (
	"database/sql"
	"encoding/json"
	"fmt"
	"reflect"
	"time"
)

// scanner reads rows into one record, again and again. It takes the values as the
// driver gives them (int64, float64, string or nil, since the tables are strict)
// and puts them into the fields itself.
type scanner[T Record] struct {
	row     T
	vals    []any
	targets []any // of vals
	puts    []func() error
	zones   zones
}

func newScanner[T Record]() *scanner[T] {
	s := &scanner[T]{zones: zones{}}
	v := reflect.ValueOf(&s.row).Elem()
	s.vals = make([]any, len(columns(v.Type())))
	for i := range s.vals {
		s.targets = append(s.targets, &s.vals[i])
	}
	at := 0
	for i := range v.NumField() {
		f := v.Field(i)
		vals := s.vals[at:]
		name := fieldName(v.Type().Field(i))
		s.puts = append(s.puts, func() error {
			if err := s.put(f, vals); err != nil {
				return fmt.Errorf("%s: %w", name, err)
			}
			return nil
		})
		if at++; f.Type() == reflect.TypeFor[time.Time]() {
			at++
		}
	}
	return s
}

// put sets a field from the first of the values, a time from two.
func (s *scanner[T]) put(f reflect.Value, vals []any) error {
	switch p := f.Addr().Interface().(type) {
	case *ID:
		if vals[0] == nil {
			*p = 0
			return nil
		}
		n, err := held[int64](vals[0])
		*p = ID(n)
		return err
	case *string:
		return take(p, vals[0])
	case *float64:
		return take(p, vals[0])
	case **float64:
		*p = nil
		if vals[0] == nil {
			return nil
		}
		x, err := held[float64](vals[0])
		*p = &x
		return err
	case **int:
		*p = nil
		if vals[0] == nil {
			return nil
		}
		n, err := held[int64](vals[0])
		k := int(n)
		*p = &k
		return err
	case *int:
		n, err := held[int64](vals[0])
		*p = int(n)
		return err
	case *bool:
		n, err := held[int64](vals[0])
		*p = n != 0
		return err
	case *time.Time:
		return s.time(p, vals)
	}
	return putText(f, vals[0])
}

func (s *scanner[T]) time(p *time.Time, vals []any) error {
	text, err := held[string](vals[0])
	if err != nil {
		return err
	}
	offset, err := held[int64](vals[1])
	if err != nil {
		return err
	}
	*p, err = s.zones.parse(text, int(offset))
	return err
}

// putText sets a text of a type of its own, or a list or a map from its JSON.
func putText(f reflect.Value, v any) error {
	text, err := held[string](v)
	if err != nil {
		return err
	}
	if f.Kind() == reflect.String {
		f.SetString(text)
		return nil
	}
	f.SetZero() // what the row before had must not be shared
	if text == "[]" || text == "{}" {
		return nil
	}
	return json.Unmarshal([]byte(text), f.Addr().Interface())
}

// held is a value of a strict column of its type.
func held[V any](v any) (V, error) {
	x, ok := v.(V)
	if !ok {
		return x, fmt.Errorf("the column holds %v, of type %T where %T belongs", v, v, x)
	}
	return x, nil
}

func take[V any](p *V, v any) (err error) {
	*p, err = held[V](v)
	return err
}

// read gives the row at which rows stands.
func (s *scanner[T]) read(rows *sql.Rows) (T, error) {
	if err := rows.Scan(s.targets...); err != nil {
		return s.row, err
	}
	for _, f := range s.puts {
		if err := f(); err != nil {
			return s.row, err
		}
	}
	return s.row, nil
}

// zones keeps the zones that times were read in, by minutes east of UTC.
type zones map[int]*time.Location

// parse is a time with the maker's offset, minutes east of UTC.
func (z zones) parse(text string, offset int) (time.Time, error) {
	// time.RFC3339 is read much faster than a layout with a plain Z, and a text of
	// this length that ends in Z is the same in both
	layout := timeLayout
	if n := len(text); n == len(timeLayout) && text[n-1] == 'Z' {
		layout = time.RFC3339
	}
	t, err := time.Parse(layout, text)
	if err != nil {
		return t, fmt.Errorf("a time reads %q; it should read like %s", text, timeLayout)
	}
	if offset == 0 {
		return t, nil
	}
	if z[offset] == nil {
		z[offset] = time.FixedZone("", offset*60)
	}
	return t.In(z[offset]), nil
}
