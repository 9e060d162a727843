package logbook

import (
	"database/sql"
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"strings"
	"time"
)

// timeLayout is how a time stands in the file: UTC, to the second, so that texts
// sort as times do.
const timeLayout = "2006-01-02T15:04:05Z"

// tableOf names the table of a record type.
func tableOf[T Record]() string {
	var v T
	switch any(v).(type) {
	case Printer:
		return "printers"
	case Nozzle:
		return "nozzles"
	case Spool:
		return "spools"
	case Profile:
		return "profiles"
	case Design:
		return "designs"
	case Revision:
		return "revisions"
	case Proof:
		return "proofs"
	case Yield:
		return "yields"
	case Trial:
		return "trials"
	case TrialPart:
		return "trial_parts"
	case Reading:
		return "readings"
	case Photo:
		return "photos"
	case Fault:
		return "faults"
	case Check:
		return "checks"
	default:
		return "solves"
	}
}

// columns lists the columns of a record type in the order of its fields; a time
// has two. The name of a column is that of the field in JSON.
func columns(t reflect.Type) []string {
	var out []string
	for i := range t.NumField() {
		name := fieldName(t.Field(i))
		out = append(out, name)
		if t.Field(i).Type == reflect.TypeFor[time.Time]() {
			out = append(out, name+"_offset")
		}
	}
	return out
}

func fieldName(f reflect.StructField) string {
	name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
	return name
}

// values gives what stands in the columns of v, a record.
func values(v reflect.Value) ([]any, error) {
	var out []any
	for i := range v.NumField() {
		f := v.Field(i)
		name := fieldName(v.Type().Field(i))
		switch x := f.Interface().(type) {
		case ID:
			out = append(out, sql.NullInt64{Int64: int64(x), Valid: x != 0})
		case time.Time:
			_, offset := x.Zone()
			out = append(out, x.UTC().Format(timeLayout), offset/60)
		case float64:
			if !finite(x) {
				return nil, fmt.Errorf("%s is %v; it must be a finite number", name, x)
			}
			out = append(out, x)
		case *float64:
			if x != nil && !finite(*x) {
				return nil, fmt.Errorf("%s is %v; it must be a finite number", name, *x)
			}
			out = append(out, x)
		case bool, int, *int:
			out = append(out, x)
		default:
			w, err := plainText(f)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", name, err)
			}
			out = append(out, w)
		}
	}
	return out, nil
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// plainText is a text as it is, and a list or a map as JSON; none is an empty one.
func plainText(f reflect.Value) (string, error) {
	switch f.Kind() {
	case reflect.String:
		return strings.ToValidUTF8(strings.ReplaceAll(f.String(), "\x00", ""), "?"), nil
	case reflect.Slice:
		if f.Len() == 0 {
			return "[]", nil
		}
	case reflect.Map:
		if f.Len() == 0 {
			return "{}", nil
		}
	default:
	}
	var b strings.Builder
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	err := enc.Encode(f.Interface())
	return strings.TrimSuffix(b.String(), "\n"), err
}

// scanner reads rows into one record, again and again.
type scanner[T Record] struct {
	row     T
	targets []any
	after   []func() error
}

func newScanner[T Record]() *scanner[T] {
	s := &scanner[T]{}
	v := reflect.ValueOf(&s.row).Elem()
	for i := range v.NumField() {
		s.field(v.Field(i))
	}
	return s
}

func (s *scanner[T]) then(f func() error) { s.after = append(s.after, f) }

func (s *scanner[T]) field(f reflect.Value) {
	switch p := f.Addr().Interface().(type) {
	case *ID:
		n := new(sql.NullInt64)
		s.targets = append(s.targets, n)
		s.then(func() error { *p = ID(n.Int64); return nil })
	case *time.Time:
		text, offset := new(string), new(int)
		s.targets = append(s.targets, text, offset)
		s.then(func() (err error) { *p, err = parseTime(*text, *offset); return err })
	case *float64, **float64, *bool, *int, **int:
		s.targets = append(s.targets, p)
	default:
		if f.Kind() == reflect.String {
			s.targets = append(s.targets, p)
			return
		}
		text := new(string)
		s.targets = append(s.targets, text)
		s.then(func() error {
			f.SetZero() // what the row before had must not be shared
			if *text == "[]" || *text == "{}" {
				return nil
			}
			return json.Unmarshal([]byte(*text), p)
		})
	}
}

// read gives the row at which rows stands.
func (s *scanner[T]) read(rows *sql.Rows) (T, error) {
	if err := rows.Scan(s.targets...); err != nil {
		return s.row, err
	}
	for _, f := range s.after {
		if err := f(); err != nil {
			return s.row, err
		}
	}
	return s.row, nil
}

// parseTime is a time with the maker's offset, minutes east of UTC.
func parseTime(text string, offset int) (time.Time, error) {
	t, err := time.Parse(timeLayout, text)
	if err != nil {
		return t, fmt.Errorf("a time reads %q; it should read like %s", text, timeLayout)
	}
	if offset == 0 {
		return t, nil
	}
	return t.In(time.FixedZone("", offset*60)), nil
}

// equalRows tells whether two records stand the same in the file.
func equalRows[T Record](a, b *T) (bool, error) {
	x, err := values(reflect.ValueOf(a).Elem())
	if err != nil {
		return false, err
	}
	y, err := values(reflect.ValueOf(b).Elem())
	return err == nil && reflect.DeepEqual(x, y), err
}
