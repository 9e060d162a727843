package logbook

import (
	"context"
	"database/sql"
	"fmt"
	"strings"
)

// tables lists the tables whose rows have a history, every one after those that
// it refers to. That of the origins is no record: see Merge.
func tables() []string {
	return []string{
		"printers", "nozzles", "spools", "profiles", "designs", "revisions", "proofs", "yields",
		"trials", "trial_parts", "readings", "faults", "photos", "checks", "solves", "origins",
	}
}

// execer is a connection or a transaction.
type execer interface {
	ExecContext(ctx context.Context, query string, args ...any) (sql.Result, error)
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

// infoOf is where the columns of table ?1 are told. How many rows an entry of the history
// tells of is none: its entries are read one by one.
const infoOf = "FROM pragma_table_info(?1) WHERE NOT (?1 = 'history' AND name = 'run')"

// columnsOf lists the columns of a table as they stand in the file.
func columnsOf(ctx context.Context, c execer, table string) (out []string, err error) {
	rows, err := c.QueryContext(ctx, "SELECT name "+infoOf+" ORDER BY cid", table)
	if err != nil {
		return nil, err
	}
	defer func() { err = joined(err, rows.Close()) }()
	for rows.Next() {
		var name string
		if err := rows.Scan(&name); err != nil {
			return nil, err
		}
		out = append(out, name)
	}
	return out, rows.Err()
}

// rebuildTriggers writes the triggers that keep the history, from the columns of
// the tables. They are in the file, so that a change by any other program is kept
// as well.
func rebuildTriggers(ctx context.Context, c execer) error {
	if err := dropTriggers(ctx, c, actAdded, actChanged, actRemoved); err != nil {
		return err
	}
	for _, t := range tables() {
		cols, err := columnsOf(ctx, c, t)
		if err != nil {
			return err
		}
		if len(cols) == 0 { // an older form, which has no such table
			continue
		}
		if _, err := c.ExecContext(ctx, triggers(t, cols)); err != nil {
			return fmt.Errorf("history of %s: %w", t, err)
		}
	}
	return nil
}

func dropTriggers(ctx context.Context, c execer, acts ...string) error {
	for _, t := range tables() {
		for _, act := range acts {
			if _, err := c.ExecContext(ctx, fmt.Sprintf("DROP TRIGGER IF EXISTS %s_%s", t, act)); err != nil {
				return err
			}
		}
	}
	return nil
}

// triggers is the SQL of one table's triggers. quote() writes a real number with as
// many digits as bring it back exactly; JSON alone would round to 15 digits.
func triggers(table string, cols []string) string {
	var old, differ []string
	for _, c := range cols {
		old = append(old, fmt.Sprintf(`'%s', CASE typeof(OLD."%s") WHEN 'real' THEN json(quote(OLD."%s")) ELSE OLD."%s" END`, c, c, c, c))
		differ = append(differ, fmt.Sprintf(`OLD."%s" IS NOT NEW."%s"`, c, c))
	}
	const row = `INSERT INTO history(deed, tbl, row, act, before) VALUES ((SELECT deed FROM doing), '%s', %s, '%s', %s);`
	before := "json_object(" + strings.Join(old, ", ") + ")"
	return fmt.Sprintf("CREATE TRIGGER %s_added AFTER INSERT ON %s BEGIN "+row+" END;\n", table, table, table, "NEW.id", actAdded, "NULL") +
		fmt.Sprintf("CREATE TRIGGER %s_changed AFTER UPDATE ON %s WHEN %s BEGIN "+row+" END;\n", table, table, strings.Join(differ, " OR "), table, "OLD.id", actChanged, before) +
		fmt.Sprintf("CREATE TRIGGER %s_removed AFTER DELETE ON %s BEGIN "+row+" END;\n", table, table, table, "OLD.id", actRemoved, before)
}
