package logbook

import (
	"context"
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"
)

// assign sets fields of v, a pointer to a record, from texts "field=value".
func assign(ctx context.Context, q querier, v any, settings []string) error {
	rv := reflect.ValueOf(v).Elem()
	for _, s := range settings {
		name, text, ok := strings.Cut(s, "=")
		if !ok {
			return fmt.Errorf("%q: write field=value, such as note=warped", s)
		}
		if err := set(ctx, q, rv, strings.TrimSpace(name), strings.TrimSpace(text)); err != nil {
			return err
		}
	}
	return nil
}

func set(ctx context.Context, q querier, rv reflect.Value, name, text string) error {
	names := columns(rv.Type())
	for i := range rv.NumField() {
		field := fieldName(rv.Type().Field(i))
		// the unit may be left out: bed_x for bed_x_mm
		if !strings.EqualFold(field, name) && !strings.EqualFold(withoutUnit(field), name) {
			continue
		}
		if field == "id" {
			return fmt.Errorf("the number of a record stays what it is")
		}
		if err := setField(ctx, q, rv.Field(i), field, text); err != nil {
			return fmt.Errorf("%s: %w", field, err)
		}
		return nil
	}
	names = slices.DeleteFunc(names, func(n string) bool { return n == "id" || strings.HasSuffix(n, "_offset") })
	if n := Nearest(name, names); n != "" {
		return fmt.Errorf("there is no field %q; did you mean %s?", name, n)
	}
	return fmt.Errorf("there is no field %q; there are %s", name, strings.Join(names, ", "))
}

func withoutUnit(field string) string {
	for _, u := range []string{"_mm", "_g_cm3"} {
		field = strings.TrimSuffix(field, u)
	}
	return field
}

// setField reads text as what the field holds; an empty text empties it.
func setField(ctx context.Context, q querier, f reflect.Value, name, text string) error {
	if text == "" {
		f.SetZero()
		return nil
	}
	switch f.Interface().(type) {
	case ID:
		id, err := idFor(ctx, q, name, text)
		f.SetInt(int64(id))
		return err
	case time.Time:
		t, err := readTime(text)
		f.Set(reflect.ValueOf(t))
		return err
	case bool:
		yes, err := yesNo(text)
		f.SetBool(yes)
		return err
	case float64, *float64:
		x, err := strconv.ParseFloat(strings.ReplaceAll(text, ",", "."), 64)
		if err != nil {
			return fmt.Errorf("%q is not a number", text)
		}
		setNumber(f, reflect.ValueOf(x), reflect.ValueOf(&x))
		return nil
	case int, *int:
		n, err := strconv.Atoi(text)
		if err != nil {
			return fmt.Errorf("%q is not a whole number", text)
		}
		setNumber(f, reflect.ValueOf(n), reflect.ValueOf(&n))
		return nil
	case []string:
		f.Set(reflect.ValueOf(plusList(text)))
		return nil
	}
	if f.Kind() == reflect.String {
		f.SetString(text)
		return nil
	}
	return setJSON(f, text)
}

func setNumber(f, plain, pointer reflect.Value) {
	if f.Kind() == reflect.Pointer {
		f.Set(pointer)
		return
	}
	f.Set(plain)
}

// setJSON reads a list or a map.
func setJSON(f reflect.Value, text string) error {
	v := reflect.New(f.Type())
	if err := json.Unmarshal([]byte(text), v.Interface()); err != nil {
		return fmt.Errorf(`write it as JSON, such as {"bed": "60"}: %w`, err)
	}
	f.Set(v.Elem())
	return nil
}

// plusList is "ring 3 + rod".
func plusList(text string) []string {
	var out []string
	for s := range strings.SplitSeq(text, "+") {
		if s = strings.TrimSpace(s); s != "" {
			out = append(out, s)
		}
	}
	return out
}

func yesNo(text string) (bool, error) {
	switch strings.ToLower(text) {
	case "yes", "true", "1":
		return true, nil
	case "no", "false", "0":
		return false, nil
	default:
		return false, fmt.Errorf("%q: write yes or no", text)
	}
}

// readTime takes a time with its offset, "2026-03-01 14:30 +0100".
func readTime(text string) (time.Time, error) {
	for _, layout := range []string{"2006-01-02 15:04 -0700", "2006-01-02 15:04:05 -0700", time.RFC3339} {
		if t, err := time.Parse(layout, text); err == nil {
			return t, nil
		}
	}
	return time.Time{}, fmt.Errorf("%q: write a time with its offset from UTC, such as 2026-03-01 14:30 +0100", text)
}

// idFor reads a number, or the name of a printer, nozzle, spool, profile or design.
func idFor(ctx context.Context, q querier, field, text string) (ID, error) {
	find := map[string]func(context.Context, querier, string) (ID, error){
		"printer": Named[Printer], "nozzle": Named[Nozzle], "spool": Named[Spool], "profile": Named[Profile], "design": Named[Design],
	}[field]
	if find != nil {
		if id, err := find(ctx, q, text); err == nil || !digits(text) {
			return id, err
		}
	}
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil || n < 0 {
		return 0, fmt.Errorf("%q is not the number of a record", text)
	}
	return ID(n), nil
}

// Identify reads which record of a kind is meant: its number, or the name of a printer,
// nozzle, spool, profile or design.
func Identify(ctx context.Context, q querier, word, text string) (ID, error) {
	k, err := kindNamed(word)
	if err != nil {
		return 0, err
	}
	if digits(text) { // numbers go before names
		return idFor(ctx, q, "", text)
	}
	return idFor(ctx, q, k.word, text)
}

func digits(s string) bool { return strings.Trim(s, "0123456789") == "" }
