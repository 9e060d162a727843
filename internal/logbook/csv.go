package logbook

import (
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
)

// Tables lists the names that CSV takes.
func Tables() []string { return append(tables(), "deeds", "history") }

// CSV writes a table with its column names (RFC 4180). A text that a spreadsheet
// would run as a formula is given an apostrophe before it, as spreadsheets do.
func (b *Book) CSV(ctx context.Context, w io.Writer, table string) (err error) {
	if !slices.Contains(Tables(), table) {
		if n := Nearest(table, Tables()); n != "" {
			return fmt.Errorf("there is no table %q; did you mean %s?", table, n)
		}
		return fmt.Errorf("there is no table %q; there are %s", table, strings.Join(Tables(), ", "))
	}
	cols, err := columnsOf(ctx, b.db, table)
	if err != nil {
		return err
	}
	out, line := csv.NewWriter(w), make([]string, len(cols))
	write := func(vals []any) error {
		for i, v := range vals {
			line[i] = csvText(v)
		}
		return out.Write(line)
	}
	if err := out.Write(cols); err != nil {
		return err
	}
	if table == "history" {
		err := entries(ctx, b.query, "1", false, func(e *entry) error { return write(e.vals()) })
		out.Flush()
		return joined(err, out.Error())
	}
	rows, err := b.query(ctx, fmt.Sprintf("SELECT %s FROM %s ORDER BY id", quoted(cols), table))
	if err != nil {
		return err
	}
	defer func() { err = joined(err, rows.Close()) }()
	vals, targets := make([]any, len(cols)), make([]any, len(cols))
	for i := range vals {
		targets[i] = &vals[i]
	}
	for rows.Next() {
		if err := rows.Scan(targets...); err != nil {
			return err
		}
		if err := write(vals); err != nil {
			return err
		}
	}
	out.Flush()
	return joined(rows.Err(), out.Error())
}

func csvText(v any) string {
	switch x := v.(type) {
	case nil:
		return ""
	case float64:
		return strconv.FormatFloat(x, 'g', -1, 64)
	case string:
		if x != "" && strings.ContainsRune("=+-@\t\r", rune(x[0])) {
			return "'" + x
		}
		return x
	default:
		return fmt.Sprint(x)
	}
}
