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

// equalRows tells whether two records stand the same in the file.
func equalRows[T Record](a, b *T) (bool, error) {
	x, err := values(reflect.ValueOf(a).Elem())
	if err != nil {
		return false, err
	}
	y, err := values(reflect.ValueOf(b).Elem())
	return err == nil && reflect.DeepEqual(x, y), err
}
