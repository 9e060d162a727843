package logbook

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"strconv"
	"strings"
)

//go:embed migrations/*.sql
var files embed.FS

// applicationID marks the file as a logbook (PRAGMA application_id): "fein".
const applicationID = 0x6665696e

// migration brings a file from version-1 to version.
type migration struct {
	version int
	name    string
	text    string
}

// migrations lists what is embedded, by rising number, from 1 and without a gap.
func migrations() ([]migration, error) {
	names, err := fs.Glob(files, "migrations/*.sql") // sorted
	if err != nil {
		return nil, err
	}
	var out []migration
	for i, path := range names {
		name := strings.TrimSuffix(strings.TrimPrefix(path, "migrations/"), ".sql")
		number, _, _ := strings.Cut(name, "_")
		n, err := strconv.Atoi(number)
		if err != nil || n != i+1 {
			return nil, fmt.Errorf("logbook: migration %s stands at place %d", path, i+1)
		}
		text, err := files.ReadFile(path)
		if err != nil {
			return nil, err
		}
		out = append(out, migration{n, name, string(text)})
	}
	return out, nil
}

// errNewer is a file of a feint to come.
var errNewer = errors.New("it was written by a newer feint")

// version reads the number of a file's schema; 0 is an empty file.
func version(ctx context.Context, c *sql.Conn) (int, error) {
	var v, app, tables int
	if err := c.QueryRowContext(ctx, "PRAGMA user_version").Scan(&v); err != nil {
		return 0, err
	}
	if err := c.QueryRowContext(ctx, "PRAGMA application_id").Scan(&app); err != nil {
		return 0, err
	}
	if err := c.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_master").Scan(&tables); err != nil {
		return 0, err
	}
	if app != applicationID && (app != 0 || v != 0 || tables != 0) {
		return 0, errors.New("it is a database, but not a logbook of feint")
	}
	return v, nil
}

// migrate brings the file to the newest version, in one transaction. Before it
// changes a file that holds anything it calls backup, with other writers locked
// out; backup reads through a connection of its own.
func migrate(ctx context.Context, c *sql.Conn, all []migration, backup func(version int) error) (err error) {
	newest := len(all)
	v, err := version(ctx, c)
	if err != nil {
		return err
	}
	if v == newest {
		return nil
	}
	if v > newest {
		return fmt.Errorf("%w (version %d, this one knows %d)", errNewer, v, newest)
	}
	if _, err := c.ExecContext(ctx, "BEGIN IMMEDIATE"); err != nil {
		return err
	}
	defer func() {
		if err != nil {
			_, e := c.ExecContext(context.WithoutCancel(ctx), "ROLLBACK")
			err = errors.Join(err, e)
		}
	}()
	if v, err = version(ctx, c); err != nil { // another process may have been first
		return err
	}
	if v > 0 && v < newest {
		if err := backup(v); err != nil {
			return fmt.Errorf("the copy before the change of form: %w", err)
		}
	}
	for _, m := range all[min(v, newest):] {
		if _, err := c.ExecContext(ctx, m.text); err != nil {
			return fmt.Errorf("migration %s: %w", m.name, err)
		}
	}
	if err := rebuildTriggers(ctx, c); err != nil {
		return err
	}
	stamp := fmt.Sprintf("PRAGMA user_version = %d; PRAGMA application_id = %d", max(v, newest), applicationID)
	if _, err := c.ExecContext(ctx, stamp); err != nil {
		return err
	}
	_, err = c.ExecContext(ctx, "COMMIT")
	return err
}
